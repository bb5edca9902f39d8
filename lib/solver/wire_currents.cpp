#include "solver/wire_currents_detail.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "math/quadrature.hpp"

namespace feldspar::solver {

std::complex<double> current_at(const moment::ElementCurrent& element, double xi) {
  const Eigen::VectorXcd& c = element.coefficients;
  Eigen::VectorXd p(c.size());
  math::legendre(xi, static_cast<int>(c.size()) - 1, p.data());
  return (c.array() * p.array()).sum();
}

std::vector<results::WireCurrent> wire_currents(const geometry::Structure& structure,
                                                const moment::Currents& currents, double scale) {
  const double to_rms = std::sqrt(0.5 * scale);
  std::vector<results::WireCurrent> list;
  for (std::size_t w = 0; w < structure.wires.size(); ++w) {
    std::vector<const moment::ElementCurrent*> elements;  // they stand in the order of the wire
    for (const moment::ElementCurrent& element : currents)
      if (element.wire == static_cast<int>(w)) elements.push_back(&element);
    if (elements.empty()) continue;
    results::WireCurrent wire{structure.wires[w].name, {}};
    const double length = geometry::length(structure.wires[w]);
    std::size_t at = 0;
    double before = 0.0;  // length of the elements passed
    for (int i = 0; i < results::kCurrentPlaces; ++i) {
      const double s = length * i / (results::kCurrentPlaces - 1);
      double own = (elements[at]->end - elements[at]->start).norm();
      while (s > before + own && at + 1 < elements.size()) {
        before += own;
        ++at;
        own = (elements[at]->end - elements[at]->start).norm();
      }
      const double xi = std::clamp(2.0 * (s - before) / own - 1.0, -1.0, 1.0);
      wire.current.push_back(to_rms * current_at(*elements[at], xi));
    }
    list.push_back(std::move(wire));
  }
  return list;
}

}  // namespace feldspar::solver

#include "geometry/wire.hpp"

#include <cstddef>

namespace feldspar::geometry {

double length(const std::vector<Span>& spans) {
  double total = 0.0;
  for (const Span& span : spans) total += span.to - span.from;
  return total;
}

double length(const Wire& wire) {
  double total = 0.0;
  for (std::size_t i = 1; i < wire.path.size(); ++i) total += (wire.path[i] - wire.path[i - 1]).norm();
  return total;
}

Vec3 point_at(const Wire& wire, double s) {
  for (std::size_t i = 1; i < wire.path.size(); ++i) {
    const double piece = (wire.path[i] - wire.path[i - 1]).norm();
    if (s <= piece) return wire.path[i - 1] + (wire.path[i] - wire.path[i - 1]) * (s > 0.0 ? s / piece : 0.0);
    s -= piece;
  }
  return wire.path.back();
}

}  // namespace feldspar::geometry

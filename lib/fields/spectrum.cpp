#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "core/error.hpp"
#include "fields/spectrum_detail.hpp"
#include "fields/spherical_bessel_detail.hpp"

namespace feldspar::fields::detail {

namespace {

// J0(sqrt(q)) = sum (-q/4)^k / k!^2 [DLMF 10.2.2]. The argument is a few at most: tubes are thin against the
// wave and lie higher than their radius.
template <class T>
T bessel_j0_of_root(T q) noexcept {
  T term = T(1.0);
  T sum = term;
  for (int k = 1; k < 60; ++k) {
    term *= -0.25 * q / static_cast<double>(k * k);
    sum += term;
    if (std::abs(term) < 1e-16 * std::abs(sum)) break;
  }
  return sum;
}

constexpr std::array<Complex, 4> kPowersOfJ = {Complex(1, 0), Complex(0, 1), Complex(-1, 0), Complex(0, -1)};

Complex power_of_j(int n) {
  return kPowersOfJ[static_cast<std::size_t>(n % 4)];
}

// P_n' = sum of (2k+1) P_k over k = n-1, n-3, ...; (2k+1) x P_k = (k+1) P_(k+1) + k P_(k-1); d/ds =
// (2/length) d/dx.
void set_charge(Element& e, const Eigen::VectorXcd& current) {
  if (e.degree == 0) return;
  std::vector<Complex> lift(static_cast<std::size_t>(e.degree) + 1, 0.0);
  for (int k = 0; k < e.degree; ++k) {
    Complex slope = 0.0;
    for (int n = k + 1; n <= e.degree; n += 2) slope += current[n];
    const auto i = static_cast<std::size_t>(k);
    lift[i] += e.middle.z() * (2.0 * k + 1.0) * slope;
    lift[i + 1] += e.half.z() * (k + 1.0) * slope;
    if (k > 0) lift[i - 1] += e.half.z() * static_cast<double>(k) * slope;
    e.charge.push_back(2.0 * (2.0 * k + 1.0) * power_of_j(k) * slope);
  }
  for (int k = 0; k <= e.degree; ++k)
    e.lift.push_back(2.0 * power_of_j(k) * lift[static_cast<std::size_t>(k)]);
}

// x P_n = ((n+1) P_(n+1) + n P_(n-1)) / (2n+1).
void set_arm(Element& e, const Eigen::VectorXcd& current) {
  std::vector<Complex> arm(static_cast<std::size_t>(e.degree) + 2, 0.0);
  for (int n = 0; n <= e.degree; ++n) {
    const auto i = static_cast<std::size_t>(n);
    const Complex part = e.half.z() * current[n] / (2.0 * n + 1.0);
    arm[i] += e.middle.z() * current[n];
    arm[i + 1] += (n + 1.0) * part;
    if (n > 0) arm[i - 1] += static_cast<double>(n) * part;
  }
  for (int n = 0; n <= e.degree + 1; ++n)
    e.arm.push_back(e.length * power_of_j(n) * arm[static_cast<std::size_t>(n)]);
}

}  // namespace

double tube_factor(double q) noexcept {
  return bessel_j0_of_root(q);
}
Complex tube_factor(Complex q) noexcept {
  return bessel_j0_of_root(q);
}

double level_ring(const moment::ElementCurrent& e) noexcept {
  const Vec3 along = e.end - e.start;
  const double steepness = std::abs(along.z()) / along.norm();
  if (steepness < 1e-9) return 0.0;
  if (1.0 - steepness < 1e-12) return e.radius;  // its rings are level already
  const bool clear =
      std::min(std::abs(e.start.z()), std::abs(e.end.z())) >= std::max(1.0, 3.0 * steepness) * e.radius;
  return clear ? 0.0 : 2.0 * e.radius / (1.0 + steepness);
}

std::vector<Element> prepare(const moment::Currents& currents) {
  std::vector<Element> elements;
  elements.reserve(currents.size());
  for (const moment::ElementCurrent& c : currents) {
    const int degree = static_cast<int>(c.coefficients.size()) - 1;
    const double length = (c.end - c.start).norm();
    if (degree < 0 || degree > kMaxDegree || !(length > 0.0)) {
      throw core::Error(
          core::ErrorKind::usage,
          fmt::format("an element of {} m with {} current coefficients cannot radiate; it needs a length "
                      "and 1 to {} coefficients",
                      length, degree + 1, kMaxDegree + 1));
    }
    Element e{c.start,
              c.end,
              0.5 * (c.start + c.end),
              0.5 * (c.end - c.start),
              (c.end - c.start) / length,
              length,
              c.radius,
              (c.end - c.start).head<2>().norm() > 1e-6 * length ? level_ring(c) : 0.0,
              std::min(c.start.z(), c.end.z()),
              degree,
              {},
              {},
              {},
              {}};
    e.weights.resize(static_cast<std::size_t>(degree) + 1);
    for (int n = 0; n <= degree; ++n) {
      e.weights[static_cast<std::size_t>(n)] = length * power_of_j(n) * c.coefficients[n];
    }
    set_charge(e, c.coefficients);
    set_arm(e, c.coefficients);
    elements.push_back(std::move(e));
  }
  return elements;
}

Complex spectrum(const Element& e, double kx, double ky, Complex g, Complex k) noexcept {
  return spectrum_pair(e, kx, ky, g, k).current;
}

SpectrumPair spectrum_pair(const Element& e, double kx, double ky, Complex g, Complex k) noexcept {
  const auto wave = [&](const Vec3& r) {
    return std::exp(Complex(0.0, kx * r.x() + ky * r.y()) - g * r.z());
  };
  const Complex x = kx * e.half.x() + ky * e.half.y() + Complex(0.0, 1.0) * g * e.half.z();
  std::array<Complex, kMaxDegree + 2> bessel;
  spherical_bessel(x, wave(e.end), wave(e.start), wave(e.middle), e.degree + 1, bessel.data());
  SpectrumPair sum{0.0, 0.0, 0.0, 0.0};
  for (std::size_t n = 0; n < e.weights.size(); ++n) sum.current += e.weights[n] * bessel[n];
  for (std::size_t n = 0; n < e.charge.size(); ++n) sum.slope += e.charge[n] * bessel[n];
  for (std::size_t n = 0; n < e.lift.size(); ++n) sum.lift += e.lift[n] * bessel[n];
  for (std::size_t n = 0; n < e.arm.size(); ++n) sum.arm += e.arm[n] * bessel[n];
  const Complex along = 2.0 * x / e.length;
  const Complex tube = e.level_ring > 0.0
                           ? Complex(tube_factor(e.level_ring * e.level_ring * (kx * kx + ky * ky)))
                           : tube_factor(e.radius * e.radius * (k * k - along * along));
  return {tube * sum.current, tube * sum.slope, tube * sum.lift, tube * sum.arm};
}

bool below_surface(const Element& e) {
  const double highest = std::max(e.start.z(), e.end.z());
  const double slack = 1e-9 * e.length;
  if (e.lowest < -slack && highest > slack) {
    throw core::Error(core::ErrorKind::usage,
                      fmt::format("an element from z = {} m to z = {} m passes through the surface; cut it "
                                  "at z = 0",
                                  e.start.z(), e.end.z()));
  }
  return e.lowest < -slack;
}

moment::ElementCurrent mirrored(const moment::ElementCurrent& e) {
  moment::ElementCurrent image = e;
  image.start.z() *= -1.0;
  image.end.z() *= -1.0;
  return image;
}

std::vector<EndCharge> end_charges(const moment::Currents& currents) {
  struct Node {
    Vec3 at;
    double radius;
    Complex out;
  };
  std::vector<Node> nodes;
  double largest = 0.0;
  const auto add = [&](const Vec3& at, double radius, Complex out) {
    largest = std::max(largest, std::abs(out));
    for (Node& node : nodes) {
      if ((node.at - at).norm() <= 1e-9 * (1.0 + at.norm())) {
        node.radius = std::max(node.radius, radius);
        node.out += out;
        return;
      }
    }
    nodes.push_back({at, radius, out});
  };
  for (const moment::ElementCurrent& c : currents) {
    Complex at_end = 0.0;
    Complex at_start = 0.0;
    for (Eigen::Index n = 0; n < c.coefficients.size(); ++n) {
      at_end += c.coefficients[n];
      at_start += (n % 2 == 0 ? 1.0 : -1.0) * c.coefficients[n];
      largest = std::max(largest, std::abs(c.coefficients[n]));
    }
    add(c.end, c.radius, at_end);
    add(c.start, c.radius, -at_start);
  }
  // What is left over at one place may go on at another within the tube. Joints without charge have no part
  // in it: a thick wire may hold many of a thin one's.
  std::vector<Node> left;
  for (const Node& node : nodes) {
    if (std::abs(node.out) <= 1e-7 * largest) continue;
    const auto near = std::find_if(left.begin(), left.end(), [&](const Node& n) {
      return (n.at - node.at).norm() <= 1.001 * std::max(n.radius, node.radius);
    });
    if (near == left.end()) {
      left.push_back(node);
    } else {
      near->out += node.out;
    }
  }
  std::vector<EndCharge> charges;
  for (const Node& node : left) {
    if (std::abs(node.out) > 1e-7 * largest) charges.push_back({node.at, node.out});
  }
  return charges;
}

}  // namespace feldspar::fields::detail

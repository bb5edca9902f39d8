#include "media/wire_mode.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include "core/constants.hpp"
#include "core/error.hpp"
#include "math/bessel.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
constexpr Complex kJ{0.0, 1.0};

/// Which root of u1^2 = k^2 + beta^2 - k1^2 is meant. `outgoing`: the root that continues waves leaving into
/// the soil, on a path above its branch point. `either`: outgoing where the current outruns the soil's wave.
enum class Sheet { either, decaying, outgoing };

/// Root with Re >= 0.
Complex decaying_root(Complex square) {
  return std::sqrt(square);  // the principal one
}

/// K_0(r sqrt(square)), decaying, or outgoing for square near the negative axis: -j pi/2 H_0^(2)(kappa r).
Complex potential(Complex square, double r, bool outgoing) {
  if (!outgoing) {
    const Complex w = r * decaying_root(square);
    return std::exp(-w) * math::bessel_k_scaled(w).order0;
  }
  const Complex z = r * std::sqrt(-square);
  const Complex hankel =
      z.imag() <= 0.0 ? std::exp(-kJ * z) * math::hankel2_scaled(z).order0
                      : 2.0 * math::bessel_j(z).order0 - std::exp(kJ * z) * math::hankel1_scaled(z).order0;
  return -0.5 * core::kPi * kJ * hankel;
}

/// Nodes of the double-exponential rule on [0, 1], Takahasi and Mori 1974: `left` and `right` are the
/// distances from the ends, so that neither is lost to rounding.
struct DoubleExponential {
  struct Node {
    double left, right, weight;
  };
  std::vector<Node> nodes;
  DoubleExponential() {
    constexpr double kStep = 0.0625;
    constexpr int kHalf = 56;  // to t = 3.5, where the weights are below 1e-19
    for (int i = -kHalf; i <= kHalf; ++i) {
      const double t = kStep * i;
      const double q = std::exp(-core::kPi * std::abs(std::sinh(t)));
      const double near = q / (1.0 + q);
      const double far = 1.0 / (1.0 + q);
      const double weight = kStep * core::kPi * std::cosh(t) * near * far;
      nodes.push_back({t < 0.0 ? near : far, t < 0.0 ? far : near, weight});
    }
  }
};
const DoubleExponential& rule() {
  static const DoubleExponential made;
  return made;
}

struct Pair {
  Complex a, p;
};

class ModeEquation {
 public:
  ModeEquation(const LongWire& wire, double height, Complex n2, core::Frequency f, Sheet sheet)
      : n2_(n2),
        k0_(core::angular(f) / core::kSpeedOfLight),
        distance_(std::abs(height)),
        below_(height < 0.0),
        sheet_(sheet),
        radius_(wire.radius + wire.coat_thickness),
        log_coat_(std::log1p(wire.coat_thickness / wire.radius)),
        coat_permittivity_(wire.coat_permittivity),
        series_(2.0 * core::kPi * kJ * core::angular(f) * core::kVacuumPermittivity *
                wire.internal_impedance / (k0_ * k0_)) {}

  /// slowness^2 that goes with the potentials at another slowness^2: a fixed point is a solution, and since
  /// the potentials hang on it only through logarithms, iterating leads there fast.
  [[nodiscard]] Complex next(Complex s2) const {
    const Pair u = potentials(s2);
    return (u.a + log_coat_ - series_) / (u.p + log_coat_ / coat_permittivity_);
  }

 private:
  /// Vector and scalar potential at the wire's surface, infinite wire, in units of 1 / (2 pi eps_0 ...).
  [[nodiscard]] Pair potentials(Complex s2) const {
    const double k2 = k0_ * k0_;
    const Complex air = (s2 - 1.0) * k2;   // u0^2 - k^2
    const Complex soil = (s2 - n2_) * k2;  // u1^2 - k^2
    const bool outgoing = sheet_ == Sheet::outgoing || (sheet_ == Sheet::either && soil.real() < 0.0);
    const Complex image = (n2_ - 1.0) / (n2_ + 1.0);
    const Pair rest = integrate(air, soil, outgoing);
    const Complex own = below_ ? soil : air;
    const bool leaks = below_ && outgoing;
    const Complex direct = potential(own, radius_, leaks);
    const Complex mirrored = image * potential(own, 2.0 * distance_, leaks);
    if (below_) return {direct + rest.a, (direct + mirrored + rest.p) / n2_};
    return {direct + rest.a, direct - mirrored + rest.p};
  }

  /// What the reflected potentials have besides the static image, over the transverse wavenumber k.
  [[nodiscard]] Pair integrand(Complex k, Complex air, Complex soil, Complex branch, bool outgoing) const {
    const Complex u0 = decaying_root(k * k + air);
    // With its cut downwards from the branch point, which the path passes above.
    static const Complex kRootOfJ = std::sqrt(kJ);
    const Complex u1 = outgoing ? kRootOfJ * std::sqrt(-kJ * (k - branch)) * std::sqrt(k + branch)
                                : decaying_root(k * k + soil);
    const Complex d1 = u0 + u1;
    const Complex g = (n2_ - 1.0) * (k0_ * k0_) / (d1 * d1);
    const Complex w = 2.0 * (n2_ - 1.0) / (d1 * (n2_ * u0 + u1));
    const Complex image = (n2_ - 1.0) / (n2_ + 1.0);
    const Complex u = below_ ? u1 : u0;
    const Complex fade = std::exp(-2.0 * distance_ * u);
    if (below_) return {-g / u1 * fade, (-g / u1 + u1 * w - image / u1) * fade};
    return {g / u0 * fade, (g / u0 - u0 * w + image / u0) * fade};
  }

  [[nodiscard]] Pair integrate(Complex air, Complex soil, bool outgoing) const {
    const Complex branch = std::sqrt(-soil);
    const std::vector<Complex> path = make_path(air, soil, outgoing);
    Pair sum{};
    const auto add = [&](Complex k, Complex weight) {
      const Pair value = integrand(k, air, soil, branch, outgoing);
      sum.a += weight * value.a;
      sum.p += weight * value.p;
    };
    for (const DoubleExponential::Node& node : rule().nodes) {
      for (std::size_t i = 1; i < path.size(); ++i) {
        const Complex step = path[i] - path[i - 1];
        add(node.left < 0.5 ? path[i - 1] + node.left * step : path[i] - node.right * step,
            node.weight * step);
      }
      const double last = path.back().real();  // k = last (1 + x / (1 - x))
      add(last / node.right, node.weight * last / (node.right * node.right));
    }
    return sum;
  }

  /// Corners of the path from 0 to where only the tail is left: its pieces end at the branch points, or near
  /// them, where the integrand changes fast.
  [[nodiscard]] std::vector<Complex> make_path(Complex air, Complex soil, bool outgoing) const {
    std::vector<double> corners{std::sqrt(std::abs(air))};
    const double air_branch = std::max(0.0, std::sqrt(-air).real());
    if (air_branch > 1e-3 * corners.front()) corners.push_back(air_branch);
    const double soil_scale = std::sqrt(std::abs(soil));
    std::vector<Complex> over;  // the soil's branch point
    if (outgoing) {
      const Complex branch = std::sqrt(-soil);
      const double at = branch.real();
      const bool between = air.real() < 0.0 && air_branch < at;  // beyond the air's branch point
      const double start = between ? 0.5 * (air_branch + at) : 0.5 * at;
      const double top = std::max(0.0, branch.imag()) + at - start;
      over = {start, Complex{at, top}, 2.0 * at - start};
      std::erase_if(corners, [&](double c) { return c >= start; });
    } else {
      corners.push_back(soil_scale);
    }
    std::sort(corners.begin(), corners.end());
    std::vector<Complex> path{0.0};
    const auto go_to = [&path](Complex corner) {  // in steps of which the rule sees both ends
      constexpr double kLargestRatio = 30.0;
      const double from = std::abs(path.back());
      const double ratio = std::abs(corner) / from;
      if (from > 0.0 && ratio > kLargestRatio) {
        const int steps = static_cast<int>(std::ceil(std::log(ratio) / std::log(kLargestRatio)));
        for (int i = 1; i < steps; ++i)
          path.emplace_back(from * std::pow(ratio, i / static_cast<double>(steps)));
      }
      if (corner != path.back()) path.push_back(corner);
    };
    for (const double corner : corners) go_to(corner);
    for (const Complex corner : over) go_to(corner);
    for (const double more : {2.0 * k0_, 2.0 * soil_scale})
      if (path.back().real() < more) go_to(more);
    return path;
  }

  Complex n2_;
  double k0_;
  double distance_;  // of axis and surface, m
  bool below_;
  Sheet sheet_;
  double radius_;  // outer
  double log_coat_;
  double coat_permittivity_;
  Complex series_;
};

bool usable(Complex s2) {
  return std::isfinite(s2.real()) && std::isfinite(s2.imag()) && s2 != 0.0;
}

/// A fixed point of the equation by secants, or nothing.
std::optional<Complex> find_solution(const ModeEquation& equation, Complex start) {
  constexpr int kFirst = 4;
  constexpr int kMost = 40;
  constexpr double kClose = 1e-12;
  Complex x0 = start;
  for (int i = 0; i < kFirst && usable(x0); ++i) x0 = equation.next(x0);
  if (!usable(x0)) return std::nullopt;
  Complex f0 = x0 - equation.next(x0);
  Complex x1 = x0 - f0;
  for (int i = 0; i < kMost && usable(x1); ++i) {
    const Complex f1 = x1 - equation.next(x1);
    if (std::abs(f1) <= kClose * std::abs(x1)) return x1;
    if (!usable(f1 - f0)) return std::nullopt;
    const Complex x2 = x1 - f1 * (x1 - x0) / (f1 - f0);
    x0 = x1;
    f0 = f1;
    x1 = x2;
  }
  return std::nullopt;
}

void require(bool fine, const std::string& message) {
  if (!fine) throw core::Error(core::ErrorKind::usage, message);
}

void validate(const LongWire& wire, double height, Complex n2, core::Frequency f) {
  require(std::isfinite(wire.radius) && wire.radius > 0.0,
          fmt::format("a wire's radius must be above 0 m, not {:g}", wire.radius));
  require(std::isfinite(wire.coat_thickness) && wire.coat_thickness >= 0.0,
          fmt::format("a coat's thickness must be 0 m or more, not {:g}", wire.coat_thickness));
  require(std::isfinite(wire.coat_permittivity) && wire.coat_permittivity >= 1.0,
          fmt::format("a coat's relative permittivity must be at least 1, not {:g}", wire.coat_permittivity));
  const double outer = wire.radius + wire.coat_thickness;
  require(std::isfinite(height) && std::abs(height) >= outer * (1.0 - 1e-9),
          fmt::format("the wire's axis is {:g} m from the surface, nearer than its outer radius {:g} m",
                      height, outer));
  require(std::isfinite(f.si) && f.si > 0.0, fmt::format("the frequency must be above 0 Hz, not {:g}", f.si));
  require(usable(n2) && n2.imag() <= 0.0 && std::abs(n2 - 1.0) > 1e-3,
          fmt::format("a soil's permittivity must differ from air's and have no gain, not {:g}{:+g}j",
                      n2.real(), n2.imag()));
}

}  // namespace

WireMode wire_mode(const LongWire& wire, core::Length height, Complex n2, core::Frequency f) {
  validate(wire, height.si, n2, f);
  const Complex start = height.si < 0.0 ? n2 * Complex{1.0, -2e-3} : Complex{1.7, -0.13};
  for (const Sheet sheet : {Sheet::either, Sheet::outgoing, Sheet::decaying}) {
    const auto found = find_solution(ModeEquation(wire, height.si, n2, f, sheet), start);
    if (!found) continue;
    const Complex slowness = std::sqrt(*found);
    if (slowness.imag() > 1e-9) continue;  // would grow along the wire
    WireMode mode;
    mode.slowness = slowness;
    mode.velocity_factor = 1.0 / slowness.real();
    mode.attenuation_db = -core::kDecibelPerNeper * slowness.imag() * core::angular(f) / core::kSpeedOfLight;
    return mode;
  }
  throw core::Error(core::ErrorKind::numerics,
                    fmt::format("no wave along a wire {:g} m {} the soil was found at {:g} MHz",
                                std::abs(height.si), height.si < 0.0 ? "below" : "above", f.si / 1e6));
}

}  // namespace feldspar::media

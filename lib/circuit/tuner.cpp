#include "circuit/tuner.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "circuit/reflection.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

constexpr double kMatch = 1e-9;  // |rho| that counts as matched

/// From the radio to the load: arm, bridge, arm. Written with impedances for a T; a pi is the same with
/// admittances, arms in shunt and the bridge in series. Arms and bridge are real multiples of their units.
struct Ladder {
  bool coil_in_series;  // a pi
  double target;        // at the input
  Complex load;
  Complex arm_unit;
  Complex bridge_unit;
  double least_arm;
  double largest_arm;
  double least_bridge;
  double largest_bridge;
  bool arms_may_lack = false;  // and are 0 then
};

struct Parts {
  double outer = 0.0;  // at the radio
  double bridge = 0.0;
  double inner = 0.0;  // at the load
};

struct Found {
  Parts parts;
  TwoPort two_port;
  double loss_db;
};

/// alpha + beta u + gamma v + delta u v = 0, u and v real.
struct Bilinear {
  Complex alpha, beta, gamma, delta;
};

struct Pair {
  double u, v;
};

/// Real roots of a x^2 + b x + c = 0 without cancellation.
std::vector<double> real_roots(double a, double b, double c) {
  const double discriminant = b * b - 4.0 * a * c;
  if (!(discriminant >= 0.0)) return {};
  const double q = -0.5 * (b + std::copysign(std::sqrt(discriminant), b));
  std::vector<double> roots;
  if (a != 0.0) roots.push_back(q / a);
  if (q != 0.0) roots.push_back(c / q);
  return roots;
}

/// One step of Newton's method, for what rounding has left.
Pair refined(const Bilinear& e, Pair at) {
  const Complex rest = e.alpha + e.beta * at.u + e.gamma * at.v + e.delta * at.u * at.v;
  const Complex by_u = e.beta + e.delta * at.v;
  const Complex by_v = e.gamma + e.delta * at.u;
  const double determinant = (std::conj(by_u) * by_v).imag();
  if (determinant == 0.0) return at;
  return {at.u - (std::conj(rest) * by_v).imag() / determinant,
          at.v - (std::conj(by_u) * rest).imag() / determinant};
}

/// v = -(alpha + beta u) / (gamma + delta u) is real where a quadratic in u vanishes.
std::vector<Pair> solutions(const Bilinear& e) {
  const double constant = (e.alpha * std::conj(e.gamma)).imag();
  const double linear = (e.beta * std::conj(e.gamma) + e.alpha * std::conj(e.delta)).imag();
  const double square = (e.beta * std::conj(e.delta)).imag();
  std::vector<Pair> found;
  for (const double u : real_roots(square, linear, constant)) {
    const double v = (-(e.alpha + e.beta * u) / (e.gamma + e.delta * u)).real();
    if (std::isfinite(u) && std::isfinite(v)) found.push_back(refined(e, refined(e, {u, v})));
  }
  return found;
}

std::vector<Parts> with_inner(const Ladder& l, double inner) {
  const Complex y = 1.0 / (l.load + inner * l.arm_unit);
  std::vector<Parts> parts;
  for (const Pair& p : solutions(
           {l.target * y - 1.0, l.target * l.bridge_unit, -l.arm_unit * y, -l.arm_unit * l.bridge_unit}))
    parts.push_back({p.v, p.u, inner});
  return parts;
}

std::vector<Parts> with_outer(const Ladder& l, double outer) {
  const Complex y = 1.0 / (l.target - outer * l.arm_unit);
  std::vector<Parts> parts;
  for (const Pair& p :
       solutions({y * l.load - 1.0, -l.bridge_unit * l.load, y * l.arm_unit, -l.bridge_unit * l.arm_unit}))
    parts.push_back({outer, p.u, p.v});
  return parts;
}

std::vector<Parts> with_bridge(const Ladder& l, double bridge) {
  const Complex q = bridge * l.bridge_unit;
  const Complex s = l.arm_unit;
  std::vector<Parts> parts;
  for (const Pair& p : solutions({l.target * (1.0 + q * l.load) - l.load, -s * (1.0 + q * l.load),
                                  s * (l.target * q - 1.0), -q * s * s}))
    parts.push_back({p.u, bridge, p.v});
  return parts;
}

/// Limits hold to rounding, so that a part set to its limit stays inside.
bool between(double value, double least, double largest) {
  constexpr double kRounding = 1e-12;
  return value >= least * (1.0 - kRounding) && value <= largest * (1.0 + kRounding);
}

/// A part that is nothing but rounding is none, whatever its sign: one part alone may do.
Parts without_rounding(const Ladder& l, const Parts& parts) {
  constexpr double kRounding = 1e-13;
  const auto clean = [](double value, double unit) {
    return std::abs(value) < kRounding * unit ? 0.0 : value;
  };
  return {clean(parts.outer, l.target), clean(parts.bridge, 1.0 / l.target), clean(parts.inner, l.target)};
}

bool possible(const Ladder& l, const Parts& parts) {
  const auto arm = [&](double value) {
    return (l.arms_may_lack && value == 0.0) || between(value, l.least_arm, l.largest_arm);
  };
  return arm(parts.outer) && arm(parts.inner) && between(parts.bridge, l.least_bridge, l.largest_bridge);
}

TwoPort two_port_of(const Ladder& l, const Parts& parts) {
  const auto part = [](bool series, Complex value) {
    return series ? series_impedance(value) : shunt_admittance(value);
  };
  return cascade(cascade(part(!l.coil_in_series, parts.outer * l.arm_unit),
                         part(l.coil_in_series, parts.bridge * l.bridge_unit)),
                 part(!l.coil_in_series, parts.inner * l.arm_unit));
}

/// The best match at the reference resistance so far.
class Best {
 public:
  Best(Complex load, double reference) : load_(load), reference_(reference) {}

  /// Takes those in that are possible; tells the least loss among them, infinite without any.
  double consider(const Ladder& l, const std::vector<Parts>& choices) {
    double least = std::numeric_limits<double>::infinity();
    for (const Parts& choice : choices) {
      const Parts parts = without_rounding(l, choice);
      if (!possible(l, parts)) continue;
      const TwoPort two_port = two_port_of(l, parts);
      const Complex input = input_impedance(two_port, load_);
      if (!(std::abs(reflection_coefficient(input, reference_)) < kMatch)) continue;
      const double loss = std::max(0.0, loss_db(two_port, load_));
      least = std::min(least, loss);
      if (found_ && found_->loss_db <= loss) continue;
      found_ = Found{parts, two_port, loss};
      ladder_ = l;
    }
    return least;
  }
  [[nodiscard]] const std::optional<Found>& found() const { return found_; }
  [[nodiscard]] const std::optional<Ladder>& ladder() const { return ladder_; }

 private:
  Complex load_;
  double reference_;
  std::optional<Found> found_;
  std::optional<Ladder> ladder_;
};

/// An L is a T or a pi without one of its arms.
void consider_l(Ladder l, Best& best) {
  l.arms_may_lack = true;
  best.consider(l, with_inner(l, 0.0));
  best.consider(l, with_outer(l, 0.0));
}

/// Golden section between two inner arms round a better one; what is not possible counts as infinite.
void refine(const Ladder& l, double lower, double upper, Best& best) {
  constexpr double kGolden = 0.6180339887498949;
  constexpr int kSteps = 60;
  double a = std::log(lower);
  double b = std::log(upper);
  const auto loss = [&](double x) { return best.consider(l, with_inner(l, std::exp(x))); };
  double x1 = b - kGolden * (b - a);
  double x2 = a + kGolden * (b - a);
  double f1 = loss(x1);
  double f2 = loss(x2);
  for (int i = 0; i < kSteps; ++i) {
    if (f1 <= f2) {
      b = x2;
      x2 = x1;
      f2 = f1;
      f1 = loss(x1 = b - kGolden * (b - a));
    } else {
      a = x1;
      x1 = x2;
      f1 = f2;
      f2 = loss(x2 = a + kGolden * (b - a));
    }
  }
}

/// Every setting where one part stands at a limit; they bound what is possible.
std::vector<Parts> at_limits(const Ladder& l) {
  std::vector<Parts> all;
  const auto add = [&](const std::vector<Parts>& parts) {
    all.insert(all.end(), parts.begin(), parts.end());
  };
  for (const double arm : {0.0, l.least_arm, l.largest_arm}) {
    if (!std::isfinite(arm)) continue;
    add(with_inner(l, arm));
    add(with_outer(l, arm));
  }
  for (const double bridge : {l.least_bridge, l.largest_bridge})
    if (bridge > 0.0 && std::isfinite(bridge)) add(with_bridge(l, bridge));
  return all;
}

/// Whole range of the inner arm, and the limits exactly; then closer round the best.
void consider_three(const Ladder& l, Best& best) {
  constexpr double kStep = 1.1;
  const std::vector<Parts> limits = at_limits(l);
  best.consider(l, limits);
  const double size = std::abs(l.load);
  const double lower = std::max(1e-3 * std::min(l.target, size), l.least_arm);
  const double upper = std::min(1e2 * std::max(l.target, size), l.largest_arm);
  std::vector<double> inner;
  for (double x = lower; x < upper; x *= kStep) inner.push_back(x);
  for (const Parts& parts : limits)
    if (parts.inner > 0.0) inner.push_back(parts.inner);
  std::sort(inner.begin(), inner.end());
  double least = std::numeric_limits<double>::infinity();
  std::size_t at = 0;
  for (std::size_t i = 0; i < inner.size(); ++i)
    if (const double loss = best.consider(l, with_inner(l, inner[i])); loss < least) {
      least = loss;
      at = i;
    }
  if (!std::isfinite(least)) return;
  refine(l, inner[at == 0 ? 0 : at - 1], inner[std::min(at + 1, inner.size() - 1)], best);
}

/// Series capacitors, x (-j + 1/Q) ohm, and a shunt coil, b (-j + 1/Q) siemens.
Ladder t_ladder(const Tuner& tuner, double w, Complex load, double reference) {
  const auto loss = [](double q) { return 1.0 + 1.0 / (q * q); };
  return {false,
          reference,
          load,
          {1.0 / tuner.capacitor_q, -1.0},
          {1.0 / tuner.coil_q, -1.0},
          1.0 / (w * tuner.largest_capacitance * loss(tuner.capacitor_q)),
          std::numeric_limits<double>::infinity(),
          1.0 / (w * tuner.largest_inductance * loss(tuner.coil_q)),
          std::numeric_limits<double>::infinity()};
}

/// Shunt capacitors, b (j + 1/Q) siemens, and a series coil, x (j + 1/Q) ohm.
Ladder pi_ladder(const Tuner& tuner, double w, Complex load, double reference) {
  return {true,
          1.0 / reference,
          1.0 / load,
          {1.0 / tuner.capacitor_q, 1.0},
          {1.0 / tuner.coil_q, 1.0},
          0.0,
          w * tuner.largest_capacitance,
          0.0,
          w * tuner.largest_inductance};
}

void validate(const Tuner& tuner, core::Frequency f, double reference_resistance) {
  const auto above_zero = [](double value, const char* what) {
    if (!(value > 0.0))
      throw core::Error(core::ErrorKind::usage,
                        fmt::format("a tuner needs {} above 0, not {:g}", what, value));
  };
  above_zero(tuner.coil_q, "a quality factor of its coil");
  above_zero(tuner.capacitor_q, "a quality factor of its capacitors");
  above_zero(tuner.largest_swr, "a largest SWR");
  above_zero(tuner.largest_inductance, "a largest inductance");
  above_zero(tuner.largest_capacitance, "a largest capacitance");
  above_zero(f.si, "a frequency");
  above_zero(reference_resistance, "a reference resistance");
}

TunerSetting setting_of(const Tuner& tuner, double w, const Ladder& l, const Found& found) {
  TunerSetting setting;
  setting.matched = true;
  setting.two_port = found.two_port;
  setting.loss_db = found.loss_db;
  setting.coil_in_series = l.coil_in_series;
  const auto inverse = [w](double value, double q) {
    return value > 0.0 ? 1.0 / (w * value * (1.0 + 1.0 / (q * q))) : 0.0;
  };
  const Parts& p = found.parts;
  if (l.coil_in_series) {
    setting.inductance = p.bridge / w;
    setting.capacitance = {p.outer / w, p.inner / w};
  } else {
    setting.inductance = inverse(p.bridge, tuner.coil_q);
    setting.capacitance = {inverse(p.outer, tuner.capacitor_q), inverse(p.inner, tuner.capacitor_q)};
  }
  return setting;
}

}  // namespace

TunerSetting match(const Tuner& tuner, core::Frequency f, std::complex<double> load,
                   double reference_resistance) {
  validate(tuner, f, reference_resistance);
  TunerSetting straight;
  if (!(load.real() > 0.0) || !std::isfinite(std::abs(load))) return straight;
  straight.matched = std::abs(reflection_coefficient(load, reference_resistance)) < kMatch;
  if (straight.matched || swr(load, reference_resistance) > tuner.largest_swr) return straight;

  const double w = core::angular(f);
  const Ladder t = t_ladder(tuner, w, load, reference_resistance);
  const Ladder pi = pi_ladder(tuner, w, load, reference_resistance);
  Best best(load, reference_resistance);
  switch (tuner.network) {
    case Tuner::Network::l:
      consider_l(pi, best);
      consider_l(t, best);
      break;
    case Tuner::Network::t:
      consider_three(t, best);
      break;
    case Tuner::Network::pi:
      consider_three(pi, best);
      break;
  }
  if (!best.found()) return straight;
  return setting_of(tuner, w, *best.ladder(), *best.found());
}

}  // namespace feldspar::circuit

#include "fields/power.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "core/error.hpp"
#include "fields/spectrum_detail.hpp"
#include "math/quadrature.hpp"

namespace feldspar::fields {

namespace {

using core::kPi;
using detail::Complex;
constexpr double kRadiationError = 1e-7;

/// Points that a periodic integrand with harmonics up to `bandwidth` (and a fast decay beyond) needs.
int trapezoid_points(double bandwidth, double refinement) {
  const double margin = 8.0 + 6.0 * std::cbrt(bandwidth);
  return static_cast<int>(std::ceil(bandwidth + refinement * margin));
}

/// Integral of a function of (s, point count for the azimuth) over panels of s; each panel gets the order its
/// share of `oscillation` needs.
template <class F>
double over_panels(const std::vector<double>& edges, double oscillation, double refinement, F&& f) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
    const double half = 0.5 * (edges[i + 1] - edges[i]);
    const double middle = 0.5 * (edges[i + 1] + edges[i]);
    const int order = static_cast<int>(
        std::ceil(0.5 * oscillation * half + refinement * (6.0 + 3.0 * std::cbrt(oscillation * half))));
    const math::Rule& rule = math::gauss_legendre(std::clamp(order, 1, 512));
    for (std::size_t n = 0; n < rule.nodes.size(); ++n) {
      sum += half * rule.weights[n] * f(middle + half * rule.nodes[n]);
    }
  }
  return sum;
}

/// Parts of the transform of I t, A m.
struct Transform {
  Complex radial = 0.0;  ///< along the horizontal wavenumber
  Complex across = 0.0;
  Complex vertical = 0.0;
};

template <class F>
double refine_until_steady(F&& integral, const char* what) {
  double before = integral(1.0);
  for (const double refinement : {1.5, 2.25, 3.4, 5.0, 8.0}) {
    const double now = integral(refinement);
    if (std::abs(now - before) <= kRadiationError * std::abs(now)) return now;
    before = now;
  }
  throw core::Error(core::ErrorKind::numerics, fmt::format("the quadrature of {} did not converge", what));
}

}  // namespace

namespace {

/// Radiation intensity integrated over azimuth at one elevation, W per radian of elevation's sine.
double ring_power(const Pattern& pattern, double elevation, double refinement) {
  const double harmonics = 2.0 * pattern.horizontal_extent() * std::cos(elevation);
  const auto at = [&](double azimuth) {
    return intensity(pattern.at({core::Angle{elevation}, core::Angle{azimuth}}));
  };
  const auto far = pattern.far_region();
  if (far && !far->all_round &&
      elevation <= far->below.si) {  // smooth on either side of the far soil's edges
    const double from = far->from_azimuth.si;
    double width = std::fmod(far->to_azimuth.si - from, 2.0 * kPi);
    if (width < 0.0) width += 2.0 * kPi;
    constexpr double kWidest = 0.5 * kPi;
    std::vector<double> edges;
    const auto add_arc = [&](double start, double end) {
      const int pieces = std::max(1, static_cast<int>(std::ceil((end - start) / kWidest)));
      for (int i = edges.empty() ? 0 : 1; i <= pieces; ++i)
        edges.push_back(start + (end - start) * i / pieces);
    };
    add_arc(from, from + width);
    add_arc(from + width, from + 2.0 * kPi);
    return over_panels(edges, harmonics, refinement, at);
  }
  const int repeats = pattern.rotation_order();
  const int all_round = trapezoid_points(harmonics, refinement);
  const int count = (all_round + repeats - 1) / repeats;
  double ring = 0.0;
  for (int i = 0; i < count; ++i) ring += at(2.0 * kPi * i / (count * repeats));
  return 2.0 * kPi * ring / count;
}

}  // namespace

double sky_power(const Pattern& pattern) {
  const bool free_space = pattern.ground_kind() == media::GroundKind::free_space;
  std::vector<double> edges = {free_space ? -1.0 : 0.0};
  if (pattern.ground_kind() == media::GroundKind::real) {
    const auto far = pattern.far_region();
    double denser = std::abs(pattern.soil_permittivity());
    if (far) denser = std::max(denser, std::abs(far->permittivity));
    // The reflection coefficient for vertical polarisation turns within about 1/|n| of the horizon.
    for (double s = 1.0 / std::sqrt(denser); s < 0.5; s *= 2.5) edges.push_back(s);
    if (far && far->below.si > 0.0 && far->below.si < 0.5 * kPi) edges.push_back(std::sin(far->below.si));
    std::sort(edges.begin(), edges.end());
  }
  edges.push_back(1.0);
  const double oscillation = 2.0 * (pattern.horizontal_extent() + pattern.vertical_extent());
  return refine_until_steady(
      [&](double refinement) {
        return over_panels(edges, oscillation, refinement,
                           [&](double s) { return ring_power(pattern, std::asin(s), refinement); });
      },
      "the power to the sky");
}

double lower_hemisphere_power(const moment::Currents& currents, const media::Ground& ground,
                              core::Frequency f) {
  if (ground.kind != media::GroundKind::real || media::complex_permittivity(ground, f).imag() != 0.0) {
    throw core::Error(core::ErrorKind::usage,
                      "only a soil without conductivity carries power away downwards");
  }
  const Pattern extent(currents, ground, f);
  const double k0 = core::wavenumber(f);
  const double n = std::sqrt(ground.relative_permittivity);
  const double omega_mu = k0 * core::kVacuumImpedance;
  std::vector<detail::Element> above;
  std::vector<detail::Element> below;
  double reach = 0.0;  // greatest height or depth
  for (detail::Element& e : detail::prepare(currents)) {
    reach = std::max({reach, std::abs(e.start.z()), std::abs(e.end.z())});
    (detail::below_surface(e) ? below : above).push_back(std::move(e));
  }

  // Field below in the direction at angle t from straight down: the plane wave of that direction, referred to
  // z = 0, times k1 cos(t) / 2 pi (stationary phase). Of currents above it is the transmitted one: Snell's
  // angle is real up to the critical angle; beyond, the waves in the air decay with height and only low
  // currents reach the soil. Of currents below it is the direct one and the one reflected by the surface.
  const auto intensity_below = [&](double sin_t, double cos_t, double azimuth) {
    const double lambda = n * k0 * sin_t;
    const double c = std::cos(azimuth);
    const double s = std::sin(azimuth);
    const double difference = lambda * lambda - k0 * k0;
    const Complex u0 =
        difference >= 0.0 ? Complex(std::sqrt(difference)) : Complex(0.0, std::sqrt(-difference));
    const Complex u1(0.0, n * k0 * cos_t);
    const Complex j_lambda(0.0, lambda);
    const auto transform = [&](const std::vector<detail::Element>& elements, Complex g, Complex k) {
      Transform sum;
      for (const detail::Element& e : elements) {
        const Complex v = detail::spectrum(e, lambda * c, lambda * s, g, k);
        sum.radial += v * (c * e.tangent.x() + s * e.tangent.y());
        sum.across += v * (c * e.tangent.y() - s * e.tangent.x());
        sum.vertical += v * e.tangent.z();
      }
      return sum;
    };
    const Transform air = transform(above, u0, k0);
    Complex e_across = air.across / (u0 + u1);
    Complex h_across = n * n * (u0 * air.radial + j_lambda * air.vertical) / (n * n * u0 + u1);
    if (!below.empty()) {
      const Transform direct = transform(below, u1, n * k0);
      const Transform upward = transform(below, -u1, n * k0);
      const Complex across = (u1 - u0) / (u1 + u0);
      const Complex in_plane = (n * n * u0 - u1) / (n * n * u0 + u1);
      e_across += (direct.across + across * upward.across) / (2.0 * u1);
      h_across += (u1 * direct.radial + j_lambda * direct.vertical +
                   in_plane * (u1 * upward.radial - j_lambda * upward.vertical)) /
                  (2.0 * u1);
    }
    e_across *= omega_mu;
    const double eta = core::kVacuumImpedance / n;
    const double spread = n * k0 * cos_t / (2.0 * kPi);
    return spread * spread * (std::norm(e_across) / (2.0 * eta) + 0.5 * eta * std::norm(h_across));
  };

  const double horizontal = extent.horizontal_extent();
  const double oscillation = 2.0 * n * (horizontal + k0 * reach);
  const double critical = std::asin(1.0 / n);
  const auto ring = [&](double t, double refinement) {
    const double sin_t = std::sin(t);
    const int count = trapezoid_points(2.0 * n * horizontal * sin_t, refinement);
    double sum = 0.0;
    for (int i = 0; i < count; ++i) sum += intensity_below(sin_t, std::cos(t), 2.0 * kPi * i / count);
    return 2.0 * kPi * sum / count * sin_t;
  };
  return refine_until_steady(
      [&](double refinement) {
        // t = critical -+ x^2 takes the square root out of the critical angle.
        const double inner = std::sqrt(critical);
        const double outer = std::sqrt(0.5 * kPi - critical);
        const auto graded = [](double end) { return std::vector<double>{0.0, 0.1 * end, 0.35 * end, end}; };
        return over_panels(graded(inner), 2.0 * oscillation * inner, refinement,
                           [&](double x) { return 2.0 * x * ring(critical - x * x, refinement); }) +
               over_panels(graded(outer), 2.0 * oscillation * outer, refinement,
                           [&](double x) { return 2.0 * x * ring(critical + x * x, refinement); });
      },
      "the power into the lower hemisphere");
}

double coat_flux(const moment::Currents& currents, std::span<const double> sheath_capacitance_per_wire,
                 core::Frequency f) {
  double watts = 0.0;
  for (const moment::ElementCurrent& e : currents) {
    if (e.wire < 0 || static_cast<std::size_t>(e.wire) >= sheath_capacitance_per_wire.size())
      throw core::Error(core::ErrorKind::usage,
                        fmt::format("no sheath capacitance was given for wire {}", e.wire));
    const double sheath = sheath_capacitance_per_wire[static_cast<std::size_t>(e.wire)];
    const double length = (e.end - e.start).norm();
    const bool at_start = std::abs(e.start.z()) <= 1e-9 * length;
    const bool touches = at_start || std::abs(e.end.z()) <= 1e-9 * length;
    if (!std::isfinite(sheath) || !touches || e.start.z() + e.end.z() > 0.0) continue;
    Complex current = 0.0;
    Complex slope = 0.0;  // dP_n/dx = n (n + 1)/2 at x = 1, of the other parity at -1
    for (Eigen::Index n = 0; n < e.coefficients.size(); ++n) {
      const Complex c = (at_start && n % 2 == 1 ? -1.0 : 1.0) * e.coefficients[n];
      current += c;
      slope += (at_start ? -1.0 : 1.0) * static_cast<double>(n * (n + 1)) / length * c;
    }
    const double along = -0.5 * std::imag(slope * std::conj(current)) / (core::angular(f) * sheath);
    watts += at_start ? along : -along;
  }
  return watts;
}

double half_square_integral(const moment::ElementCurrent& element, double from, double to) {
  const double length = (element.end - element.start).norm();
  const int degree = static_cast<int>(element.coefficients.size()) - 1;
  if (degree < 0 || to <= from) return 0.0;
  double sum = 0.0;
  if (from == -1.0 && to == 1.0) {  // orthogonality: int P_n^2 = 2/(2n+1)
    for (int n = 0; n <= degree; ++n) sum += std::norm(element.coefficients[n]) / (2.0 * n + 1.0);
    return 0.5 * length * sum;
  }
  const math::Rule& rule = math::gauss_legendre(degree + 1);
  std::vector<double> p(static_cast<std::size_t>(degree) + 1);
  for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
    math::legendre(0.5 * (from + to) + 0.5 * (to - from) * rule.nodes[i], degree, p.data());
    Complex current = 0.0;
    for (int n = 0; n <= degree; ++n) current += element.coefficients[n] * p[static_cast<std::size_t>(n)];
    sum += rule.weights[i] * std::norm(current);
  }
  return 0.5 * 0.5 * length * 0.5 * (to - from) * sum;
}

double conductor_loss(const moment::Currents& currents, std::span<const double> resistance_per_wire) {
  double watts = 0.0;
  for (const moment::ElementCurrent& e : currents) {
    if (e.wire < 0 || static_cast<std::size_t>(e.wire) >= resistance_per_wire.size()) {
      throw core::Error(core::ErrorKind::usage, fmt::format("no resistance was given for wire {}", e.wire));
    }
    watts += resistance_per_wire[static_cast<std::size_t>(e.wire)] * half_square_integral(e);
  }
  return watts;
}

double series_loss(const moment::Currents& currents, std::span<const double> resistance_per_element) {
  if (resistance_per_element.size() != currents.size()) {
    throw core::Error(core::ErrorKind::usage, fmt::format("{} resistances were given for {} elements",
                                                          resistance_per_element.size(), currents.size()));
  }
  double watts = 0.0;
  for (std::size_t i = 0; i < currents.size(); ++i)
    watts += resistance_per_element[i] * half_square_integral(currents[i]);
  return watts;
}

double stretch_loss(const moment::Currents& currents, std::span<const ResistiveStretch> stretches) {
  double watts = 0.0;
  for (const ResistiveStretch& s : stretches) {
    if (s.element < 0 || static_cast<std::size_t>(s.element) >= currents.size()) {
      throw core::Error(core::ErrorKind::usage,
                        fmt::format("there is no element {} to hold an insert", s.element));
    }
    watts += s.resistance * half_square_integral(currents[static_cast<std::size_t>(s.element)], s.from, s.to);
  }
  return watts;
}

}  // namespace feldspar::fields

#include <doctest/doctest.h>

#include <cmath>

#include "../support/close.hpp"
#include "core/error.hpp"
#include "fields/power.hpp"
#include "math/quadrature.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields {

using Complex = std::complex<double>;
using testing::relative_error;
using testing::Vec3;

namespace {

constexpr double kPi = core::kPi;
constexpr core::Frequency kF{14.2e6};
const double kK = core::wavenumber(kF);
const double kOmegaMu = kK * core::kVacuumImpedance;
const double kOmegaEps = kK / core::kVacuumImpedance;
const Complex kJ(0.0, 1.0);

media::Ground lossless(double permittivity) {
  media::Ground g;
  g.kind = media::GroundKind::real;
  g.relative_permittivity = permittivity;
  return g;
}

/// Integral over 0 < lambda < k1; the waves beyond carry no power in soil without loss. f(lambda, u0, u1).
template <class F>
Complex over_waves(double n2, F&& f) {
  const double k1 = std::sqrt(n2) * kK;
  const math::Rule& rule = math::gauss_legendre(150);
  Complex sum = 0.0;
  const auto panel = [&](double from, double to, bool square_from, bool square_to) {
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      // Substitutions that take the square roots out of both ends.
      const double x = 0.5 * (1.0 + rule.nodes[i]);
      double t = x;
      double slope = 1.0;
      if (square_from && square_to) {
        t = std::pow(std::sin(0.5 * kPi * x), 2);
        slope = 0.5 * kPi * std::sin(kPi * x);
      } else if (square_to) {
        t = x * (2.0 - x);
        slope = 2.0 * (1.0 - x);
      }
      const double lambda = from + (to - from) * t;
      const Complex u0 = kJ * std::sqrt(Complex(kK * kK - lambda * lambda, 0.0));
      const Complex u1 = kJ * std::sqrt(Complex(k1 * k1 - lambda * lambda, 0.0));
      sum += 0.5 * rule.weights[i] * slope * (to - from) *
             f(lambda, u0.real() < 0.0 ? -u0 : u0, u1);  // Re u0 >= 0
    }
  };
  panel(0.0, kK, false, true);
  if (k1 > kK) panel(kK, k1, true, true);
  return sum;
}

struct Fed {
  double upright;
  double level;
};

/// Power fed to a short dipole of 1 A m at height or depth h of its own medium (n2_own, u_own): what it
/// radiates in that medium unbounded, and the work against the reflected wave.
template <class Reflection>
Fed fed(double n2_soil, double n2_own, double h, Reflection&& reflection) {
  const double k2 = n2_own * kK * kK;
  const double free = core::kVacuumImpedance * std::sqrt(n2_own) * kK * kK / (12.0 * kPi);
  const Complex scale = 1.0 / (4.0 * kPi * kJ * kOmegaEps * n2_own);
  const Complex upright = over_waves(n2_soil, [&](double l, Complex u0, Complex u1) {
    const auto [u, te, tm] = reflection(u0, u1);
    return l * l * l / u * tm * std::exp(-2.0 * u * h);
  });
  const Complex level = over_waves(n2_soil, [&](double l, Complex u0, Complex u1) {
    const auto [u, te, tm] = reflection(u0, u1);
    return 0.5 * l * (k2 / u * te + u * tm) * std::exp(-2.0 * u * h);
  });
  return {free - 0.5 * (scale * upright).real(), free - 0.5 * (scale * level).real()};
}

struct Reflected {
  Complex u;   ///< of the dipole's medium
  Complex te;  ///< of the transverse electric field
  Complex tm;  ///< of the transverse magnetic field
};

Fed fed_below(double n2, double depth) {
  return fed(n2, n2, depth, [&](Complex u0, Complex u1) {
    return Reflected{u1, (u1 - u0) / (u1 + u0), (u1 - n2 * u0) / (u1 + n2 * u0)};
  });
}

Fed fed_above(double n2, double height) {
  return fed(n2, 1.0, height, [&](Complex u0, Complex u1) {
    return Reflected{u0, (u0 - u1) / (u1 + u0), (n2 * u0 - u1) / (u1 + n2 * u0)};
  });
}

/// What two dipoles of 1 A m on one vertical line, one on either side, take from each other.
Fed fed_across(double n2, double height, double depth) {
  const Complex upright = over_waves(n2, [&](double l, Complex u0, Complex u1) {
    return -kJ / (2.0 * kPi * kOmegaEps) * l * l * l / (n2 * u0 + u1) * std::exp(-u0 * height - u1 * depth);
  });
  const Complex level = over_waves(n2, [&](double l, Complex u0, Complex u1) {
    return l / (4.0 * kPi) * (-kJ * kOmegaMu / (u0 + u1) + kJ * u0 * u1 / (kOmegaEps * (n2 * u0 + u1))) *
           std::exp(-u0 * height - u1 * depth);
  });
  return {-upright.real(), -level.real()};
}

double radiated(const moment::Currents& currents, double n2) {
  return sky_power(Pattern(currents, lossless(n2), kF)) + lower_hemisphere_power(currents, lossless(n2), kF);
}

}  // namespace

// Law: in a soil without loss all the power fed is radiated, up or down. What is fed comes from the field at
// the dipole itself, a spectral integral that knows no far field (derived: transmission-line form of the
// plane-wave spectrum, e.g. Michalski and Mosig, IEEE Trans. AP 45(3), 1997).
TEST_CASE("lower hemisphere: with the sky it takes what dipoles below, above and both are fed") {
  const double height = 0.3;
  for (const double n2 : {1.0, 1.2, 4.0, 13.0}) {
    const Fed upper = fed_above(n2, height);
    for (const double depth : {0.01, 0.5, 3.0}) {
      CAPTURE(n2);
      CAPTURE(depth);
      const Fed lower = fed_below(n2, depth);
      const Fed across = fed_across(n2, height, depth);
      const double length = 1e-4 * std::min(depth, height);
      const double tolerance = 1e-6;  // ten times that of the two quadratures
      const auto below = [&](const Vec3& axis) {
        return testing::short_dipole({0, 0, -depth}, axis, length);
      };
      const auto pair = [&](const Vec3& axis) {
        auto both = below(axis);
        both.push_back(testing::short_dipole({0, 0, height}, axis, length).front());
        return both;
      };
      CHECK(relative_error(radiated(below({0, 0, 1}), n2), lower.upright) < tolerance);
      CHECK(relative_error(radiated(below({0.6, 0.8, 0}), n2), lower.level) < tolerance);
      CHECK(relative_error(radiated(below({0.6, 0, 0.8}), n2), 0.36 * lower.level + 0.64 * lower.upright) <
            tolerance);
      CHECK(relative_error(radiated(pair({0, 0, 1}), n2), upper.upright + lower.upright + across.upright) <
            tolerance);
      CHECK(relative_error(radiated(pair({0, 1, 0}), n2), upper.level + lower.level + across.level) <
            tolerance);
    }
  }
}

}  // namespace feldspar::fields

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "../support/close.hpp"
#include "core/error.hpp"
#include "fields/power.hpp"
#include "fields/spectrum_detail.hpp"
#include "math/quadrature.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields {

using Complex = std::complex<double>;
using testing::relative_error;
using testing::Vec3;

namespace {

constexpr double kPi = core::kPi;
const Complex kJ(0.0, 1.0);

struct Place {
  double hz;
  double permittivity;
  double conductivity;

  [[nodiscard]] core::Frequency f() const { return core::Frequency{hz}; }
  [[nodiscard]] double k0() const { return core::wavenumber(f()); }
  [[nodiscard]] double omega_eps() const { return k0() / core::kVacuumImpedance; }
  [[nodiscard]] double omega_mu() const { return k0() * core::kVacuumImpedance; }
  [[nodiscard]] media::Ground ground() const {
    media::Ground g;
    g.kind = media::GroundKind::real;
    g.relative_permittivity = permittivity;
    g.conductivity = conductivity;
    return g;
  }
  [[nodiscard]] Complex n2() const { return media::complex_permittivity(ground(), f()); }
};

/// Integral of f(lambda, u0, u1) from 0 to `end`: panels that grow from the branch points, lambda = k0 sin t
/// and k0 cosh t next to k0.
template <class F>
Complex over_waves(const Place& place, double end, F&& f) {
  const double k0 = place.k0();
  const Complex n2 = place.n2();
  const math::Rule& rule = math::gauss_legendre(20);
  const auto value = [&](double lambda, Complex u0) {
    return f(lambda, u0, kJ * std::sqrt(n2 * k0 * k0 - lambda * lambda));
  };
  Complex sum = 0.0;
  const auto panel = [&](double from, double to, auto&& g) {
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      sum += 0.5 * (to - from) * rule.weights[i] * g(0.5 * (from + to) + 0.5 * (to - from) * rule.nodes[i]);
    }
  };
  for (double from = 0.0, to = 0.5 * kPi / 8.0; from < 0.5 * kPi - 1e-9; from = to, to += 0.5 * kPi / 8.0) {
    panel(from, std::min(to, 0.5 * kPi), [&](double t) {
      return k0 * std::cos(t) * value(k0 * std::sin(t), Complex(0.0, k0 * std::cos(t)));
    });
  }
  // u0 = u is the variable beyond; panels shrink towards the branch point k1 and grow beyond.
  const double branch = std::sqrt(std::max(0.0, n2.real() - 1.0)) * k0;
  std::vector<double> edges = {0.0, end};
  for (double u = 0.05 * k0 / std::sqrt(std::abs(n2)); u < end; u += std::min(0.3 * u, 0.02 * end)) {
    edges.push_back(u);
  }
  for (double gap = 1e-10 * branch; gap < branch; gap *= 2.0) {
    for (const double u : {branch - gap, branch + gap}) {
      if (u < end) edges.push_back(u);
    }
  }
  std::sort(edges.begin(), edges.end());
  for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
    panel(edges[i], edges[i + 1], [&](double u) {
      const double lambda = std::hypot(u, k0);
      return u / lambda * value(lambda, u);
    });
  }
  return sum;
}

/// Power that a dipole of moment p above feeds, alone over the soil and against a dipole q below it on the
/// same vertical line.
double fed_above(const Place& place, bool upright, double height, double depth, Complex p, Complex q) {
  const double k0 = place.k0();
  const Complex n2 = place.n2();
  const double free = core::kVacuumImpedance * k0 * k0 / (12.0 * kPi);
  const Complex own = over_waves(place, 25.0 / height, [&](double l, Complex u0, Complex u1) {
    const Complex te = (u0 - u1) / (u0 + u1);
    const Complex tm = (n2 * u0 - u1) / (n2 * u0 + u1);
    const Complex kernel = upright ? l * l * l / u0 * tm : 0.5 * l * (k0 * k0 / u0 * te + u0 * tm);
    return kernel * std::exp(-2.0 * u0 * height);
  });
  const Complex other = over_waves(place, 45.0 / (height + depth), [&](double l, Complex u0, Complex u1) {
    const Complex kernel = upright ? -2.0 * kJ * l * l * l / (n2 * u0 + u1)
                                   : l * (-kJ * k0 * k0 / (u0 + u1) + kJ * u0 * u1 / (n2 * u0 + u1));
    return kernel * std::exp(-u0 * height - u1 * depth);
  });
  const double scale = 1.0 / (4.0 * kPi * place.omega_eps());
  return std::norm(p) * (free - 0.5 * scale * std::real(own / kJ)) -
         0.5 * scale * std::real(other * q * std::conj(p));
}

/// Transform of an upright current with exp(-g |z|), no tube.
Complex upright_transform(const moment::Currents& currents, Complex g, double lambda, Complex k) {
  Complex sum = 0.0;
  for (moment::ElementCurrent e : currents) {
    e.radius = 0.0;
    const detail::Element element = detail::prepare({e}).front();
    sum += element.tangent.z() * detail::spectrum(element, lambda, 0.0, element.middle.z() > 0.0 ? g : -g, k);
  }
  return sum;
}

/// The same for an upright wire through the surface, above and below, of one radius: the part above feeds
/// what it radiates in free space and the work against the waves reflected and sent up from below. Each part
/// alone has an infinite charge at the surface, the sum under the integral has none.
double fed_above(const Place& place, const moment::Currents& above, const moment::Currents& below) {
  const Complex n2 = place.n2();
  const double k0 = place.k0();
  const double a = above.front().radius;
  moment::Currents conjugate = above;
  for (moment::ElementCurrent& e : conjugate) e.coefficients = e.coefficients.conjugate().eval();
  const auto kernel = [&](double l, Complex u0, Complex u1) {
    const Complex up = upright_transform(above, u0, l, k0);
    const Complex down = upright_transform(below, u1, l, k0 * std::sqrt(n2));
    const Complex test = upright_transform(conjugate, u0, l, k0);
    const Complex reflection = (n2 * u0 - u1) / (n2 * u0 + u1);
    const double ring = std::cyl_bessel_j(0.0, l * a);
    return ring * ring * l * l * l * test * (reflection / u0 * up + 2.0 / (n2 * u0 + u1) * down);
  };
  const double end = 100.0 / a;
  const Complex work = over_waves(place, end, kernel);
  // Beyond, the kernel falls like C J0^2(lambda a) / lambda with a mean of C / (pi lambda^2 a).
  const double last = kernel(end, end, end).imag() / std::pow(std::cyl_bessel_j(0.0, end * a), 2) / (kPi * a);
  return sky_power(Pattern(above, {}, place.f())) - (work.imag() + last) / (8.0 * kPi * place.omega_eps());
}

/// Transforms of currents without tubes with exp(j(kx x + ky y) - g |z|): I t along (c, s), across it and
/// upwards.
struct Transform {
  Complex along, across, up;
};
Transform transform(const std::vector<detail::Element>& elements, double lambda, double c, double s,
                    Complex g, Complex k) {
  Transform sum{0.0, 0.0, 0.0};
  for (const detail::Element& element : elements) {
    const Complex n = detail::spectrum(element, lambda * c, lambda * s, element.middle.z() > 0.0 ? g : -g, k);
    sum.along += n * (c * element.tangent.x() + s * element.tangent.y());
    sum.across += n * (c * element.tangent.y() - s * element.tangent.x());
    sum.up += n * element.tangent.z();
  }
  return sum;
}

/// The same as fed_above() for wires in any direction through the surface, their tubes made of level rings of
/// `ring` metres.
double fed_above_any(const Place& place, const moment::Currents& above, const moment::Currents& below,
                     double ring, int azimuths) {
  const auto lines = [](moment::Currents currents) {
    for (moment::ElementCurrent& e : currents) e.radius = 0.0;
    return detail::prepare(currents);
  };
  const std::vector<detail::Element> lines_above = lines(above);
  const std::vector<detail::Element> lines_below = lines(below);
  const Complex n2 = place.n2();
  const double k0 = place.k0();
  const auto kernel = [&](double l, Complex u0, Complex u1) {
    Complex sum = 0.0;
    for (int i = 0; i < azimuths; ++i) {
      const double c = std::cos(2.0 * kPi * (i + 0.5) / azimuths);
      const double s = std::sin(2.0 * kPi * (i + 0.5) / azimuths);
      const Transform a = transform(lines_above, l, c, s, u0, k0);
      const Transform b = transform(lines_below, l, c, s, u1, k0 * std::sqrt(n2));
      const Transform test = transform(lines_above, l, c, s, std::conj(u0), k0);
      // waves that go up from the surface, magnetic field across (TM) and electric field across (TE)
      const Complex reflected = (n2 * u0 - u1) / (n2 * u0 + u1) * (u0 * a.along + kJ * l * a.up) / (2.0 * u0);
      const Complex sent = (-u1 * b.along + kJ * l * b.up) / (n2 * u0 + u1);
      const Complex tm = reflected + sent;
      const Complex te = (u0 - u1) / (u0 + u1) * a.across / (2.0 * u0) + b.across / (u0 + u1);
      sum += tm / (kJ * place.omega_eps()) * (u0 * std::conj(test.along) - kJ * l * std::conj(test.up)) -
             kJ * place.omega_mu() * te * std::conj(test.across);
    }
    const double tube = std::cyl_bessel_j(0.0, l * ring);
    return tube * tube * l * sum / (2.0 * kPi * azimuths);
  };
  const double end = 100.0 / ring;
  const Complex work = over_waves(place, end, kernel);
  const double last =
      kernel(end, end, end).real() / std::pow(std::cyl_bessel_j(0.0, end * ring), 2) / (kPi * ring);
  return sky_power(Pattern(above, {}, place.f())) - 0.5 * (work.real() + last);
}

}  // namespace

// Law: what the currents above feed goes to the sky or down through the surface. What they feed comes from
// the field at the upper dipole itself (derived as in test_lower_hemisphere.cpp).
TEST_CASE("surface flux: dipoles above and below, of any phase") {
  const Place places[] = {
      {14.2e6, 13, 0.005}, {14.2e6, 3, 1e-4}, {1.85e6, 20, 0.03}, {14.2e6, 4, 0}, {28e6, 81, 5}};
  const Complex p(0.8, 0.1);
  for (const Place& place : places) {
    for (const bool upright : {true, false}) {
      const Vec3 axis = upright ? Vec3(0, 0, 1) : Vec3(0.6, 0.8, 0);
      for (const auto& at : {std::pair{0.02, 0.05}, {0.3, 0.02}, {0.05, 0.4}, {2.0, 0.3}}) {
        const double height = at.first;
        const double depth = at.second;
        for (const Complex q : {Complex(1.0, -0.3), Complex(-0.2, 2.0)}) {
          auto currents = testing::short_dipole({0, 0, height}, axis, 1e-4 * height);
          currents.push_back(testing::short_dipole({0, 0, -depth}, axis, 1e-4 * depth).front());
          currents[0].coefficients *= p;
          currents[1].coefficients *= q;
          const double fed = fed_above(place, upright, height, depth, p, q);
          const double sky = sky_power(Pattern(currents, place.ground(), place.f()));
          CAPTURE(place.hz);
          CAPTURE(place.permittivity);
          CAPTURE(upright);
          CAPTURE(height);
          CAPTURE(depth);
          CAPTURE(q.imag());
          CAPTURE(fed);
          CAPTURE(sky);
          const double coarse = ground_power(currents, place.ground(), place.f(), 1e-4);
          const double fine = ground_power(currents, place.ground(), place.f(), 1e-7);
          // Of the power that goes one way or the other; 2e-6 is what quadrature leaves, the dipoles' length
          // included.
          const double moved = std::abs(fed) + sky + std::abs(fed - sky);
          CHECK(std::abs(fine - (fed - sky)) < 2e-6 * moved);
          CHECK(std::abs(coarse - (fed - sky)) < 1e-4 * moved);
        }
      }
    }
  }
}

TEST_CASE("surface flux: an upright wire through the surface") {
  const Place places[] = {
      {14.2e6, 13, 0.005}, {14.2e6, 3, 1e-4}, {1.85e6, 20, 0.03}, {1e5, 13, 0.005}, {14.2e6, 81, 5}};
  for (const Place& place : places) {
    const Complex k1 = place.k0() * std::sqrt(place.n2());
    const double mast = std::min(5.0, 3.0 / place.k0());
    for (const double depth : {0.1, 0.5, 3.0}) {
      for (const double radius : {1e-3, 5e-3}) {
        moment::Currents currents;
        testing::add_wire(
            currents, {0, 0, 0}, {0, 0, mast}, 4,
            [&](double s) { return std::sin(place.k0() * (mast - s)) / std::sin(place.k0() * mast); },
            radius);
        const moment::Currents above = currents;
        const int count = std::max(4, static_cast<int>(std::abs(k1) * depth));
        moment::Currents below;
        testing::add_wire(
            below, {0, 0, 0}, {0, 0, -depth}, count,
            [&](double s) { return -std::sin(k1 * (depth - s)) / std::sin(k1 * depth); }, radius);
        currents.insert(currents.end(), below.begin(), below.end());
        const double fed = fed_above(place, above, below);
        const double sky = sky_power(Pattern(currents, place.ground(), place.f()));
        CAPTURE(place.hz);
        CAPTURE(place.permittivity);
        CAPTURE(depth);
        CAPTURE(radius);
        // The average round the tube is left out of all but the leading terms: of order (k1 radius)^2.
        const double tube = 0.02 * std::norm(k1) * radius * radius;
        CHECK(relative_error(ground_power(currents, place.ground(), place.f(), 1e-6), fed - sky) <
              2e-5 + tube);
        CHECK(relative_error(ground_power(currents, place.ground(), place.f(), 1e-4), fed - sky) <
              1e-4 + tube);
        CHECK(relative_error(ground_power(currents, place.ground(), place.f(), 1e-3), fed - sky) <
              1e-3 + tube);
      }
    }
  }
}

// The same law for wires that pass at a slant or bend there.
TEST_CASE("surface flux: a slanting wire through the surface") {
  struct Case {
    Place place;
    Vec3 up, down;  ///< directions from the surface
    double radius;
  };
  const Case cases[] = {
      {{14.2e6, 13, 0.005}, {0.6, 0, 0.8}, {-0.6, 0, -0.8}, 2e-3},
      {{14.2e6, 3, 1e-4}, {0.8, 0, 0.6}, {-0.8, 0, -0.6}, 1e-3},
      {{1.85e6, 20, 0.03}, {0, 0.6, 0.8}, {0, 0.6, -0.8}, 5e-3},
      {{7.1e6, 13, 0.005}, {0.98, 0, 0.199}, {-0.98, 0, -0.199}, 1e-3},
  };
  for (const Case& c : cases) {
    const Complex k1 = c.place.k0() * std::sqrt(c.place.n2());
    const double mast = 2.0;
    const double depth = 0.5;
    const double k0 = c.place.k0();
    const Vec3 up = c.up.normalized();
    const Vec3 down = c.down.normalized();
    moment::Currents above;
    testing::add_wire(
        above, {0, 0, 0}, mast * up, 2,
        [&](double s) { return std::sin(k0 * (mast - s)) / std::sin(k0 * mast); }, c.radius);
    moment::Currents below;
    testing::add_wire(
        below, {0, 0, 0}, depth * down, 2,
        [&](double s) { return -std::sin(k1 * (depth - s)) / std::sin(k1 * depth); }, c.radius);
    moment::Currents currents = above;
    currents.insert(currents.end(), below.begin(), below.end());
    const double ring = 2.0 * c.radius / (1.0 + up.z());
    const double fed = fed_above_any(c.place, above, below, ring, 48);
    const double sky = sky_power(Pattern(currents, c.place.ground(), c.place.f()));
    CAPTURE(c.place.hz);
    CAPTURE(up.z());
    CAPTURE(fed);
    CAPTURE(sky);
    // 2e-5 is what quadrature leaves and that beyond some radii the tubes are round, not made of level rings.
    for (const double error : {1e-3, 1e-4, 2e-5}) {
      const double flux = ground_power(currents, c.place.ground(), c.place.f(), error);
      CHECK(relative_error(flux, fed - sky) < error);
    }
    // Where the mesh cuts the wire makes no difference, be it a tenth of a radius from the surface. Beyond
    // three radii the tube is no more made of level rings: 2e-4 to 3e-4, measured.
    for (const double cut : {0.1 * c.radius, 0.9 * c.radius, 5.0 * c.radius}) {
      moment::Currents cut_current = below;
      const auto upper = [&](double s) { return std::sin(k0 * (mast - s)) / std::sin(k0 * mast); };
      testing::add_wire(cut_current, {0, 0, 0}, cut * up, 1, upper, c.radius);
      testing::add_wire(
          cut_current, cut * up, mast * up, 2, [&](double s) { return upper(s + cut); }, c.radius);
      CAPTURE(cut);
      CHECK(relative_error(ground_power(cut_current, c.place.ground(), c.place.f(), 2e-5),
                           ground_power(currents, c.place.ground(), c.place.f(), 2e-5)) <
            (cut > 3.0 * c.radius ? 5e-4 : 2e-6));
    }
  }
}

namespace {

/// A whip over a stake, with radials at `radial_z`; currents invented, but continuous.
moment::Currents staked_whip(const Place& place, int radials, double radial_z, double depth,
                             const Vec3& shift = Vec3::Zero()) {
  const double k0 = place.k0();
  const Complex k1 = k0 * std::sqrt(place.n2());
  const double mast = 8.0;
  const double reach = 5.0;
  const auto standing = [](Complex k, double length) {
    return [k, length](double s) { return std::sin(k * (length - s)) / std::sin(k * length); };
  };
  moment::Currents c;
  const Complex at_feed = 1.0;
  const Complex in_stake = radials == 0 ? at_feed : Complex(0.3, 0.2);
  const Complex kr = radial_z > 0.0 ? k0 * Complex(1.4, -0.15) : k1;
  const auto wire = [&](const Vec3& from, const Vec3& to, Complex scale, const testing::CurrentOf& shape,
                        double radius) {
    testing::add_wire(
        c, from + shift, to + shift, 5, [&](double s) { return scale * shape(s); }, radius);
  };
  const auto constant = [](double) { return 1.0; };
  if (radial_z > 0.0) {
    wire({0, 0, radial_z}, {0, 0, mast}, at_feed, standing(k0, mast - radial_z), 5e-3);
    wire({0, 0, 0}, {0, 0, radial_z}, in_stake, constant, 5e-3);
    wire({0, 0, 0}, {0, 0, -depth}, -in_stake, standing(k1, depth), 5e-3);
  } else {
    wire({0, 0, 0}, {0, 0, mast}, at_feed, standing(k0, mast), 5e-3);
    wire({0, 0, 0}, {0, 0, radial_z}, -at_feed, constant, 5e-3);
    wire({0, 0, radial_z}, {0, 0, -depth}, -in_stake, standing(k1, depth + radial_z), 5e-3);
  }
  for (int i = 0; i < radials; ++i) {
    const double a = 2.0 * kPi * i / radials + 0.1;
    wire({0, 0, radial_z}, {reach * std::cos(a), reach * std::sin(a), radial_z},
         -(at_feed - in_stake) / static_cast<double>(radials), standing(kr, reach), 1e-3);
  }
  return c;
}

/// Two rods joined by a wire above the soil, a current along it that returns through the soil.
moment::Currents two_rods(double distance, double slope) {
  moment::Currents c;
  const Vec3 left(0, 0, 1);
  const Vec3 right(distance, 0, 1.0 + slope);
  const auto rod = [](double s) { return std::cosh(0.2 * (2.0 - s)) - 1.0; };
  const double top = rod(0.0);
  testing::add_wire(
      c, {0, 0, 0}, {0, 0, -2}, 3, [&](double s) { return -rod(s) / top; }, 8e-3);
  testing::add_wire(
      c, {0, 0, 0}, left, 2, [](double) { return 1.0; }, 8e-3);
  testing::add_wire(
      c, left, right, 6, [](double) { return 1.0; }, 8e-3);
  testing::add_wire(
      c, right, {distance, 0, 0}, 2, [](double) { return 1.0; }, 8e-3);
  testing::add_wire(
      c, {distance, 0, 0}, {distance, 0, -2}, 3, [&](double s) { return rod(s) / top; }, 8e-3);
  return c;
}

}  // namespace

// The upper end of the numerical integral, and with it the share of the form's closed kernels, follows the
// wanted error: the answers must agree within it. The kernels have all orders of level, upright and slanted
// currents on both sides.
TEST_CASE("surface flux: the wanted error is kept, radials above and below, stakes, rods") {
  struct Case {
    Place place;
    moment::Currents currents;
  };
  const Place average{7.1e6, 13, 0.005};
  const Place poor{14.2e6, 3, 1e-4};
  const Place good{3.6e6, 30, 0.03};
  const Case cases[] = {
      {average, staked_whip(average, 4, 0.02, 0.5)},
      {average, staked_whip(average, 4, -0.05, 0.3)},
      {poor, staked_whip(poor, 1, 0.02, 0.5)},
      {poor, staked_whip(poor, 3, -0.02, 0.3)},
      {good, staked_whip(good, 6, -0.1, 0.4)},
      {good, staked_whip(good, 1, 0.05, 1.0)},
      {{1e5, 13, 0.005}, two_rods(20.0, 0.0)},
      {{1e4, 10, 0.01}, two_rods(60.0, 0.0)},
      {average, two_rods(10.0, 2.0)},
  };
  for (const Case& c : cases) {
    CAPTURE(c.place.hz);
    CAPTURE(c.place.permittivity);
    CAPTURE(c.currents.size());
    const auto flux = [&](double error) {
      return ground_power(c.currents, c.place.ground(), c.place.f(), error);
    };
    const double fine = flux(1e-6);
    CHECK(relative_error(flux(1e-3), fine) < 1e-3);
    CHECK(relative_error(flux(1e-4), fine) < 1e-4);
  }
}

TEST_CASE("surface flux: symmetry and place do not change it") {
  const Place place{7.1e6, 13, 0.005};
  for (const double radial_z : {0.03, -0.03}) {
    const auto flux = [&](const Vec3& shift) {
      return ground_power(staked_whip(place, 6, radial_z, 0.5, shift), place.ground(), place.f(), 1e-5);
    };
    CHECK(relative_error(flux({5, -2, 0}), flux(Vec3::Zero())) < 1e-6);
  }
}

// Law: air takes no power, so what currents below send up through the surface is what reaches the sky.
TEST_CASE("surface flux: currents below alone") {
  const Place place{14.2e6, 13, 0.005};
  moment::Currents currents;
  testing::add_wire(
      currents, {-2, 0, -0.1}, {2, 1, -0.3}, 4, [](double s) { return std::exp(Complex(0, -1.2) * s); },
      1e-3);
  const double up = sky_power(Pattern(currents, place.ground(), place.f()));
  CHECK(relative_error(-ground_power(currents, place.ground(), place.f(), 1e-8), up) < 1e-6);
}

TEST_CASE("surface flux: what cannot be computed is refused") {
  const Place place{14.2e6, 13, 0.005};
  const auto flux = [&](const moment::Currents& c) {
    static_cast<void>(ground_power(c, place.ground(), place.f()));
  };
  moment::Currents ends;
  testing::add_wire(
      ends, {0, 0, 0}, {0, 0, 1}, 1, [](double) { return 1.0; }, 1e-3);
  CHECK_THROWS_AS(flux(ends), core::Error);
  CHECK_THROWS_AS(flux(testing::short_dipole({0, 0, 0}, {1, 0, 0}, 0.1)), core::Error);
  CHECK_THROWS_AS(flux(testing::short_dipole({0, 0, 0}, {0, 0, 1}, 0.1)), core::Error);
}

TEST_CASE("surface flux: for which currents it is known") {
  struct Row {
    const char* what;
    Vec3 top, bottom;
    double radius_above, radius_below;
    bool known;
  };
  const double a = 1e-3;
  for (const Row& row : {Row{"upright", {0, 0, 1}, {0, 0, -1}, a, a, true},
                         Row{"another radius below", {0, 0, 1}, {0, 0, -1}, a, 2 * a, false},
                         Row{"slanted", {0.5, 0, 1}, {-0.5, 0, -1}, a, a, false},
                         Row{"bent at the surface", {0, 0, 1}, {0.5, 0, -1}, a, a, false}}) {
    CAPTURE(row.what);
    moment::Currents currents;
    testing::add_wire(
        currents, row.top, Vec3::Zero(), 2, [](double) { return 1.0; }, row.radius_above);
    testing::add_wire(
        currents, Vec3::Zero(), row.bottom, 2, [](double) { return 1.0; }, row.radius_below);
    CHECK(knows_ground_power(currents) == row.known);
  }
  for (const double gap : {0.5 * a, 3.0 * a}) {
    CAPTURE(gap);
    moment::Currents stepped;
    testing::add_wire(
        stepped, {0, 0, 1}, {0, 0, gap}, 2, [](double) { return 1.0; }, 2 * a);
    testing::add_wire(
        stepped, {0, 0, gap}, Vec3::Zero(), 1, [](double) { return 1.0; }, a);
    testing::add_wire(
        stepped, Vec3::Zero(), {0, 0, -1}, 2, [](double) { return 1.0; }, a);
    CHECK(knows_ground_power(stepped) == (gap > 2 * a));
    moment::Currents sloping;
    testing::add_wire(
        sloping, {0, 0, gap}, {1, 0, 1}, 2, [](double) { return 1.0; }, a);
    CHECK(knows_ground_power(sloping) == (gap > a));
  }
  CHECK(knows_ground_power(testing::short_dipole({0, 0, 1}, {1, 0, 0}, 0.1)));
  CHECK_FALSE(knows_ground_power(testing::short_dipole({0, 0, -1}, {1, 0, 0}, 0.1)));
}

}  // namespace feldspar::fields

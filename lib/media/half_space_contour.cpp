#include "media/half_space_contour.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "math/quadrature.hpp"
#include "media/half_space_spectrum.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
constexpr double kPi = std::numbers::pi;
constexpr double kManyRadians = 15.0;  // |k1| rho from which the path round the cuts has fewer nodes

class Builder {
 public:
  Builder(double k0, Complex n2, const Rectangle& cell, ContourGrade grade)
      : k0_(k0),
        n_(std::sqrt(n2)),
        k1_(k0 * n_.real(), k0 * std::min(n_.imag(), 0.0)),
        constants_(k0, n2),
        cell_(cell),
        fine_(grade == ContourGrade::fine) {}

  // Form 1
  Contour bessel_only() {
    const double z = cell_.z_from;
    const double rho = cell_.rho_to;
    const double slope = std::min(std::min(1.0, 0.5 * z / rho), 20.0 * z / (k0_ * rho * rho));
    if (k0_ * z >= 10.0 && slope > 0.15) return ray(std::atan(slope));
    // what is left out beyond `unseen` is below (|k1| / unseen)^2 / R'
    const double unseen = (fine_ ? 1e5 : 1e4) * std::abs(k1_);
    const double u_end = std::min(decay() / z, unseen);
    const double end = std::sqrt(k0_ * k0_ + u_end * u_end);
    const double height = std::min(1.5 / std::max(cell_.rho_to, 0.5 * z), 0.5 * end);
    double from = to_beyond_k1(height, end);
    const double near_end = from;
    const double r = std::hypot(cell_.rho_to, cell_.z_to);
    while (from < end) {
      const double longer = std::min(4.0 * height + 0.5 * (from - near_end), 300.0 / r);
      const double to = from + 1.3 * longer > end ? end : from + longer;
      const double phase = (to - from) * r;
      line(contour_.bessel, {from, height}, {to, height}, points(6 + static_cast<int>(0.4 * phase)));
      from = to;
    }
    return std::move(contour_);
  }

  // Form 1 far above the soil: a straight ray, on which exp(-u0 z) falls as a Gauss function of Re lambda. J
  // rises on it by exp(k0 rho^2 tan(angle) / (4 z)) at most.
  Contour ray(double angle) {
    const double z = cell_.z_from;
    const auto fallen = [&](double t) {
      const Complex at = std::polar(t, angle);
      return (std::sqrt(at - k0_) * std::sqrt(at + k0_)).real() * z - at.imag() * cell_.rho_to;
    };
    double length = std::sqrt(2.0 * k0_ * decay() / (z * std::sin(2.0 * angle)));
    while (fallen(length) < decay()) length *= 1.05;
    const double phase = std::min(0.5 * length / k0_, 1.0) * length * cell_.z_to + length * cell_.rho_to;
    const int panels = 1 + static_cast<int>(phase / 26.0);
    for (int i = 0; i < panels; ++i) {
      line(contour_.bessel, std::polar(length * i / panels, angle),
           std::polar(length * (i + 1) / panels, angle), points(17));
    }
    return std::move(contour_);
  }

  // Form 2
  Contour split_tail() {
    const double height = 1.5 / cell_.rho_to;
    const double turn = to_beyond_k1(height, 1e300);
    const Complex corner(turn, height);
    const double tilt = kPi / 3.0;
    const double length = decay() / (cell_.rho_from * std::sin(tilt) + cell_.z_from * std::cos(tilt));
    const double middle = 0.25 * length;
    for (const double sign : {1.0, -1.0}) {
      auto& nodes = sign > 0.0 ? contour_.hankel1 : contour_.hankel2;
      const Complex direction = std::polar(1.0, sign * tilt);
      line(nodes, corner, corner + middle * direction, points(10), 0.5);
      line(nodes, corner + middle * direction, corner + length * direction, points(10), 0.5);
    }
    return std::move(contour_);
  }

  // Form 3
  Contour branch_cuts() {
    contour_.round_cuts = true;
    const double tilt = cut_tilt();
    const Complex right = std::polar(1.0, -tilt);
    const Complex left = std::polar(1.0, tilt - kPi);
    const double rate = cell_.rho_from * std::sin(tilt) + cell_.z_from * std::cos(tilt);
    const double s_right = std::sqrt(decay() / rate);
    // on the left exp(-u0 z) grows at first as exp(s sqrt(2 k0) z)
    const double growth = std::sqrt(2.0 * k0_) * cell_.z_to;
    const double s_left = (growth + std::sqrt(growth * growth + 4.0 * rate * decay())) / (2.0 * rate);
    const double longest = 2.0 / std::sqrt(rate);
    // the integrand rises by exp(growth^2 / (4 rate)) and must cancel as far again
    const int extra = static_cast<int>(0.15 * growth * growth / rate);
    // near k0 the scales are the pole and k1, as far as k0 R' lets them be seen
    const double s_k1 = std::sqrt(std::abs(k1_ - k0_));
    const double s_pole = std::max(std::min(0.7 * std::sqrt(k0_) / std::abs(n_), s_k1),
                                   1e-6 / (std::hypot(cell_.rho_to, cell_.z_to) * std::sqrt(k0_)));
    graded(s_right, 0.5 * s_pole, 1.5 * s_pole, longest, extra, [&](double s, double weight) {
      const Complex at = k0_ + s * s * right;
      const Complex u0 = s * std::sqrt(right) * quick_sqrt(at + k0_);
      add(contour_.hankel2, at, u0, u1_left_of_cut(at, tilt), weight * s * right);
    });
    graded(s_left, 0.7 * s_pole, 0.0, longest, extra, [&](double s, double weight) {
      const Complex at = k0_ + s * s * left;
      const Complex u0 = -s * std::sqrt(left) * quick_sqrt(at + k0_);
      add(contour_.hankel2, at, u0, u1_left_of_cut(at, tilt), -weight * s * left);
    });
    if (-k1_.imag() * cell_.rho_from < decay()) {
      graded(s_right, 0.7 * std::min(s_k1, std::sqrt(k0_)), 0.0, longest, extra,
             [&](double s, double weight) {
               const Complex at = k1_ + s * s * right;
               const Complex u0 = quick_sqrt(at - k0_) * quick_sqrt(at + k0_);
               const Complex u1 = s * std::sqrt(right) * quick_sqrt(at + k1_);
               add(contour_.hankel2, at, u0, u1, weight * s * right);
               add(contour_.hankel2, at, u0, -u1, -weight * s * right);
             });
    }
    return std::move(contour_);
  }

 private:
  [[nodiscard]] double decay() const { return fine_ ? 26.0 : 19.0; }
  [[nodiscard]] int points(int normal) const { return fine_ ? (3 * normal) / 2 : normal; }

  // Angle below the axis of the right side of the cut of k0: between k1 and the pole, which lies at 90
  // degrees for sea water and further round for other soils. Where k1 is too far away to matter, away from
  // the pole.
  [[nodiscard]] double cut_tilt() const {
    const double k1_angle = -std::arg(k1_ - k0_);
    const bool far = decay() / (0.7 * cell_.rho_from) < 0.6 * std::abs(k1_ - k0_);
    if (k1_angle > 0.2 * kPi && far) return 0.25 * kPi;
    return k1_angle < 0.3 * kPi ? kPi / 3.0 : 0.5 * (k1_angle + 0.5 * kPi);
  }

  // u1 where the cut from k1 runs down at `tilt` and lambda is on its left.
  [[nodiscard]] Complex u1_left_of_cut(Complex lambda, double tilt) const {
    const Complex root = quick_sqrt((lambda - k1_) * std::polar(1.0, tilt - kPi));
    return root * std::polar(1.0, 0.5 * (kPi - tilt)) * quick_sqrt(lambda + k1_);
  }

  // From 0 up a ray at 45 degrees, graded towards 0, where k0 and k1 lie when they are small against the
  // height, and on parallel to the axis to beyond k1, but not beyond `end`; everything varies over the
  // distance `height` there.
  double to_beyond_k1(double height, double end) {
    const double finest = std::max(0.7 * k0_, 1e-5 * height);
    for (double to = height; to > 0.0;) {
      const double from = to > finest ? to / 3.0 : 0.0;
      line(contour_.bessel, from * Complex(1.0, 1.0), to * Complex(1.0, 1.0), points(7));
      to = from;
    }
    const double near_end = std::min(end, std::max(k0_, k1_.real()) + 2.0 * height);
    const double step = 2.0 * height;
    double from = height;
    while (from < near_end) {
      const double to = from + 1.2 * step > near_end ? near_end : from + step;
      line(contour_.bessel, {from, height}, {to, height}, points(10));
      from = to;
    }
    return from;
  }

  void line(std::vector<ContourNode>& nodes, Complex from, Complex to, int n, double factor = 1.0) {
    const math::Rule& rule = math::gauss_legendre(n);
    const Complex middle = 0.5 * (from + to);
    const Complex half = 0.5 * (to - from);
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const Complex at = middle + half * rule.nodes[i];
      const Complex square = at * at;
      const Complex u0 = quick_sqrt(square - k0_ * k0_);
      const Complex u1 = quick_sqrt(square - k1_ * k1_);
      add(nodes, at, u0, u1, factor * half * rule.weights[i]);
    }
  }

  // Panels in s = sqrt(t) from 0 to `end`, of length `start` up to `even` and doubling from there, at most
  // `longest`.
  template <class Node>
  void graded(double end, double start, double even, double longest, int extra, const Node& node) {
    double from = 0.0;
    double length = std::min(start, longest);
    while (from < end) {
      const double to = from + 1.3 * length > end ? end : from + length;
      const math::Rule& rule = math::gauss_legendre(points(9) + extra);
      for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
        node(0.5 * (from + to) + 0.5 * (to - from) * rule.nodes[i], 0.5 * (to - from) * rule.weights[i]);
      }
      from = to;
      length = std::min(to < even ? start : to, longest);
    }
  }

  void add(std::vector<ContourNode>& nodes, Complex lambda, Complex u0, Complex u1, Complex weight) {
    const RestSpectrum s = rest_spectrum(constants_, lambda, u0, u1);
    nodes.push_back({lambda, u0, s.a_h * weight, s.a_v * weight, s.p * weight, s.a_m * weight});
  }

  double k0_;
  Complex n_;
  Complex k1_;
  RestConstants constants_;
  const Rectangle& cell_;
  bool fine_;
  Contour contour_;
};

}  // namespace

namespace {

bool is_steep(const Rectangle& cell) {
  return cell.z_from >= 0.5 * cell.rho_to;
}

// The evanescent part has died away.
bool is_high(double k0, const Rectangle& cell) {
  return k0 * cell.z_from >= 15.0;
}

// exp(k0 z^2 / (4 rho)) is how far the integrand rises on the way round the cut of k0.
bool is_grazing(double k0, const Rectangle& cell) {
  return cell.rho_from > 0.0 && k0 * cell.z_to * cell.z_to <= 20.0 * cell.rho_from;
}

bool is_close(double k0, Complex n2, const Rectangle& cell) {
  return k0 * std::sqrt(std::abs(n2)) * cell.rho_to <= 0.1;
}

}  // namespace

bool has_contour(double k0, Complex n2, const Rectangle& cell) {
  return is_steep(cell) || is_grazing(k0, cell) || is_high(k0, cell) || is_close(k0, n2, cell);
}

Contour make_contour(double k0, Complex n2, const Rectangle& cell, ContourGrade grade) {
  Builder builder(k0, n2, cell, grade);
  if (is_steep(cell) || !is_grazing(k0, cell)) return builder.bessel_only();
  const double k1_rho = k0 * std::sqrt(std::abs(n2)) * cell.rho_from;
  return k1_rho < kManyRadians ? builder.split_tail() : builder.branch_cuts();
}

}  // namespace feldspar::media

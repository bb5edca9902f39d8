#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "core/constants.hpp"
#include "fields/quasi_static_detail.hpp"
#include "kernel/ring_average.hpp"
#include "math/quadrature.hpp"

namespace feldspar::fields::detail {

namespace {

// Pieces next to the surface, in radii of both wires: there 1/R averaged round the tubes is a logarithm,
// which Gauss rules take to some 1e-3 of the piece's share.
constexpr double kFinest = 0.01;
constexpr int kRing = 12;  // points on half a ring where two pieces meet: their share is of the order of
                           // the radius over the length
constexpr int kPierceRing = 64;  // where the current through the surface meets charge: the logarithm's end

enum class Side { above, below, pierce };

/// Samples of a stretch of one element; below the surface, of its image.
struct Piece {
  Side side = Side::above;
  Vec3 start;
  Vec3 end;
  Vec3 tangent;
  Vec3 ring_axis;
  double radius = 0.0;  ///< of the ring
  bool level_ring = false;
  double length = 0.0;
  double from = -1.0;  ///< in the element's coordinate
  double to = 1.0;
  int element = 0;
  std::array<int, 2> children = {-1, -1};
  std::vector<Vec3> at;
  std::vector<Complex> current;  ///< times weight, A m
  std::vector<Complex> slope;    ///< dI/ds times weight, A
};

Vec3 mirrored(const Vec3& v) {
  return {v.x(), v.y(), -v.z()};
}

/// Distance of two segments (p0 p1), (q0 q1).
double distance(const Vec3& p0, const Vec3& p1, const Vec3& q0, const Vec3& q1) {
  const Vec3 u = p1 - p0;
  const Vec3 v = q1 - q0;
  const Vec3 w = p0 - q0;
  const double a = u.squaredNorm();
  const double b = u.dot(v);
  const double c = v.squaredNorm();
  const double determinant = a * c - b * b;
  double s =
      determinant > 1e-12 * a * c ? std::clamp((b * v.dot(w) - c * u.dot(w)) / determinant, 0.0, 1.0) : 0.0;
  double t = c > 0.0 ? std::clamp((b * s + v.dot(w)) / c, 0.0, 1.0) : 0.0;
  s = a > 0.0 ? std::clamp((b * t - u.dot(w)) / a, 0.0, 1.0) : 0.0;
  t = c > 0.0 ? std::clamp((b * s + v.dot(w)) / c, 0.0, 1.0) : 0.0;
  return (w + s * u - t * v).norm();
}

/// 1/R averaged round two level rings; the average over the first is an arithmetic-geometric mean, over the
/// second the sum of some points.
double level_rings(const Vec3& offset, double a, double b, int points) {
  const double aside = offset.head<2>().norm();
  const double z = offset.z();
  if (aside < 1e-6 * (a + b)) return kernel::static_ring_average(std::hypot(z, aside), a, b);
  double sum = 0.0;
  for (int i = 0; i < points; ++i) {
    const double angle = core::kPi * (i + 0.5) / points;  // the other half of the ring is its mirror image
    const double distance =
        std::sqrt(std::max(0.0, aside * aside + b * b + 2.0 * aside * b * std::cos(angle)));
    sum += kernel::static_ring_average(z, distance, a);
  }
  return sum / points;
}

/// The same of rings in any position that do not touch.
double rings(const Vec3& offset, const Vec3& axis_a, double a, const Vec3& axis_b, double b) {
  const Vec3 a1 = a * axis_a.unitOrthogonal();
  const Vec3 a2 = axis_a.cross(a1);
  const Vec3 b1 = b * axis_b.unitOrthogonal();
  const Vec3 b2 = axis_b.cross(b1);
  double sum = 0.0;
  for (int i = 0; i < kRing; ++i) {
    const double at_a = 2.0 * core::kPi * (i + 0.5) / kRing;
    const Vec3 from_b = offset + std::cos(at_a) * a1 + std::sin(at_a) * a2;
    for (int j = 0; j < kRing; ++j) {
      const double at_b = 2.0 * core::kPi * j / kRing;
      sum += 1.0 / (from_b + std::cos(at_b) * b1 + std::sin(at_b) * b2).norm();
    }
  }
  return sum / (kRing * kRing);
}

class Sum {
 public:
  Sum(const OneSide& above, const OneSide& below, std::span<const Pierce> pierces, const QuasiStatic& form)
      : above_(above.currents), below_(below.currents), form_(form) {
    for (const Side side : {Side::above, Side::below}) {
      const OneSide& of = side == Side::above ? above : below;
      for (std::size_t i = 0; i < of.currents.size(); ++i) add_piece(side, static_cast<int>(i), -1.0, 1.0);
      for (const EndCharge& c : of.charges) add_point(side, c.at, 0.0, -c.out);
    }
    for (const Pierce& p : pierces) add_point(Side::pierce, p.at, p.radius, p.current);
  }

  double run(int rotation) {
    const int count = static_cast<int>(pieces_.size());  // the roots; recursion appends children behind them
    double sum = 0.0;
    if (rotation == 1) {
      for (int a = 0; a < count; ++a) {
        for (int b = a; b < count; ++b) sum += (a == b ? 1.0 : 2.0) * pair(a, b);
      }
      return sum / (4.0 * core::kPi);
    }
    // Of the copies round the axis those in the first sector stand for all.
    for (int a = 0; a < count; ++a) {
      const Vec3 middle = 0.5 * (piece(a).start + piece(a).end);
      double share = 1.0;
      if (middle.head<2>().norm() > 1e-9 * (1.0 + std::abs(middle.z()))) {
        if (!in_first_sector(middle, rotation)) continue;
        share = rotation;
      }
      for (int b = 0; b < count; ++b) sum += share * pair(a, b);
    }
    return sum / (4.0 * core::kPi);
  }

 private:
  // The sector's edge is laid where no element's middle can be expected.
  static bool in_first_sector(const Vec3& p, int rotation) {
    constexpr double kEdge = 0.1234567;
    const double turns = (std::atan2(p.y(), p.x()) / (2.0 * core::kPi)) * rotation + kEdge;
    const double folded = turns - rotation * std::floor(turns / rotation);
    return folded < 1.0;
  }

  void add_point(Side side, const Vec3& at, double radius, Complex value) {
    Piece point;
    point.side = side;
    point.start = at;
    point.end = at;
    point.tangent = Vec3::UnitZ();
    point.ring_axis = Vec3::UnitZ();
    point.radius = radius;
    point.level_ring = radius > 0.0;
    point.at = {at};
    point.current = {0.0};
    point.slope = {value};
    pieces_.push_back(std::move(point));
  }

  int add_piece(Side side, int element, double from, double to) {
    const moment::ElementCurrent& e =
        (side == Side::above ? above_ : below_)[static_cast<std::size_t>(element)];
    const int degree = static_cast<int>(e.coefficients.size()) - 1;
    const math::Rule& rule = math::gauss_legendre(std::max(8, degree / 2 + 7));
    Piece piece;
    piece.side = side;
    const auto place = [&](double xi) -> Vec3 {
      return 0.5 * (1.0 - xi) * e.start + 0.5 * (1.0 + xi) * e.end;
    };
    const double length = (e.end - e.start).norm();
    piece.start = place(from);
    piece.end = place(to);
    piece.tangent = (e.end - e.start) / length;
    const double level = level_ring(e);
    piece.level_ring = level > 0.0;
    piece.ring_axis = piece.level_ring ? Vec3::UnitZ() : piece.tangent;
    piece.radius = piece.level_ring ? level : e.radius;
    piece.length = 0.5 * (to - from) * length;
    piece.from = from;
    piece.to = to;
    piece.element = element;
    std::vector<double> p(static_cast<std::size_t>(degree) + 1);
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const double xi = 0.5 * (from + to) + 0.5 * (to - from) * rule.nodes[i];
      math::legendre(xi, degree, p.data());
      Complex current = 0.0;
      Complex slope = 0.0;
      for (int n = 0; n <= degree; ++n) {
        current += e.coefficients[n] * p[static_cast<std::size_t>(n)];
        for (int k = n - 1; k >= 0; k -= 2)
          slope += e.coefficients[n] * ((2.0 * k + 1.0) * p[static_cast<std::size_t>(k)]);
      }
      const double weight = 0.5 * piece.length * rule.weights[i];
      piece.at.push_back(place(xi));
      piece.current.push_back(weight * current);
      piece.slope.push_back(weight * 2.0 / length * slope);
    }
    pieces_.push_back(std::move(piece));
    return static_cast<int>(pieces_.size()) - 1;
  }

  Piece& piece(int i) { return pieces_[static_cast<std::size_t>(i)]; }

  int child(int parent, int which) {
    if (piece(parent).children[static_cast<std::size_t>(which)] < 0) {
      const double middle = 0.5 * (piece(parent).from + piece(parent).to);
      const int made = which == 0
                           ? add_piece(piece(parent).side, piece(parent).element, piece(parent).from, middle)
                           : add_piece(piece(parent).side, piece(parent).element, middle, piece(parent).to);
      piece(parent).children[static_cast<std::size_t>(which)] = made;
    }
    return piece(parent).children[static_cast<std::size_t>(which)];
  }

  double pair(int a, int b) {
    const Side side_a = piece(a).side;
    const Side side_b = piece(b).side;
    if (side_a == side_b && side_a != Side::above) return 0.0;
    const double reach = std::max(piece(a).length, piece(b).length);
    if (reach > kFinest * (piece(a).radius + piece(b).radius) &&
        reach > distance(piece(a).start, piece(a).end, mirrored(piece(b).start), mirrored(piece(b).end))) {
      if (piece(a).length >= piece(b).length) return pair(child(a, 0), b) + pair(child(a, 1), b);
      return pair(a, child(b, 0)) + pair(a, child(b, 1));
    }
    if (side_a == Side::above && side_b == Side::above) return samples(piece(a), piece(b));
    // run() counts every pair in both orders.
    return 0.5 * (side_a < side_b ? through(piece(a), piece(b)) : through(piece(b), piece(a)));
  }

  /// Pairs through the surface; a's side comes first in the order above, below, pierce.
  [[nodiscard]] double through(const Piece& a, const Piece& b) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < a.at.size(); ++i) {
      const Spectrum value = sample(a, i);
      for (std::size_t j = 0; j < b.at.size(); ++j) {
        const Vec3 to_image(a.at[i].x() - b.at[j].x(), a.at[i].y() - b.at[j].y(), a.at[i].z() + b.at[j].z());
        const auto [r, potential] = averaged(a, b, to_image);
        const double z = to_image.z();
        const double rho2 = to_image.x() * to_image.x() + to_image.y() * to_image.y();
        const double far = std::sqrt(rho2 + (z + form_.b) * (z + form_.b));
        const double log_ratio = std::log((r + z) / (far + z + form_.b));
        const Orders orders{potential, -log_ratio, z * log_ratio - r + far};
        if (b.side == Side::below) {
          sum += form_.across.across(value, sample(b, j), orders);
        } else if (a.side == Side::above) {
          sum += form_.across.pierce_above(value, b.slope[j], orders);
        } else {
          sum += form_.across.pierce_below(value, b.slope[j], orders);
        }
      }
    }
    return sum;
  }

  [[nodiscard]] static Spectrum sample(const Piece& p, std::size_t i) {
    const double z = p.at[i].z();
    Spectrum v;
    v.x = p.current[i] * p.tangent.x();
    v.y = p.current[i] * p.tangent.y();
    v.z = p.current[i] * p.tangent.z();
    v.slope = p.slope[i];
    v.lift = z * v.slope;
    v.arm_x = z * v.x;
    v.arm_y = z * v.y;
    v.arm_z = z * v.z;
    return v;
  }

  struct Distance {
    double r;          ///< for the kernels that are finite at 0
    double potential;  ///< 1/R averaged round both tubes
  };

  [[nodiscard]] static Distance averaged(const Piece& a, const Piece& b, const Vec3& to_image) {
    const double r2 = to_image.squaredNorm();
    const double both = a.radius + b.radius;
    // A wire that goes on below the surface, or meets its image there. Between two rings on one axis the mean
    // of the logarithm of the distance is that of the larger radius.
    if (a.level_ring && b.level_ring && r2 < 100.0 * both * both) {
      const int points = a.side == Side::pierce || b.side == Side::pierce ? kPierceRing : kRing;
      return {std::hypot(std::sqrt(r2), std::max(a.radius, b.radius)),
              level_rings(to_image, a.radius, b.radius, points)};
    }
    if ((a.level_ring || b.level_ring) && r2 < 100.0 * both * both)
      return {std::sqrt(r2), rings(to_image, a.ring_axis, a.radius, mirrored(b.ring_axis), b.radius)};
    const double along_a = a.ring_axis.dot(to_image);
    const double along_b = mirrored(b.ring_axis).dot(to_image);
    // A harmonic function's average over a ring is f - (radius^2/4) d2f/dt2.
    const double ring_a = 0.25 * a.radius * a.radius * (3.0 * along_a * along_a / r2 - 1.0);
    const double ring_b = 0.25 * b.radius * b.radius * (3.0 * along_b * along_b / r2 - 1.0);
    const double r = std::sqrt(r2);
    return {r, (1.0 - (ring_a + ring_b) / r2) / r};
  }

  [[nodiscard]] double samples(const Piece& a, const Piece& b) const {
    const double horizontal = a.tangent.head<2>().dot(b.tangent.head<2>());
    const double vertical = a.tangent.z() * b.tangent.z();
    const double current_factor = form_.horizontal * horizontal + form_.vertical * vertical;
    const double mixed_a = form_.mixed * b.tangent.z();  // charge of a, vertical current of b
    const double mixed_b = form_.mixed * a.tangent.z();
    double sum = 0.0;
    for (std::size_t i = 0; i < a.at.size(); ++i) {
      for (std::size_t j = 0; j < b.at.size(); ++j) {
        const Vec3 to_image(a.at[i].x() - b.at[j].x(), a.at[i].y() - b.at[j].y(), a.at[i].z() + b.at[j].z());
        const double z = to_image.z();
        const double rho2 = to_image.x() * to_image.x() + to_image.y() * to_image.y();
        const auto [r, potential] = averaged(a, b, to_image);
        const double far = std::sqrt(rho2 + (z + form_.b) * (z + form_.b));
        const double log_ratio = std::log((r + z) / (far + z + form_.b));
        const double q = z * log_ratio - r + far;
        const double charges = real_product(a.slope[i], b.slope[j]);
        sum += charges *
                   (form_.static_charge * potential + form_.charge * q - 0.5 * form_.lift * z * log_ratio) +
               real_product(a.current[i], b.current[j]) * current_factor * q -
               (mixed_a * real_product(a.slope[i], b.current[j]) +
                mixed_b * real_product(a.current[i], b.slope[j])) *
                   log_ratio;
      }
    }
    return sum;
  }

  static double real_product(Complex a, Complex b) { return a.real() * b.real() + a.imag() * b.imag(); }

  const moment::Currents& above_;
  const moment::Currents& below_;
  const QuasiStatic& form_;
  std::vector<Piece> pieces_;
};

}  // namespace

double quasi_static_q(double lambda, double b) noexcept {
  const double x = lambda * b;
  if (x < 1e-2) return b * b * (0.5 - x * (1.0 / 3.0 - x * (0.125 - x / 30.0)));
  return (1.0 - (1.0 + x) * std::exp(-x)) / (lambda * lambda);
}

double quasi_static_q1(double lambda, double b) noexcept {
  return lambda * b < 1e-8 ? b : -std::expm1(-lambda * b) / lambda;
}

double quasi_static_power(const OneSide& above, const OneSide& below, std::span<const Pierce> pierces,
                          const QuasiStatic& form, int rotation) {
  return Sum(above, below, pierces, form).run(rotation);
}

}  // namespace feldspar::fields::detail

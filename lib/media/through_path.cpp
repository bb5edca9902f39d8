#include "media/through_path.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "math/quadrature.hpp"
#include "media/half_space_spectrum.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
enum Axis : std::size_t { kRho, kHeight, kDepth };

// D1, D2, G and W as in media/half_space_spectrum.hpp; k0 = 1
ThroughRest spectrum(const ThroughSoil& soil, Complex lambda, Complex u0, Complex u1) {
  const Complex over_d1 = quick_reciprocal(u0 + u1);
  const Complex over_d2 = quick_reciprocal(soil.n2 * u0 + u1);
  const Complex w = 2.0 * lambda * (soil.n2 - 1.0) * over_d1 * over_d2;
  if (soil.place == PairPlace::across)
    return {2.0 * lambda * over_d1, (soil.n2 + 1.0) * lambda * over_d2, lambda * w};
  const Complex g = (soil.n2 - 1.0) * over_d1 * over_d1;
  const Complex a_h = -lambda * g * quick_reciprocal(u1);
  return {a_h, a_h + u1 * w, lambda * w};
}

class Builder {
 public:
  Builder(const ThroughSoil& soil, const Box& box, ContourGrade grade)
      : soil_(soil),
        rho_from_(box.from[kRho]),
        rho_to_(box.to[kRho]),
        z_(box.from[kHeight]),
        d_(box.from[kDepth]),
        vertical_to_(box.to[kHeight] + box.to[kDepth]),
        fine_(grade == ContourGrade::fine) {}

  Path run() {
    const double end = dead_from();
    if (end <= 0.0) return std::move(path_);
    const bool steep = z_ + d_ >= 0.5 * rho_to_;
    const double widest = steep ? std::max(rho_to_, 0.5 * vertical_to_) : rho_to_;
    const double height = std::min(1.5 / widest, 0.5 * end);
    const double beyond = std::max(1.0, soil_.n.real()) + 2.0 * height;
    to_beyond_k1(height, std::min(end, beyond));
    if (end <= beyond) return std::move(path_);
    if (steep)
      along_axis(beyond, height, end);
    else
      split_tail({beyond, height});
    return std::move(path_);
  }

 private:
  [[nodiscard]] double decay() const { return fine_ ? 27.0 : 20.0; }
  [[nodiscard]] int points(int normal) const { return fine_ ? (3 * normal) / 2 : normal; }

  // Where exp(-u0 z - u1 d) has died away on the real axis; 0 when it has nowhere come up.
  [[nodiscard]] double dead_from() const {
    const auto fallen = [&](double lambda) {
      return quick_sqrt(Complex(lambda * lambda - 1.0)).real() * z_ +
             quick_sqrt(lambda * lambda - soil_.n2).real() * d_;
    };
    if (fallen(0.0) >= decay()) return 0.0;
    double low = 0.0;
    double high = std::max(1.0, soil_.n.real()) + decay() / std::max(z_ + d_, 1e-300);
    if (!(high < 1e200)) return high;
    for (int i = 0; i < 40 && high - low > 0.01 * high; ++i) {
      const double middle = 0.5 * (low + high);
      (fallen(middle) < decay() ? low : high) = middle;
    }
    return high;
  }

  // From 0 up a ray at 45 degrees, graded towards 0, where k0 and k1 lie when they are small against the
  // height, and on parallel to the axis.
  void to_beyond_k1(double height, double end) {
    const double finest = std::max(0.7, (fine_ ? 1e-8 : 1e-5) * height);
    for (double to = height; to > 0.0;) {
      const double from = to > finest ? to / 3.0 : 0.0;
      line(path_.bessel, from * Complex(1.0, 1.0), to * Complex(1.0, 1.0), points(8));
      to = from;
    }
    const int pieces = std::max(1, static_cast<int>(std::ceil((end - height) / (2.0 * height))));
    if (end <= height) return;
    for (int i = 0; i < pieces; ++i)
      line(path_.bessel, {height + (end - height) * i / pieces, height},
           {height + (end - height) * (i + 1) / pieces, height}, points(10));
  }

  // On beyond Re k1 until the exponentials end it; panels grow as far as the phase of all points allows.
  void along_axis(double from, double height, double end) {
    const double start = from;
    const double r = std::hypot(rho_to_, vertical_to_);
    while (from < end) {
      const double longer = std::min(4.0 * height + 0.5 * (from - start), 30.0 / r);
      const double to = from + 1.3 * longer > end ? end : from + longer;
      line(path_.bessel, {from, height}, {to, height}, points(7 + static_cast<int>(0.4 * (to - from) * r)));
      from = to;
    }
  }

  void split_tail(Complex corner) {
    constexpr double kTilt = std::numbers::pi / 3.0;
    const double length = decay() / (rho_from_ * std::sin(kTilt) + (z_ + d_) * std::cos(kTilt));
    // points of the box farther from the surface decay faster
    constexpr double kEdges[] = {0.0, 0.08, 0.3, 1.0};
    for (const double sign : {1.0, -1.0}) {
      auto& nodes = sign > 0.0 ? path_.hankel1 : path_.hankel2;
      const Complex along = std::polar(length, sign * kTilt);
      for (std::size_t i = 0; i < 3; ++i)
        line(nodes, corner + kEdges[i] * along, corner + kEdges[i + 1] * along, points(10), 0.5);
    }
  }

  void line(std::vector<PathNode>& nodes, Complex from, Complex to, int n, double factor = 1.0) {
    const math::Rule& rule = math::gauss_legendre(n);
    const Complex middle = 0.5 * (from + to);
    const Complex half = 0.5 * (to - from);
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const Complex at = middle + half * rule.nodes[i];
      const Complex square = at * at;
      const Complex u0 = quick_sqrt(square - 1.0);
      const Complex u1 = quick_sqrt(square - soil_.n2);
      const Complex weight = factor * half * rule.weights[i];
      const ThroughRest s = spectrum(soil_, at, u0, u1);
      nodes.push_back({at, u0, u1, {s.first * weight, s.p * weight, s.a_m * weight}});
    }
  }

  const ThroughSoil& soil_;
  double rho_from_;
  double rho_to_;
  double z_;
  double d_;
  double vertical_to_;
  bool fine_;
  Path path_;
};

}  // namespace

ThroughSoil::ThroughSoil(Complex n_squared, PairPlace where)
    : n2(n_squared), n(std::sqrt(n_squared)), image((n_squared - 1.0) / (n_squared + 1.0)), place(where) {
  if (n.imag() > 0.0) n = {n.real(), 0.0};
}

bool has_path(const Box& box) {
  const double vertical_from = box.from[kHeight] + box.from[kDepth];
  const double vertical_to = box.to[kHeight] + box.to[kDepth];
  const double rho = box.from[kRho];
  return vertical_from >= 0.5 * box.to[kRho] ||
         (rho > 0.0 && vertical_to <= 2.001 * rho && box.to[kRho] <= 2.001 * rho);
}

Path make_path(const ThroughSoil& soil, const Box& box, ContourGrade grade) {
  return Builder(soil, box, grade).run();
}

}  // namespace feldspar::media

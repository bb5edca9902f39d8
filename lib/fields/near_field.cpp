#include "fields/near_field.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "core/error.hpp"
#include "math/quadrature.hpp"

namespace feldspar::fields {

namespace {

using geometry::Vec3;
using media::DipoleField;
using Complex = std::complex<double>;

constexpr int kPoints = 10;   // of a piece as long as its distance: 4.2^-20
constexpr int kDeepest = 30;  // halvings

/// From a point to a straight piece.
double distance(const Vec3& at, const Vec3& start, const Vec3& end) {
  const Vec3 along = end - start;
  const double t = std::clamp((at - start).dot(along) / along.squaredNorm(), 0.0, 1.0);
  return (start + t * along - at).norm();
}

Vec3 mirrored(const Vec3& p) {
  return {p.x(), p.y(), -p.z()};
}

/// Adds weight * field(moment, place) over an element; `seen_from` is where the field is singular for a
/// source there.
template <class Field>
void add_element(const moment::ElementCurrent& element, double from, double to, const Vec3& seen_from,
                 int depth, const Field& field, DipoleField& sum) {
  const auto place = [&](double xi) -> Vec3 {
    return 0.5 * (1.0 - xi) * element.start + 0.5 * (1.0 + xi) * element.end;
  };
  const Vec3 along = element.end - element.start;
  const double piece = 0.5 * (to - from) * along.norm();
  if (piece > distance(seen_from, place(from), place(to)) && depth < kDeepest) {
    const double middle = 0.5 * (from + to);
    add_element(element, from, middle, seen_from, depth + 1, field, sum);
    add_element(element, middle, to, seen_from, depth + 1, field, sum);
    return;
  }
  const auto degree = static_cast<int>(element.coefficients.size()) - 1;
  const math::Rule& rule = math::gauss_legendre(kPoints + degree / 2);
  std::vector<double> p(static_cast<std::size_t>(degree) + 1);
  for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
    const double xi = 0.5 * (from + to) + 0.5 * (to - from) * rule.nodes[i];
    math::legendre(xi, degree, p.data());
    Complex current = 0.0;
    for (int n = 0; n <= degree; ++n) current += element.coefficients[n] * p[static_cast<std::size_t>(n)];
    const Complex weight = 0.25 * (to - from) * rule.weights[i] * current;
    const DipoleField part = field(Eigen::Vector3cd(weight * along), place(xi));
    sum.e += part.e;
    sum.h += part.h;
  }
}

}  // namespace

DipoleField near_field(const moment::Currents& currents, const media::Ground& ground, core::Frequency f,
                       const Vec3& at) {
  if (!(f.si > 0.0)) throw core::Error(core::ErrorKind::usage, "a field needs a frequency above 0");
  const double k0 = core::wavenumber(f);
  const bool perfect = ground.kind == media::GroundKind::perfect;
  const bool real = ground.kind == media::GroundKind::real;
  const Complex n2 = real ? media::complex_permittivity(ground, f) : Complex(1.0);
  const bool point_below = real && at.z() < 0.0;
  DipoleField sum{Eigen::Vector3cd::Zero(), Eigen::Vector3cd::Zero()};
  if (perfect && at.z() < 0.0) return sum;

  for (const moment::ElementCurrent& e : currents) {
    const double slack = 1e-9 * (e.end - e.start).norm();
    const double low = std::min(e.start.z(), e.end.z());
    const double high = std::max(e.start.z(), e.end.z());
    const double apart = distance(at, e.start, e.end);
    if (apart <= e.radius || !(apart > 0.0))
      throw core::Error(core::ErrorKind::usage, "a field was asked for inside a wire");
    if (perfect && low < -slack)
      throw core::Error(core::ErrorKind::usage, "a field was asked for with a current below perfect ground");
    if (real && low < -slack && high > slack)
      throw core::Error(core::ErrorKind::usage, "an element lies on both sides of the ground's surface");
    const bool below = real && low + high < 0.0;

    const auto all = [&](const Eigen::Vector3cd& moment, const Vec3& from) {
      return media::dipole_field(k0, n2, moment, from, at);
    };
    if (below != point_below) {
      add_element(e, -1.0, 1.0, at, 0, all, sum);
      continue;
    }
    const auto direct = [&](const Eigen::Vector3cd& moment, const Vec3& from) {
      return below ? media::uniform_dipole_field(k0, n2, moment, from, at)
                   : media::free_space_dipole_field(k0, moment, from, at);
    };
    add_element(e, -1.0, 1.0, at, 0, direct, sum);
    if (!perfect && !real) continue;
    const auto added = [&](const Eigen::Vector3cd& moment, const Vec3& from) -> DipoleField {
      if (perfect)  // image: horizontal current reversed, vertical not
        return media::free_space_dipole_field(k0, {-moment.x(), -moment.y(), moment.z()}, mirrored(from), at);
      if (!below) return media::reflected_dipole_field(k0, n2, moment, from, at);
      const DipoleField whole = all(moment, from);
      const DipoleField part = direct(moment, from);
      return {whole.e - part.e, whole.h - part.h};
    };
    add_element(e, -1.0, 1.0, mirrored(at), 0, added, sum);
  }
  return sum;
}

}  // namespace feldspar::fields

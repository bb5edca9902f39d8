#include "fields/far_field.hpp"

#include <algorithm>
#include <cmath>

#include "core/error.hpp"
#include "fields/power.hpp"
#include "fields/rotation_detail.hpp"
#include "fields/sampled_detail.hpp"
#include "fields/spectrum_detail.hpp"
#include "media/fresnel.hpp"

namespace feldspar::fields {

using detail::Complex;
using detail::Vec3;

namespace {

/// Of the wave of a current, relative to its direct wave in free space.
media::FresnelCoefficients reflect(media::GroundKind kind, Complex n2, double sine) noexcept {
  if (kind == media::GroundKind::perfect) return {1.0, -1.0};
  if (kind == media::GroundKind::free_space || n2 == 1.0) return {0.0, 0.0};  // a soil like air
  return media::kernel::fresnel(n2, sine);
}

}  // namespace

struct Pattern::Impl {
  detail::SampledCurrents air;          ///< in the air
  std::vector<Vec3> tangents;           ///< of these
  std::vector<detail::Element> buried;  ///< below the surface of a real ground
  media::GroundKind kind = media::GroundKind::free_space;
  Complex permittivity = 1.0;
  double k0 = 0.0;
  double horizontal = 0.0;
  double vertical = 0.0;
  int rotation = 1;
  std::optional<FarRegion> far;

  /// n^2 of the soil that reflects a wave to this direction.
  [[nodiscard]] Complex reflecting(Direction d) const {
    if (!far || d.elevation.si > far->below.si) return permittivity;
    if (far->all_round) return far->permittivity;
    constexpr double kTurn = 2.0 * core::kPi;
    const double past = std::fmod(d.azimuth.si - far->from_azimuth.si, kTurn);
    const double width = std::fmod(far->to_azimuth.si - far->from_azimuth.si, kTurn);
    return (past < 0.0 ? past + kTurn : past) <= (width < 0.0 ? width + kTurn : width) ? far->permittivity
                                                                                       : permittivity;
  }
};

namespace {

/// Mean height of the currents above the surface, weighted by |I|^2: many radials that share the current of
/// one upright wire count for little, and the mesh for nothing.
double mean_height(const moment::Currents& currents) {
  constexpr int kParts = 8;  // of each element
  double moment = 0.0;
  double sum = 0.0;
  for (const moment::ElementCurrent& e : currents) {
    for (int i = 0; i < kParts; ++i) {
      const double share = (i + 0.5) / kParts;
      const double z = (1.0 - share) * e.start.z() + share * e.end.z();
      if (z <= 0.0) continue;
      const double weight = half_square_integral(e, -1.0 + 2.0 * i / kParts, -1.0 + 2.0 * (i + 1) / kParts);
      moment += weight * z;
      sum += weight;
    }
  }
  return sum > 0.0 ? moment / sum : 0.0;
}

/// Sum of the currents' waves, in units of -j w mu0 / 4 pi.
struct Sum {
  Complex theta = 0.0;
  Complex phi = 0.0;
};

// A current below sends its wave up through the surface: by reciprocity with the Fresnel transmission of the
// wave that arrives from that direction, 2 sin psi / (sin psi + w) across and 2 sin psi / (n^2 sin psi + w)
// times the components (w, -cos psi) in the plane of incidence, w = sqrt(n^2 - cos^2 psi); up to the surface
// it fades with exp(-u1 |z|), u1 = j k0 w [stratton1941, ch. 9].
Sum through_surface(const std::vector<detail::Element>& buried, Complex n2, double k0, double sine,
                    double cosine, double c, double s) {
  Sum sum;
  if (buried.empty()) return sum;
  const bool like_air = n2 == 1.0;
  const Complex n = std::sqrt(n2);
  const Complex w = like_air ? Complex(sine) : std::sqrt(n2 - cosine * cosine);  // Re >= 0, Im <= 0
  const Complex u1 = Complex(0.0, k0) * w;
  Complex along = 0.0;
  Complex across = 0.0;
  Complex vertical = 0.0;
  for (const detail::Element& e : buried) {
    const Complex v = detail::spectrum(e, k0 * cosine * c, k0 * cosine * s, -u1, n * k0);
    along += v * (c * e.tangent.x() + s * e.tangent.y());
    across += v * (c * e.tangent.y() - s * e.tangent.x());
    vertical += v * e.tangent.z();
  }
  const Complex across_share = like_air ? 1.0 : 2.0 * sine / (sine + w);
  const Complex plane_share = like_air ? 1.0 : 2.0 * sine / (n2 * sine + w);
  sum.theta = plane_share * (w * along - cosine * vertical);
  sum.phi = across_share * across;
  return sum;
}

}  // namespace

double intensity(const FarField& field) noexcept {
  return (std::norm(field.theta) + std::norm(field.phi)) / (2.0 * core::kVacuumImpedance);
}

Pattern::Pattern(const moment::Currents& currents, const media::Ground& ground, core::Frequency f)
    : impl_(std::make_unique<Impl>()) {
  if (!(f.si > 0.0)) throw core::Error(core::ErrorKind::usage, "a far field needs a frequency above 0");
  Impl& m = *impl_;
  m.kind = ground.kind;
  m.permittivity = media::complex_permittivity(ground, f);
  m.k0 = core::wavenumber(f);
  if (currents.empty()) return;
  m.rotation = detail::rotation_order(currents);
  Vec3 low = Vec3::Constant(1e300);
  Vec3 high = Vec3::Constant(-1e300);
  for (const moment::ElementCurrent& e : currents) {
    low = low.cwiseMin(e.start).cwiseMin(e.end);
    high = high.cwiseMax(e.start).cwiseMax(e.end);
  }
  moment::Currents air;
  const moment::Currents fewer = detail::thinned(currents, m.rotation, m.k0);
  std::size_t next = 0;
  for (detail::Element& e : detail::prepare(fewer)) {
    const moment::ElementCurrent& current = fewer[next++];
    const bool below = m.kind != media::GroundKind::free_space && detail::below_surface(e);
    if (below && m.kind == media::GroundKind::perfect) {
      throw core::Error(core::ErrorKind::usage, "below a perfect ground there are no currents (z >= 0)");
    }
    if (below) {
      m.buried.push_back(std::move(e));
    } else {
      m.tangents.push_back(e.tangent);
      air.push_back(current);
    }
  }
  m.air = detail::SampledCurrents(air, m.k0);
  const Vec3 middle = 0.5 * (low + high);
  for (const moment::ElementCurrent& e : currents) {
    for (const Vec3& p : {e.start, e.end}) {
      m.horizontal = std::max(m.horizontal, m.k0 * (p - middle).head<2>().norm());
    }
  }
  if (m.kind == media::GroundKind::free_space) {
    m.vertical = 0.5 * m.k0 * (high.z() - low.z());
  } else {
    // From the horizon to the zenith the phase from a depth to the surface turns little, but in a soil like
    // air.
    const Complex turn = std::sqrt(m.permittivity) - std::sqrt(m.permittivity - 1.0);
    m.vertical = m.k0 * std::max(high.z(), -low.z() * std::abs(turn));
  }
}

Pattern::Pattern(const moment::Currents& currents, const media::Ground& ground, core::Frequency f,
                 const media::FarSoil& far, core::Angle x_bearing)
    : Pattern(currents, ground, f) {
  if (ground.kind != media::GroundKind::real || far.ground.kind != media::GroundKind::real) {
    throw core::Error(core::ErrorKind::usage, "near and far soil must both be real grounds");
  }
  FarRegion region;
  region.below = core::Angle{std::atan2(mean_height(currents), far.begins)};
  if (far.begins <= 0.0) region.below = core::Angle{0.5 * core::kPi};  // everywhere
  region.all_round = far.all_round;
  // Bearings turn clockwise from north, azimuths the other way from +x.
  region.from_azimuth = core::Angle{x_bearing.si - far.to_bearing};
  region.to_azimuth = core::Angle{x_bearing.si - far.from_bearing};
  region.permittivity = media::complex_permittivity(far.ground, f);
  impl_->far = region;
  if (!far.all_round) impl_->rotation = 1;
}

Pattern::~Pattern() = default;
Pattern::Pattern(Pattern&&) noexcept = default;
Pattern& Pattern::operator=(Pattern&&) noexcept = default;

FarField Pattern::at(Direction d) const {
  const Impl& m = *impl_;
  const bool over_ground = m.kind != media::GroundKind::free_space;
  if (over_ground && d.elevation.si < 0.0) return {};
  const double sin_elevation = std::sin(d.elevation.si);
  const double cos_elevation = std::cos(d.elevation.si);
  const double c = std::cos(d.azimuth.si);
  const double s = std::sin(d.azimuth.si);
  Complex theta = 0.0;
  Complex phi = 0.0;
  const media::FresnelCoefficients reflection = reflect(m.kind, m.reflecting(d), sin_elevation);
  const std::size_t count = m.air.size();
  std::vector<Complex> waves(2 * count);
  m.air.waves(m.k0 * cos_elevation * c, m.k0 * cos_elevation * s, m.k0 * sin_elevation, waves.data(),
              waves.data() + count);
  for (std::size_t e = 0; e < count; ++e) {
    const Vec3& tangent = m.tangents[e];
    const double along = c * tangent.x() + s * tangent.y();
    const double across = c * tangent.y() - s * tangent.x();
    const Complex direct = waves[e];
    theta += direct * (sin_elevation * along - cos_elevation * tangent.z());
    phi += direct * across;
    if (over_ground) {
      // The mirrored wave: a horizontal current is reversed, a vertical one is not (their fields over a
      // perfect ground).
      const Complex reflected = waves[count + e];
      theta -= reflection.vertical * reflected * (sin_elevation * along + cos_elevation * tangent.z());
      phi += reflection.horizontal * reflected * across;
    }
  }
  const Sum below = through_surface(m.buried, m.permittivity, m.k0, sin_elevation, cos_elevation, c, s);
  theta += below.theta;
  phi += below.phi;
  const Complex factor(0.0, -m.k0 * core::kVacuumImpedance / (4.0 * core::kPi));  // -j w mu0 / 4 pi
  return {factor * theta, factor * phi};
}

std::vector<FarField> Pattern::at(std::span<const Direction> directions) const {
  std::vector<FarField> fields;
  fields.reserve(directions.size());
  for (const Direction& d : directions) fields.push_back(at(d));
  return fields;
}

std::optional<Pattern::FarRegion> Pattern::far_region() const noexcept {
  return impl_->far;
}
media::GroundKind Pattern::ground_kind() const noexcept {
  return impl_->kind;
}
Complex Pattern::soil_permittivity() const noexcept {
  return impl_->permittivity;
}
double Pattern::wavenumber() const noexcept {
  return impl_->k0;
}
double Pattern::horizontal_extent() const noexcept {
  return impl_->horizontal;
}
double Pattern::vertical_extent() const noexcept {
  return impl_->vertical;
}
int Pattern::rotation_order() const noexcept {
  return impl_->rotation;
}

}  // namespace feldspar::fields

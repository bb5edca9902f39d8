#pragma once

#include <complex>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "core/quantity.hpp"
#include "media/ground.hpp"
#include "moment/current.hpp"

/// Fields and power of given currents: no mesh, no matrix.
namespace feldspar::fields {

/// Where the antenna is looked at from: elevation from the horizon up, azimuth from +x towards +y
/// (mathematical).
struct Direction {
  core::Angle elevation;
  core::Angle azimuth;
};

/// Far electric field, r E exp(+j k r), V (peak phasor). `theta` is the vertical polarisation, positive
/// towards the ground (the unit vector of falling elevation), `phi` the horizontal one, positive towards
/// growing azimuth.
struct FarField {
  std::complex<double> theta;
  std::complex<double> phi;
};

/// Radiation intensity r^2 |E|^2 / (2 eta), W/sr.
[[nodiscard]] double intensity(const FarField& field) noexcept;

/// The far field of currents in free space, over perfect ground or over and in a real half-space: the direct
/// wave of every current above plus its wave reflected with the Fresnel coefficients, and the wave of every
/// current below transmitted through the surface with them, which is exact for the sky wave of a flat earth
/// [stratton1941, ch. 9]. The current of an element radiates through its Legendre coefficients in
/// closed form, int P_n(x) exp(jax) dx = 2 j^n j_n(a) [DLMF 10.54.2], spread evenly round the tube of its
/// radius.
///
/// With another soil far away (geometry of a single ray, no diffraction at the border): the wave that leaves
/// at elevation e is taken to be reflected at the distance h / tan(e), h the mean height of the currents
/// above the surface (weighted by |I|^2); where that lies in the far soil, its Fresnel coefficients
/// reflect. Currents below the surface still pass up through the near soil.
///
/// The object keeps a copy of the currents; evaluation is const and thread-safe. About 1e-13 of the largest
/// field. The surface wave, which fades faster than 1/r, is not part of it.
class Pattern {
 public:
  /// @param currents  elements wholly above or wholly below z = 0
  /// @param ground  the soil that reflects
  /// @param f       > 0
  /// @throws core::Error{usage} for f <= 0, an element without coefficients, one that passes through z = 0,
  /// or one below perfect ground
  Pattern(const moment::Currents& currents, const media::Ground& ground, core::Frequency f);
  /// The same with a far soil. @param x_bearing  true bearing of +x @throws core::Error{usage} besides unless
  /// both grounds are real
  Pattern(const moment::Currents& currents, const media::Ground& ground, core::Frequency f,
          const media::FarSoil& far, core::Angle x_bearing);
  ~Pattern();
  Pattern(Pattern&&) noexcept;
  Pattern& operator=(Pattern&&) noexcept;

  /// Field in one direction. Over ground nothing goes below the horizon: 0 for elevation < 0.
  [[nodiscard]] FarField at(Direction d) const;
  /// The same for many directions.
  [[nodiscard]] std::vector<FarField> at(std::span<const Direction> directions) const;

  /// Where the far soil reflects: below an elevation, at all azimuths or from one to the other (growing).
  struct FarRegion {
    core::Angle below;
    bool all_round = true;
    core::Angle from_azimuth;
    core::Angle to_azimuth;
    std::complex<double> permittivity;  ///< n^2
  };
  [[nodiscard]] std::optional<FarRegion> far_region() const noexcept;

  [[nodiscard]] media::GroundKind ground_kind() const noexcept;
  [[nodiscard]] std::complex<double> soil_permittivity() const noexcept;  ///< n^2 of the near soil
  [[nodiscard]] double wavenumber() const noexcept;                       ///< rad/m, in air
  /// Radius of the smallest upright cylinder round the currents' middle, and greatest height (free space:
  /// half height; below ground the depth, as far as the phase from there turns), times the wavenumber: what
  /// sets how fast the pattern can vary with direction. rad
  [[nodiscard]] double horizontal_extent() const noexcept;
  [[nodiscard]] double vertical_extent() const noexcept;
  /// How many times the pattern repeats over azimuth (n equal radials round the z axis: n).
  [[nodiscard]] int rotation_order() const noexcept;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace feldspar::fields

#pragma once

#include <complex>
#include <string>

#include "core/quantity.hpp"

/// What waves meet below: the ground as plain numbers.
namespace feldspar::media {

enum class GroundKind { free_space, perfect, real };

/// How a real ground is computed. `exact` integrates the half-space (Sommerfeld); `plane_wave` replaces it by
/// plane-wave reflection at the specular angle, a faster approximation that is poor for low wires.
enum class GroundMethod { exact, plane_wave };

/// A uniform, flat, non-magnetic half-space below z = 0.
struct Ground {
  GroundKind kind = GroundKind::free_space;
  double relative_permittivity = 1.0;  ///< >= 1, used when kind == real
  double conductivity = 0.0;           ///< S/m, >= 0, used when kind == real
  GroundMethod method = GroundMethod::exact;
  std::string name;  ///< the soil's name when it has one
};

/// n^2 = eps_r - j sigma / (w eps_0), time factor exp(+jwt); 1 for free space. Meaningless for perfect
/// ground.
[[nodiscard]] std::complex<double> complex_permittivity(const Ground& ground, core::Frequency f);

}  // namespace feldspar::media

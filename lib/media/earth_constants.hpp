#pragma once

#include <complex>

#include "core/quantity.hpp"
#include "media/ground.hpp"

/// How a wave travels inside a uniform ground.
namespace feldspar::media {

/// exp(+jwt); eps = eps_r - j sigma / (w eps_0), k = (w/c) sqrt(eps) with Im k <= 0. Exact, not the limit of
/// a good conductor. About 1e-15 relative.
struct EarthConstants {
  std::complex<double> permittivity;      ///< eps, relative [1]
  std::complex<double> refractive_index;  ///< sqrt(eps) [1]
  std::complex<double> wavenumber;        ///< rad/m
  double skin_depth = 0.0;                ///< m, 1 / (-Im k): the field falls to 1/e; infinite without loss
  double wavelength = 0.0;                ///< m, 2 pi / Re k
  double loss_tangent = 0.0;              ///< -Im eps / Re eps
};

/// @param ground real, relative_permittivity >= 1, conductivity >= 0, both finite; or free space   @param f >
/// 0
/// @throws core::Error{usage} outside these ranges and for perfect ground
[[nodiscard]] EarthConstants earth_constants(const Ground& ground, core::Frequency f);

}  // namespace feldspar::media

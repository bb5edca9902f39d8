#pragma once

#include <cmath>
#include <complex>

#include "media/ground.hpp"

namespace feldspar::fields::detail {

struct Reflection {
  std::complex<double> vertical;    ///< of the magnetic field: +1 over a perfect conductor
  std::complex<double> horizontal;  ///< of the electric field: -1 over a perfect conductor
};

/// Fresnel coefficients at an elevation with the given sine, exp(+jwt) [stratton1941, ch. 9].
[[nodiscard]] inline Reflection fresnel(media::GroundKind kind, std::complex<double> n2,
                                        double sine) noexcept {
  if (kind == media::GroundKind::free_space) return {0.0, 0.0};
  if (kind == media::GroundKind::perfect) return {1.0, -1.0};
  const std::complex<double> root =
      std::sqrt(n2 - 1.0 + sine * sine);              // Im n2 <= 0: the principal root decays downwards
  if (root == 0.0 && sine == 0.0) return {0.0, 0.0};  // soil like air, at the horizon
  return {(n2 * sine - root) / (n2 * sine + root), (sine - root) / (sine + root)};
}

}  // namespace feldspar::fields::detail

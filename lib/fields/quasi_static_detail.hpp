#pragma once

#include <span>

#include "fields/across_form_detail.hpp"
#include "fields/spectrum_detail.hpp"

/// The short-wave end of the ground's power, where the spectrum has an asymptotic form whose integral is
/// known in space.
namespace feldspar::fields::detail {

/// Coefficients of the form that replaces the ground's spectral density for lambda well above |k1|
/// (docs/power.md):
///   (static_charge + charge q)|D|^2 + horizontal q |N_h|^2 + vertical q |N_z|^2 + 2 mixed q1 Re(D N_z*) +
///   lift q1 Re(D L*)
/// q = (1 - (1 + lambda b) exp(-lambda b))/lambda^2, q1 = (1 - exp(-lambda b))/lambda; D, N with exp(-lambda
/// z).
struct QuasiStatic {
  double static_charge = 0.0;
  double charge = 0.0;
  double horizontal = 0.0;
  double vertical = 0.0;
  double mixed = 0.0;
  double lift = 0.0;
  double b = 1.0;     ///< m
  AcrossForm across;  ///< the same for pairs of currents above and below
};

/// Currents on one side of the surface and their end charges, those below as their images above z = 0.
struct OneSide {
  moment::Currents currents;
  std::vector<EndCharge> charges;
};

[[nodiscard]] double quasi_static_q(double lambda, double b) noexcept;
[[nodiscard]] double quasi_static_q1(double lambda, double b) noexcept;

/// That density integrated over lambda from 0 to infinity and all azimuths, / 8 pi^2, W: double integrals of
/// charge and current with their images over closed-form kernels. Gauss rules on pieces no longer than their
/// distance to the image; about 1e-7.
/// Two currents below have no part in it. Where a wire passes through the surface the piece nearest to it is
/// a quarter of the radius long, and 1/R is averaged round both tubes.
/// @param rotation  rotation_order() of all
[[nodiscard]] double quasi_static_power(const OneSide& above, const OneSide& below,
                                        std::span<const Pierce> pierces, const QuasiStatic& form,
                                        int rotation);

}  // namespace feldspar::fields::detail

#pragma once

#include <complex>
#include <optional>

#include "circuit/line_data.hpp"
#include "circuit/two_port.hpp"
#include "core/quantity.hpp"

/// Uniform lines with loss, exactly.
namespace feldspar::circuit {

/// Propagation constant and characteristic impedance at one frequency; waves run as exp(-gamma x).
struct LineConstants {
  Complex gamma;  ///< 1/m: attenuation [Np/m] + j phase constant [rad/m]
  Complex z0;     ///< ohm
};

/// What the line's loss does to its characteristic impedance.
enum class LineModel {
  complex_z0,  ///< distributed R, L, G, C: the line as it is
  real_z0,  ///< z0 stays real, gamma = tabulated attenuation + j w / v: the handbook formula. For comparison.
};

/// Constants of a line at a frequency.
///
/// `complex_z0`: with the attenuations of the law [Np/m], a_c = k1 sqrt(f), a_d = k2 f, a_0 = constant_loss,
/// and the nominal resistance Z0, velocity v and angular frequency w,
///   R = 2 Z0 a_c + Z0 a_0,  L = Z0/v + 2 Z0 a_c / w,  G = 2 a_d / Z0 + a_0 / Z0,  C = 1/(Z0 v),
/// gamma = sqrt((R + jwL)(G + jwC)), z0 = sqrt((R + jwL)/(G + jwC)).
/// The k1 part is conductor loss under a well-developed skin effect (internal reactance = resistance), the k2
/// part dielectric loss. A constant loss is shared out so that the line has no distortion: z0 stays real,
/// gamma is a_0 + jw/v. Because the internal inductance raises z0, Re gamma comes out a little below a_c +
/// a_d (RG-58: 3.7 % at 1.85 MHz, 1.4 % at 14 MHz), less than cables of one type differ.
/// @param line  z0 > 0, 0 < velocity_factor <= 1, k1, k2, constant_loss >= 0   @param f > 0, about 1 MHz or
/// more for the skin effect to hold in common coax   @throws core::Error{usage} outside these ranges
[[nodiscard]] LineConstants line_constants(const Line& line, core::Frequency f,
                                           LineModel model = LineModel::complex_z0);

/// The law k1 sqrt(f) + k2 f of a line's loss (circuit/line_data.hpp).
struct LossLaw {
  double k1 = 0.0;  ///< dB / m / sqrt(MHz)
  double k2 = 0.0;  ///< dB / m / MHz
};

/// The law through the losses [dB/m] at two frequencies; a share that is nothing but rounding (1e-9) becomes
/// 0. Empty where there is none: equal frequencies, or a loss that grows more slowly than the root of the
/// frequency or faster than the frequency.
[[nodiscard]] std::optional<LossLaw> loss_law_through(core::Frequency first, double first_loss,
                                                      core::Frequency second, double second_loss) noexcept;

/// A line given by numbers whose attenuation at `at` is exactly that; conductor loss (square root of f)
/// elsewhere. Length stays 0. @param attenuation_db_per_m >= 0   @throws core::Error{usage}
[[nodiscard]] Line line_by_attenuation(double z0, double velocity_factor, double attenuation_db_per_m,
                                       core::Frequency at);

/// Impedance seen after moving `distance` from a plane where it is `z`, away from the load when positive,
/// towards it when negative. Works at any length (no overflow). There and back returns z within 1e-12
/// relative while the loss is below about 10 dB.
[[nodiscard]] Complex move_plane(const LineConstants& line, Complex z, double distance) noexcept;

/// Impedance at the input of a length [m] >= 0 with this load [ohm] at its end, also for a short (load 0); no
/// overflow at any length.
[[nodiscard]] Complex line_input(const LineConstants& line, double length, Complex load) noexcept;

/// |d input / d load| of a length [m] >= 0: how an error of the load shows at the input; no overflow.
[[nodiscard]] double line_sensitivity(const LineConstants& line, double length, Complex load) noexcept;

/// Chain matrix of a length [m] >= 0; entries overflow above about 6000 dB.
[[nodiscard]] TwoPort line_two_port(const LineConstants& line, double length) noexcept;

/// Loss that a load equal to z0 would cause, dB.
[[nodiscard]] double matched_loss_db(const LineConstants& line, double length) noexcept;

/// Loss with this load, dB: 10 log10(power in / power into the load), exact. May be less than the matched
/// loss (short line into a high resistance); never below 0 for a passive load. @param load Re load > 0 [ohm]
[[nodiscard]] double line_loss_db(const LineConstants& line, double length, Complex load) noexcept;

}  // namespace feldspar::circuit

#pragma once

#include <complex>

#include "core/quantity.hpp"

/// Coils: inductance from dimensions, and impedance with losses and self-capacitance.
namespace feldspar::circuit {

/// A single-layer coil of round wire without a core.
struct CoilDimensions {
  double turns = 0.0;          ///< > 0, need not be whole
  double diameter = 0.0;       ///< m, from the middle of the wire to the middle of the wire opposite
  double length = 0.0;         ///< m, of the winding: turns times pitch
  double wire_diameter = 0.0;  ///< m; 0: as a thin sheet of current
};

/// Low-frequency inductance, H.
///
/// That of a current sheet, mu0 n^2 pi d^2 / (4 l) times Nagaoka's coefficient, which Lorenz's formula gives
/// by complete elliptic integrals; with a wire diameter less Rosa's correction for round wire,
/// mu0 (d/2) n (5/4 - ln(2 p / w) + B(n)), p pitch, w wire diameter [grover1946, ch. 16].
///
/// @throws core::Error{usage} for numbers that are not above zero, or a wire thicker than the pitch
/// @note The sheet is exact within 1e-13; the correction's series B(n) within 1e-3 of a turn's share for n >=
/// 1. Wheeler's short formula lies within 1 % for l > 0.4 d.
[[nodiscard]] double coil_inductance(const CoilDimensions& coil);

/// The same by r^2 n^2 / (9 r + 10 l) microhenry, inches [wheeler1928]; about 1 % for l > 0.4 d.
[[nodiscard]] double wheeler_inductance(const CoilDimensions& coil);

/// How a coil loses and resonates. Without `q_frequency` the quality factor w L / R is the same at every
/// frequency; with it, it holds there, and R grows with the root of the frequency as skin effect makes it, so
/// that the quality factor grows with the root as well.
struct Coil {
  double inductance = 0.0;        ///< H, at low frequency
  double q = 0.0;                 ///< quality factor of R + j w L, > 0; infinity = no loss
  double q_frequency = 0.0;       ///< Hz; 0 = q is constant
  double self_capacitance = 0.0;  ///< F, across R + j w L
};

/// Impedance at a frequency, ohm.
[[nodiscard]] std::complex<double> coil_impedance(const Coil& coil, core::Frequency f) noexcept;

/// 1/y, without loss at resonance as good as open (1e12 ohm) instead of infinite.
[[nodiscard]] std::complex<double> impedance_of(std::complex<double> admittance) noexcept;

}  // namespace feldspar::circuit

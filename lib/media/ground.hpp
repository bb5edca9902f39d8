#pragma once

#include <complex>
#include <string>
#include <vector>

#include "core/quantity.hpp"

/// What waves meet below: the ground as plain numbers.
namespace feldspar::media {

enum class GroundKind { free_space, perfect, real };

/// How a real ground is computed. `exact` integrates the half-space (Sommerfeld); `plane_wave` replaces it by
/// plane-wave reflection at the specular angle, a faster approximation that is poor for low wires.
enum class GroundMethod { exact, plane_wave };

/// The two numbers of a soil.
struct SoilConstants {
  double relative_permittivity = 1.0;  ///< >= 1
  double conductivity = 0.0;           ///< S/m, >= 0
};

/// A soil's numbers at one frequency, a row of a table.
struct SoilRow {
  double frequency = 0.0;  ///< Hz, > 0
  SoilConstants constants;
};

/// A uniform, flat, non-magnetic half-space below z = 0.
struct Ground {
  GroundKind kind = GroundKind::free_space;
  double relative_permittivity = 1.0;  ///< >= 1, used when kind == real and there is no table
  double conductivity = 0.0;           ///< S/m, >= 0, likewise
  GroundMethod method = GroundMethod::exact;
  std::string name = {};  ///< the soil's name when it has one
  /// Numbers that change with frequency: two or more rows, rising frequencies, conductivities above 0. Empty:
  /// the two numbers above hold at every frequency.
  std::vector<SoilRow> table = {};
};

/// Another soil far from the antenna: what a wave reflected there on its way to the sky meets. The currents,
/// what is near them and their losses know only the near soil. One reflection, no diffraction at the border.
struct FarSoil {
  Ground ground;              ///< kind == real
  double begins = 0.0;        ///< m, horizontal distance from the antenna
  bool all_round = true;      ///< false: only between the two bearings
  double from_bearing = 0.0;  ///< rad, true, in [0, 2 pi); clockwise from here ...
  double to_bearing = 0.0;    ///< ... to here
};

/// Whether a true bearing [rad] lies in the far soil's sector, borders included.
[[nodiscard]] bool in_sector(const FarSoil& far, double bearing);

/// The soil's numbers at a frequency: those of the ground, or of its table, there linear in log frequency for
/// the permittivity and for the logarithm of the conductivity; outside the table those of its nearest row.
/// @param ground kind == real   @param f > 0
[[nodiscard]] SoilConstants soil_constants(const Ground& ground, core::Frequency f);

/// Whether the frequency is outside the ground's table; false without one.
[[nodiscard]] bool outside_table(const Ground& ground, core::Frequency f);

/// n^2 = eps_r - j sigma / (w eps_0), time factor exp(+jwt); 1 for free space. Meaningless for perfect
/// ground.
[[nodiscard]] std::complex<double> complex_permittivity(const Ground& ground, core::Frequency f);

}  // namespace feldspar::media

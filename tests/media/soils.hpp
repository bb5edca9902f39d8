#pragma once

#include <complex>
#include <numbers>
#include <string_view>

/// Soils for the tests of ground tables: invented to span what occurs; the names say what they resemble.
namespace feldspar::media::testing {

struct Soil {
  std::string_view name;
  double relative_permittivity;
  double conductivity;  ///< S/m
};

inline constexpr Soil kSoils[] = {
    {"dry sand", 4.0, 1e-3}, {"average", 13.0, 5e-3}, {"wet", 30.0, 0.03},
    {"sea", 81.0, 5.0},      {"lossless", 4.0, 0.0},
};

struct Medium {
  double k0;                ///< rad/m
  std::complex<double> n2;  ///< of the soil, relative to air
};

/// @param f Hz
inline Medium medium(const Soil& soil, double f) {
  constexpr double kLight = 299792458.0;
  constexpr double kEps0 = 8.8541878188e-12;
  const double omega = 2.0 * std::numbers::pi * f;
  return {omega / kLight, {soil.relative_permittivity, -soil.conductivity / (omega * kEps0)}};
}

}  // namespace feldspar::media::testing

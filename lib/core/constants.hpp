#pragma once

/// Constants of mathematics and physics, SI. Source: CODATA 2022; the speed of light is exact.
namespace feldspar::core {

inline constexpr double kPi = 3.14159265358979323846;
inline constexpr double kDecibelPerNeper = 8.685889638065036553;  ///< 20 / ln 10
inline constexpr double kSpeedOfLight = 299'792'458.0;            ///< m/s, exact
inline constexpr double kVacuumPermeability = 1.25663706127e-6;   ///< H/m, CODATA 2022
inline constexpr double kVacuumPermittivity = 8.8541878188e-12;   ///< F/m, CODATA 2022
inline constexpr double kVacuumImpedance = 376.730313412;         ///< ohm, CODATA 2022

}  // namespace feldspar::core

#pragma once

#include <compare>

#include "core/constants.hpp"

/// Strong types for the borders of the library: two arguments that are swapped do not compile.
/// Inside a computation plain doubles in SI units are used.
namespace feldspar::core {

/// A number with a meaning; `si` is in the SI unit of that meaning.
template <class Tag>
struct Quantity {
  double si = 0.0;
  constexpr Quantity() = default;
  constexpr explicit Quantity(double value) : si(value) {}
  friend constexpr auto operator<=>(const Quantity&, const Quantity&) = default;
};

using Length = Quantity<struct LengthTag>;        ///< m
using Frequency = Quantity<struct FrequencyTag>;  ///< Hz
using Angle = Quantity<struct AngleTag>;          ///< rad
using Power = Quantity<struct PowerTag>;          ///< W

/// Angular frequency, rad/s.
[[nodiscard]] constexpr double angular(Frequency f) {
  return 2.0 * kPi * f.si;
}
/// Wavenumber of free space, rad/m.
[[nodiscard]] constexpr double wavenumber(Frequency f) {
  return angular(f) / kSpeedOfLight;
}
/// Wavelength in free space, m; f > 0.
[[nodiscard]] constexpr double wavelength(Frequency f) {
  return kSpeedOfLight / f.si;
}

namespace literals {
constexpr Frequency operator""_MHz(long double v) {
  return Frequency{static_cast<double>(v) * 1e6};
}
constexpr Frequency operator""_MHz(unsigned long long v) {
  return Frequency{static_cast<double>(v) * 1e6};
}
constexpr Length operator""_m(long double v) {
  return Length{static_cast<double>(v)};
}
constexpr Length operator""_mm(long double v) {
  return Length{static_cast<double>(v) * 1e-3};
}
constexpr Angle operator""_deg(long double v) {
  return Angle{static_cast<double>(v) * kPi / 180.0};
}
}  // namespace literals

}  // namespace feldspar::core

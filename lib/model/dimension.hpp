#pragma once

#include <array>
#include <string>

/// What kind of thing a number is: a length, a frequency, a plain number.
namespace feldspar::model {

/// Exponents of the base units. The radian and the decibel are kept as units of their own, so that a mix-up
/// is noticed; a radian may stand or fall away in products (arc = radius * angle).
struct Dimension {
  enum Base { metre, kilogram, second, ampere, radian, decibel, kBases };
  std::array<double, kBases> exponent{};

  [[nodiscard]] bool plain() const { return *this == Dimension{}; }
  friend bool operator==(const Dimension&, const Dimension&) = default;
};

[[nodiscard]] Dimension operator*(const Dimension& a, const Dimension& b);
[[nodiscard]] Dimension operator/(const Dimension& a, const Dimension& b);
[[nodiscard]] Dimension power(const Dimension& a, double exponent);

namespace dimension {
inline constexpr Dimension kNumber{};
inline constexpr Dimension kLength{{1, 0, 0, 0, 0, 0}};
inline constexpr Dimension kArea{{2, 0, 0, 0, 0, 0}};
inline constexpr Dimension kTime{{0, 0, 1, 0, 0, 0}};
inline constexpr Dimension kSpeed{{1, 0, -1, 0, 0, 0}};
inline constexpr Dimension kFrequency{{0, 0, -1, 0, 0, 0}};
inline constexpr Dimension kPower{{2, 1, -3, 0, 0, 0}};
inline constexpr Dimension kVoltage{{2, 1, -3, -1, 0, 0}};
inline constexpr Dimension kCurrent{{0, 0, 0, 1, 0, 0}};
inline constexpr Dimension kResistance{{2, 1, -3, -2, 0, 0}};
inline constexpr Dimension kConductance{{-2, -1, 3, 2, 0, 0}};
inline constexpr Dimension kConductivity{{-3, -1, 3, 2, 0, 0}};
inline constexpr Dimension kInductance{{2, 1, -2, -2, 0, 0}};
inline constexpr Dimension kCapacitance{{-2, -1, 4, 2, 0, 0}};
inline constexpr Dimension kAngle{{0, 0, 0, 0, 1, 0}};
inline constexpr Dimension kLevel{{0, 0, 0, 0, 0, 1}};
inline constexpr Dimension kAttenuation{{-1, 0, 0, 0, 0, 1}};
}  // namespace dimension

/// A number in SI units (radians, decibels) and what it is.
struct Value {
  double si = 0.0;
  Dimension dimension;
};

/// "a length", "a plain number", "a quantity in m^2 s^-1".
[[nodiscard]] std::string describe(const Dimension& dimension);
/// The value as a person would write it: "20 mm", "7.1 MHz", "45 deg", "13"; six digits.
[[nodiscard]] std::string format(const Value& value);
/// "the length 20 mm", "the plain number 13".
[[nodiscard]] std::string describe(const Value& value);
/// The unit of machine-readable values, of which `factor` SI units are one: m, Hz, S/m, deg; empty for a
/// plain number.
struct OutputUnit {
  double factor = 1.0;
  std::string name;
};
[[nodiscard]] OutputUnit output_unit(const Dimension& dimension);
/// What a machine-readable key ends in: "_m", "_hz", "_deg", "" for a plain number.
[[nodiscard]] std::string key_suffix(const Dimension& dimension);

}  // namespace feldspar::model

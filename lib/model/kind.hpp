#pragma once

#include <array>
#include <string_view>

#include "model/dimension.hpp"
#include "model/expression.hpp"

/// What a key of the model file may hold.
namespace feldspar::model {

/// One kind of quantity: its dimension, an example, and which bare SI numbers are believable.
struct Kind {
  Dimension dimension;
  std::string_view example;    ///< "8 m"
  double bare_smallest = 0.0;  ///< magnitude of a believable bare number, zero excepted
  double bare_largest = 0.0;
  std::array<std::string_view, 4> likely{};  ///< units that are tried for a number that is not believable
};

namespace kind {
inline constexpr Kind kNumber{dimension::kNumber, "4", 0.0, 1e300, {}};
inline constexpr Kind kCoordinate{dimension::kLength, "8 m", 1e-5, 2000.0, {"mm", "m"}};
inline constexpr Kind kDiameter{dimension::kLength, "2 mm", 1e-5, 0.3, {"mm", "um"}};
inline constexpr Kind kThickness{dimension::kLength, "0.5 mm", 1e-6, 0.05, {"mm", "um"}};
inline constexpr Kind kGap{dimension::kLength, "3 mm", 1e-5, 1.0, {"mm", "cm"}};
inline constexpr Kind kCoil{dimension::kLength, "50 mm", 1e-4, 2.0, {"mm", "cm"}};
inline constexpr Kind kLineLength{dimension::kLength, "10 m", 1e-3, 5000.0, {"mm", "cm"}};
inline constexpr Kind kDistance{dimension::kLength, "300 km", 1e3, 2.1e7, {"km"}};  // over the ground
inline constexpr Kind kFrequency{dimension::kFrequency, "7.1 MHz", 1e4, 1e11, {"MHz", "kHz"}};
inline constexpr Kind kResistance{dimension::kResistance, "50 ohm", 1e-6, 1e9, {}};
inline constexpr Kind kConductance{dimension::kConductance, "1.7 mS", 1e-9, 10.0, {"mS"}};
inline constexpr Kind kArea{dimension::kArea, "1.3 cm * 1 cm", 1e-8, 1.0, {}};
inline constexpr Kind kInductance{dimension::kInductance, "18 uH", 1e-10, 0.1, {"uH", "nH"}};
inline constexpr Kind kCapacitance{dimension::kCapacitance, "100 pF", 1e-14, 1e-4, {"pF", "nF"}};
inline constexpr Kind kSoilConductivity{dimension::kConductivity, "5 mS/m", 1e-6, 10.0, {"mS/m", "uS/m"}};
inline constexpr Kind kMetalConductivity{dimension::kConductivity, "35 MS/m", 1e3, 1e9, {"MS/m"}};
inline constexpr Kind kPower{dimension::kPower, "100 W", 1e-4, 1e5, {"mW", "W"}};
inline constexpr Kind kAngle{dimension::kAngle, "90 deg", 1e-6, 6.2832, {"deg"}};
inline constexpr Kind kLevel{dimension::kLevel, "0.5 dB", 0.0, 100.0, {}};
inline constexpr Kind kAttenuation{dimension::kAttenuation, "4.9 dB/100 m", 0.0, 2.0, {"dB/100 m"}};
}  // namespace kind

/// The kind that belongs to a dimension, for values whose use is not known (parameters).
/// @param example  for messages; must outlive the result
[[nodiscard]] Kind kind_of(const Dimension& dimension, std::string_view example);

/// Turns an evaluated text into the SI number of that kind. A plain number that was written bare counts as
/// SI.
/// @throws ExpressionError when the dimension is another or a bare number is not believable
[[nodiscard]] double as_kind(const Evaluation& found, const Kind& kind);

}  // namespace feldspar::model

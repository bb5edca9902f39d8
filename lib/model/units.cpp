#include "model/units.hpp"

#include <algorithm>
#include <cctype>

#include "core/constants.hpp"
#include "model/nearest.hpp"

namespace feldspar::model {

namespace {

struct Unit {
  std::string_view name;
  double factor;
  Dimension dimension;
};

// U+00B5 and U+03BC are both in use as micro, U+2126 and U+03A9 both as ohm.
constexpr Unit kUnits[] = {
    {"m", 1.0, dimension::kLength},
    {"cm", 1e-2, dimension::kLength},
    {"mm", 1e-3, dimension::kLength},
    {"um", 1e-6, dimension::kLength},
    {"\u00b5m", 1e-6, dimension::kLength},
    {"\u03bcm", 1e-6, dimension::kLength},
    {"km", 1e3, dimension::kLength},
    {"in", 0.0254, dimension::kLength},
    {"ft", 0.3048, dimension::kLength},
    {"yd", 0.9144, dimension::kLength},
    {"mi", 1609.344, dimension::kLength},
    {"s", 1.0, dimension::kTime},
    {"ms", 1e-3, dimension::kTime},
    {"us", 1e-6, dimension::kTime},
    {"ns", 1e-9, dimension::kTime},
    {"Hz", 1.0, dimension::kFrequency},
    {"kHz", 1e3, dimension::kFrequency},
    {"MHz", 1e6, dimension::kFrequency},
    {"GHz", 1e9, dimension::kFrequency},
    {"mW", 1e-3, dimension::kPower},
    {"W", 1.0, dimension::kPower},
    {"kW", 1e3, dimension::kPower},
    {"V", 1.0, dimension::kVoltage},
    {"kV", 1e3, dimension::kVoltage},
    {"A", 1.0, dimension::kCurrent},
    {"mohm", 1e-3, dimension::kResistance},
    {"ohm", 1.0, dimension::kResistance},
    {"kohm", 1e3, dimension::kResistance},
    {"Mohm", 1e6, dimension::kResistance},
    {"\u03a9", 1.0, dimension::kResistance},
    {"k\u03a9", 1e3, dimension::kResistance},
    {"M\u03a9", 1e6, dimension::kResistance},
    {"\u2126", 1.0, dimension::kResistance},
    {"k\u2126", 1e3, dimension::kResistance},
    {"M\u2126", 1e6, dimension::kResistance},
    {"uS", 1e-6, dimension::kConductance},
    {"mS", 1e-3, dimension::kConductance},
    {"S", 1.0, dimension::kConductance},
    {"MS", 1e6, dimension::kConductance},
    {"nH", 1e-9, dimension::kInductance},
    {"uH", 1e-6, dimension::kInductance},
    {"\u00b5H", 1e-6, dimension::kInductance},
    {"\u03bcH", 1e-6, dimension::kInductance},
    {"mH", 1e-3, dimension::kInductance},
    {"H", 1.0, dimension::kInductance},
    {"pF", 1e-12, dimension::kCapacitance},
    {"nF", 1e-9, dimension::kCapacitance},
    {"uF", 1e-6, dimension::kCapacitance},
    {"\u00b5F", 1e-6, dimension::kCapacitance},
    {"\u03bcF", 1e-6, dimension::kCapacitance},
    {"F", 1.0, dimension::kCapacitance},
    {"deg", core::kPi / 180.0, dimension::kAngle},
    {"\u00b0", core::kPi / 180.0, dimension::kAngle},
    {"rad", 1.0, dimension::kAngle},
    {"dB", 1.0, dimension::kLevel},
};

struct Habit {
  std::string_view wrong;  // in small letters
  std::string_view right;
};

constexpr Habit kHabits[] = {
    {"foot", "ft"},        {"feet", "ft"},        {"inch", "in"},     {"inches", "in"},
    {"yard", "yd"},        {"yards", "yd"},       {"mile", "mi"},     {"miles", "mi"},
    {"meter", "m"},        {"meters", "m"},       {"metre", "m"},     {"metres", "m"},
    {"ohms", "ohm"},       {"degree", "deg"},     {"degrees", "deg"}, {"radians", "rad"},
    {"watt", "W"},         {"watts", "W"},        {"hertz", "Hz"},    {"megahertz", "MHz"},
    {"mc", "MHz"},         {"meg", "Mohm"},       {"henry", "H"},     {"farad", "F"},
    {"volt", "V"},         {"siemens", "S"},      {"decibel", "dB"},  {"db", "dB"},
    {"micron", "um"},      {"millimetres", "mm"}, {"k", "kohm"},      {"centimetres", "cm"},
    {"millimeters", "mm"}, {"centimeters", "cm"}, {"mhz", "MHz"},
};

std::string lowered(std::string_view text) {
  std::string small(text);
  std::transform(small.begin(), small.end(), small.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return small;
}

}  // namespace

std::optional<Value> unit(std::string_view name) {
  for (const Unit& row : kUnits)
    if (row.name == name) return Value{row.factor, row.dimension};
  return std::nullopt;
}

const std::vector<std::string>& unit_names() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> list;
    for (const Unit& row : kUnits) list.emplace_back(row.name);
    return list;
  }();
  return names;
}

std::string likely_unit(std::string_view wrong) {
  const std::string small = lowered(wrong);
  for (const Habit& habit : kHabits)
    if (habit.wrong == small) return std::string(habit.right);
  for (const Unit& row : kUnits)
    if (lowered(row.name) == small) return std::string(row.name);
  return wrong.size() > 2 ? nearest(wrong, unit_names()) : std::string{};
}

}  // namespace feldspar::model

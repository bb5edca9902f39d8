#include "model/dimension.hpp"

#include <fmt/format.h>

#include <cmath>
#include <span>

#include "core/constants.hpp"

namespace feldspar::model {

namespace {

struct Scale {
  double factor = 0.0;
  const char* unit = nullptr;
  double from = factor;  // smallest value written in this unit
};

struct Named {
  Dimension dimension;
  const char* name;             // with its article
  const char* suffix;           // of output keys
  std::array<Scale, 5> scales;  // from large to small
};

constexpr double kDegree = core::kPi / 180.0;

std::span<const Named> named() {
  static const Named table[] = {
      {dimension::kNumber, "a plain number", "", {{{1.0, ""}}}},
      {dimension::kLength,
       "a length",
       "_m",
       {{{1e3, "km", 1e4}, {1.0, "m", 0.1}, {1e-3, "mm"}, {1e-6, "um"}}}},
      {dimension::kArea, "an area", "_m2", {{{1.0, "m^2"}}}},
      {dimension::kTime, "a time", "_s", {{{1.0, "s"}}}},
      {dimension::kSpeed, "a speed", "_m_per_s", {{{1.0, "m/s"}}}},
      {dimension::kFrequency,
       "a frequency",
       "_hz",
       {{{1e9, "GHz"}, {1e6, "MHz"}, {1e3, "kHz"}, {1.0, "Hz"}}}},
      {dimension::kPower, "a power", "_w", {{{1e3, "kW"}, {1.0, "W"}, {1e-3, "mW"}}}},
      {dimension::kVoltage, "a voltage", "_v", {{{1.0, "V"}}}},
      {dimension::kCurrent, "a current", "_a", {{{1.0, "A"}}}},
      {dimension::kResistance, "a resistance", "_ohm", {{{1e6, "Mohm"}, {1e3, "kohm"}, {1.0, "ohm"}}}},
      {dimension::kConductance, "a conductance", "_s", {{{1.0, "S"}, {1e-3, "mS"}, {1e-6, "uS"}}}},
      {dimension::kConductivity,
       "a conductivity",
       "_s_per_m",
       {{{1e6, "MS/m"}, {1.0, "S/m"}, {1e-3, "mS/m"}}}},
      {dimension::kInductance,
       "an inductance",
       "_h",
       {{{1.0, "H"}, {1e-3, "mH"}, {1e-6, "uH"}, {1e-9, "nH"}}}},
      {dimension::kCapacitance, "a capacitance", "_f", {{{1e-6, "uF"}, {1e-9, "nF"}, {1e-12, "pF"}}}},
      {dimension::kAngle, "an angle", "_deg", {{{kDegree, "deg"}}}},
      {dimension::kLevel, "a level in decibels", "_db", {{{1.0, "dB"}}}},
      {dimension::kAttenuation, "an attenuation", "_db_per_m", {{{1.0, "dB/m"}}}},
  };
  return table;
}

const Named* lookup(const Dimension& dimension) {
  for (const Named& row : named())
    if (row.dimension == dimension) return &row;
  return nullptr;
}

std::string base_units(const Dimension& dimension, const char* joint, const char* caret) {
  static constexpr const char* kUnits[] = {"m", "kg", "s", "A", "rad", "dB"};
  std::string text;
  for (std::size_t i = 0; i < Dimension::kBases; ++i) {
    const double e = dimension.exponent[i];
    if (e == 0.0) continue;
    if (!text.empty()) text += joint;
    text += kUnits[i];
    if (e != 1.0) text += fmt::format("{}{:g}", caret, e);
  }
  return text;
}

std::string bare_name(const Dimension& dimension) {  // without the article
  const Named* row = lookup(dimension);
  if (!row) return "quantity";
  const std::string name = row->name;
  return name.substr(name.find(' ') + 1);
}

}  // namespace

Dimension operator*(const Dimension& a, const Dimension& b) {
  Dimension c;
  for (std::size_t i = 0; i < Dimension::kBases; ++i) c.exponent[i] = a.exponent[i] + b.exponent[i];
  return c;
}

Dimension operator/(const Dimension& a, const Dimension& b) {
  return a * power(b, -1.0);
}

Dimension power(const Dimension& a, double exponent) {
  Dimension c;
  for (std::size_t i = 0; i < Dimension::kBases; ++i)
    c.exponent[i] = a.exponent[i] == 0.0 ? 0.0 : a.exponent[i] * exponent;
  return c;
}

std::string describe(const Dimension& dimension) {
  if (const Named* row = lookup(dimension)) return row->name;
  return "a quantity in " + base_units(dimension, " ", "^");
}

std::string format(const Value& value) {
  const Named* row = lookup(value.dimension);
  if (!row) return fmt::format("{:.6g} {}", value.si, base_units(value.dimension, " ", "^"));
  Scale chosen = row->scales[0];
  for (const Scale& scale : row->scales) {
    if (!scale.unit) break;
    chosen = scale;
    // one part in 1e9 less, so that a rounded 20 mm or 1 MHz does not fall to the next smaller unit
    const bool reached = std::abs(value.si) >= scale.from * (1.0 - 1e-9);
    if (reached || (value.si == 0.0 && scale.factor == 1.0)) break;
  }
  return *chosen.unit ? fmt::format("{:.6g} {}", value.si / chosen.factor, chosen.unit)
                      : fmt::format("{:.6g}", value.si);
}

std::string describe(const Value& value) {
  return "the " + bare_name(value.dimension) + " " + format(value);
}

OutputUnit output_unit(const Dimension& dimension) {
  const Named* row = lookup(dimension);
  if (!row) return {1.0, base_units(dimension, " ", "^")};
  if (dimension == dimension::kAngle) return {kDegree, "deg"};
  for (const Scale& scale : row->scales)
    if (scale.unit && scale.factor == 1.0) return {1.0, scale.unit};
  return {1.0, base_units(dimension, " ", "^")};
}

std::string key_suffix(const Dimension& dimension) {
  if (const Named* row = lookup(dimension)) return row->suffix;
  return "_" + base_units(dimension, "_", "");
}

}  // namespace feldspar::model

#include "model/kind.hpp"

#include <fmt/format.h>

#include <cmath>
#include <string>

#include "model/units.hpp"

namespace feldspar::model {

namespace {

std::string likely_meaning(double number, const Kind& kind) {
  for (const std::string_view name : kind.likely) {
    if (name.empty()) break;
    std::string text = fmt::format("{:.10g} {}", number, name);
    const double value = std::abs(evaluate(text, {}).value.si);
    if (value >= kind.bare_smallest && value <= kind.bare_largest) return text;
  }
  return {};
}

std::string unit_hint(const Value& found, const Kind& kind) {
  if (found.dimension.plain()) return fmt::format("; add a unit, as in \"{}\"", kind.example);
  // "1/2 m" divides by two metres
  if (found.dimension == power(kind.dimension, -1.0) && !kind.dimension.plain())
    return "; the unit belongs to the number just before it, so write (1/2) m or 0.5 m, not 1/2 m";
  return {};
}

}  // namespace

Kind kind_of(const Dimension& dimension, std::string_view example) {
  Kind result{dimension, example, 0.0, 1e300, {}};
  for (const Kind* candidate :
       {&kind::kCoordinate, &kind::kFrequency, &kind::kResistance, &kind::kInductance, &kind::kCapacitance,
        &kind::kSoilConductivity, &kind::kPower, &kind::kAngle, &kind::kLevel, &kind::kAttenuation})
    if (candidate->dimension == dimension) result = *candidate;
  result.example = example;
  return result;
}

double as_kind(const Evaluation& found, const Kind& kind) {
  const Value& value = found.value;
  if (value.dimension == kind.dimension) return value.si;
  const bool plain = value.dimension.plain();
  if (plain && kind.dimension == dimension::kAngle && !found.bare_number) return value.si;  // "pi / 2"
  if (!plain || !found.bare_number)
    throw ExpressionError{fmt::format("expected {} such as \"{}\", found {}{}", describe(kind.dimension),
                                      kind.example, describe(value), unit_hint(value, kind)),
                          0};
  const double size = std::abs(value.si);
  if (size == 0.0 || (size >= kind.bare_smallest && size <= kind.bare_largest)) return value.si;
  const std::string meaning = likely_meaning(value.si, kind);
  throw ExpressionError{
      fmt::format("the bare number {:.10g} would mean {}, which is not believable here; {}", value.si,
                  format({value.si, kind.dimension}),
                  meaning.empty() ? fmt::format("write it with its unit, as in \"{}\"", kind.example)
                                  : fmt::format("did you mean \"{}\"?", meaning)),
      0};
}

}  // namespace feldspar::model

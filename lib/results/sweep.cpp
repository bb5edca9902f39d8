#include "results/sweep.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <span>

#include "results/power_parts.hpp"

namespace feldspar::results {

namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

double or_none(const std::optional<double>& value) {
  return value.value_or(kNone);
}

using FromFrequency = double (*)(const FrequencyResult&);

struct FrequencyRow {
  const char* name;
  const char* units;
  const char* long_name;
  FromFrequency value;
};

/// The port's own values: the first port driven, the others short.
double resistance(const FrequencyResult& r) {
  return r.ports.empty() ? kNone : r.ports.front().impedance.real();
}
double reactance(const FrequencyResult& r) {
  return r.ports.empty() ? kNone : r.ports.front().impedance.imag();
}

constexpr std::array<FrequencyRow, 12> kFrequencyRows = {{
    {"resistance", "ohm", "resistance at the port", resistance},
    {"reactance", "ohm", "reactance at the port", reactance},
    {"radio_resistance", "ohm", "resistance at the radio",
     [](const FrequencyResult& r) { return r.radio_impedance.real(); }},
    {"radio_reactance", "ohm", "reactance at the radio",
     [](const FrequencyResult& r) { return r.radio_impedance.imag(); }},
    {"swr_on_line", "1", "SWR at the antenna end of the line",
     [](const FrequencyResult& r) { return r.swr_on_line; }},
    {"swr_at_radio", "1", "SWR at the radio", [](const FrequencyResult& r) { return r.swr_at_radio; }},
    {"gain", "dBi", "largest gain over an isotropic radiator, of the power accepted at the port",
     [](const FrequencyResult& r) { return or_none(r.gain_dbi); }},
    {"gain_elevation", "deg", "elevation of the largest gain",
     [](const FrequencyResult& r) { return or_none(r.gain_elevation_deg); }},
    {"gain_azimuth", "deg", "true bearing of the largest gain; none where the pattern is round",
     [](const FrequencyResult& r) { return or_none(r.gain_azimuth_deg); }},
    {"gain_from_radio", "dBi",
     "largest gain over an isotropic radiator, of the power that enters the first part "
     "after the radio",
     [](const FrequencyResult& r) { return or_none(r.gain_from_radio_dbi); }},
    {"radiation_efficiency", "1", "power to the sky over power accepted at the port",
     [](const FrequencyResult& r) { return or_none(r.radiation_efficiency); }},
    {"impedance_error_relative", "1", "the calculation's own error, |dZ|/|Z|",
     [](const FrequencyResult& r) { return r.impedance_error_relative; }},
}};

struct BandColumn {
  const char* name;
  const char* units;
  const char* long_name;
  double (*value)(const BandRow&);
};

constexpr std::array<BandColumn, 5> kBandColumns = {{
    {"swr_lowest", "1", "lowest SWR at the radio in the band", [](const BandRow& b) { return b.lowest.swr; }},
    {"swr_lowest_frequency", "Hz", "where it is", [](const BandRow& b) { return b.lowest.frequency; }},
    {"swr_largest", "1", "largest SWR at the radio in the band",
     [](const BandRow& b) { return b.largest.swr; }},
    {"bandwidth_swr2", "Hz", "stretch round the lowest SWR with SWR below 2, cut at the edges",
     [](const BandRow& b) { return b.bandwidth_swr2; }},
    {"tuner_loss", "dB",
     "loss of the tuner beside the radio that the band needs; none where none is needed or none "
     "gets there",
     [](const BandRow& b) { return or_none(b.tuner_loss); }},
}};

constexpr const char* kPattern = "pattern";
constexpr const char* kCurrentReal = "current_real";
constexpr const char* kCurrentImaginary = "current_imaginary";
constexpr const char* kTotalWire = "total_wire";
constexpr const char* kUnknowns = "unknowns";

std::string power_name(const PowerPart& part) {
  return fmt::format("power_{}", part.key);
}

/// Fills the values of a case, quantity by quantity.
class Writer {
 public:
  explicit Writer(const SweepLayout& layout) : layout_(layout), values_(layout.values(), kNone) {
    std::size_t at = 0;
    for (const Quantity& quantity : layout.quantities) {
      first_[quantity.name] = at;
      at += layout.values(quantity);
    }
  }

  /// @param fields whether gain, efficiency and watts have been computed
  void frequency(std::size_t i, const FrequencyResult& result, bool fields) {
    for (const FrequencyRow& row : kFrequencyRows) set(row.name, i, row.value(result));
    if (fields)
      for (const PowerPart& part : kPowerParts)
        if (!part.beyond_port || result.unknowns > 0) set(power_name(part), i, result.power.*part.watts);
    set(kPattern, i * result.pattern_dbi.size(), result.pattern_dbi);
    for (const WireCurrent& wire : result.currents) current(i, wire);
  }

  void band(std::size_t i, const BandRow& row) {
    for (const BandColumn& column : kBandColumns) set(column.name, i, column.value(row));
  }

  std::vector<double> finish(double total_wire, int unknowns) {
    set(kTotalWire, 0, total_wire);
    set(kUnknowns, 0, unknowns);
    return std::move(values_);
  }

 private:
  void set(const std::string& name, std::size_t i, double value) { set(name, i, {&value, 1}); }

  /// Values from the i-th of a quantity on; those of one that is not kept go nowhere.
  void set(const std::string& name, std::size_t i, std::span<const double> values) {
    const auto at = first_.find(name);
    if (at == first_.end()) return;
    std::copy(values.begin(), values.end(), values_.begin() + static_cast<std::ptrdiff_t>(at->second + i));
  }

  void current(std::size_t i, const WireCurrent& wire) {
    if (layout_.places.empty()) return;
    const std::vector<std::string>& names = layout_.places.front().coordinates.front().words;
    const auto at = std::find(names.begin(), names.end(), first_copy(wire.wire));
    if (at == names.end()) return;
    const std::size_t first =
        (i * names.size() + static_cast<std::size_t>(at - names.begin())) * wire.current.size();
    std::vector<double> real;
    std::vector<double> imaginary;
    for (const std::complex<double>& current : wire.current) {
      real.push_back(current.real());
      imaginary.push_back(current.imag());
    }
    set(kCurrentReal, first, real);
    set(kCurrentImaginary, first, imaginary);
  }

  const SweepLayout& layout_;
  std::vector<double> values_;
  std::map<std::string, std::size_t> first_;
};

Coordinate evenly(const char* name, const char* units, const char* long_name, int count, double step) {
  Coordinate coordinate{name, units, long_name, {}, {}};
  for (int i = 0; i < count; ++i) coordinate.numbers.push_back(step * i);
  return coordinate;
}

/// A value of a dimension with all its coordinates, to the last bit.
std::string exact_name(const Dimension& dimension, std::size_t i) {
  std::string text;
  for (const Coordinate& coordinate : dimension.coordinates)
    text += fmt::format(
        "{}\n{}\n{}\n", coordinate.name, coordinate.units,
        coordinate.words.empty() ? fmt::format("{}", coordinate.numbers[i]) : coordinate.words[i]);
  return text;
}

Dimension dimension_of(Coordinate coordinate) {
  Dimension dimension{coordinate.name, coordinate.size(), {}};
  dimension.coordinates.push_back(std::move(coordinate));
  return dimension;
}

}  // namespace

std::string Coordinate::text(std::size_t i) const {
  if (!words.empty()) return words[i];
  return units.empty() || units == "1" ? fmt::format("{:.10g}", numbers[i])
                                       : fmt::format("{:.10g} {}", numbers[i], units);
}

std::size_t SweepLayout::count() const {
  std::size_t product = 1;
  for (const Dimension& dimension : cases) product *= dimension.size;
  return product;
}

std::vector<const Dimension*> SweepLayout::within(Extent extent) const {
  std::vector<const Dimension*> list;
  if (extent == Extent::one) return list;
  const auto add = [&](const std::vector<Dimension>& dimensions) {
    for (const Dimension& dimension : dimensions) list.push_back(&dimension);
  };
  add(spectrum);
  if (extent == Extent::each_band) list.resize(1);
  if (extent == Extent::each_direction) add(directions);
  if (extent == Extent::each_place) add(places);
  return list;
}

std::size_t SweepLayout::values(const Quantity& quantity) const {
  std::size_t product = 1;
  for (const Dimension* dimension : within(quantity.extent)) product *= dimension->size;
  return product;
}

std::size_t SweepLayout::values() const {
  std::size_t sum = 0;
  for (const Quantity& quantity : quantities) sum += values(quantity);
  return sum;
}

std::vector<std::size_t> SweepLayout::split(std::size_t index) const {
  std::vector<std::size_t> along(cases.size());
  for (std::size_t d = cases.size(); d-- > 0;) {
    along[d] = index % cases[d].size;
    index /= cases[d].size;
  }
  return along;
}

std::size_t SweepLayout::join(const std::vector<std::size_t>& along) const {
  std::size_t index = 0;
  for (std::size_t d = 0; d < cases.size(); ++d) index = index * cases[d].size + along[d];
  return index;
}

std::string SweepLayout::name(std::size_t index) const {
  const std::vector<std::size_t> along = split(index);
  std::string text;
  for (std::size_t d = 0; d < cases.size(); ++d)
    for (const Coordinate& coordinate : cases[d].coordinates)
      text += fmt::format("{}{} {}", text.empty() ? "" : ", ", coordinate.name, coordinate.text(along[d]));
  return text;
}

CaseMap::CaseMap(const SweepLayout& before, const SweepLayout& now) {
  before_.cases = before.cases;
  now_.cases = now.cases;
  complete_ = before.cases.size() == now.cases.size();
  for (std::size_t d = 0; complete_ && d < now.cases.size(); ++d) {
    const Dimension& older = before.cases[d];
    const Dimension& newer = now.cases[d];
    std::map<std::string, std::size_t> there;
    for (std::size_t i = 0; i < older.size; ++i) there[exact_name(older, i)] = i;
    std::vector<std::size_t> places(newer.size, older.size);
    std::size_t found = 0;
    for (std::size_t k = 0; k < newer.size; ++k) {
      const auto at = there.find(exact_name(newer, k));
      if (at == there.end()) continue;
      places[k] = at->second;
      ++found;
    }
    complete_ = found == older.size;
    places_.push_back(std::move(places));
  }
}

std::size_t CaseMap::before(std::size_t index) const {
  std::vector<std::size_t> along = now_.split(index);
  for (std::size_t d = 0; d < along.size(); ++d) {
    along[d] = places_[d][along[d]];
    if (along[d] == before_.cases[d].size) return before_.count();
  }
  return before_.join(along);
}

const char* word(CaseStatus status) noexcept {
  constexpr std::array<const char*, 4> kWords = {"done", "failed", "left out", "missing"};
  return kWords[static_cast<std::size_t>(status)];
}

std::string first_copy(const std::string& wire) {
  const std::size_t bracket = wire.rfind(" (");
  if (bracket == std::string::npos || wire.back() != ')') return wire;
  return wire.substr(bracket) == " (1)" ? wire.substr(0, bracket) : "";
}

void set_quantities(SweepLayout& layout, const SweepKeep& keep, const std::vector<std::string>& wires) {
  std::vector<Quantity>& list = layout.quantities;
  for (const FrequencyRow& row : kFrequencyRows) list.push_back({row.name, row.units, row.long_name});
  if (keep.power)
    for (const PowerPart& part : kPowerParts)
      list.push_back({power_name(part), "W", fmt::format("power: {}", part.word)});
  if (keep.patterns) {
    list.push_back({kPattern, "dBi", "gain over an isotropic radiator, of the power accepted at the port",
                    Extent::each_direction});
    layout.directions = {
        dimension_of(evenly("elevation", "deg", "above the horizon", kPatternElevations, kElevationStep)),
        dimension_of(evenly("bearing", "deg", "true bearing", kPatternBearings, kBearingStep))};
  }
  if (keep.currents && !wires.empty()) {
    const std::string about = "current along the wire, r.m.s., against the phase of the port's voltage";
    list.push_back({kCurrentReal, "A", about + ", real part", Extent::each_place});
    list.push_back({kCurrentImaginary, "A", about + ", imaginary part", Extent::each_place});
    layout.places = {dimension_of({"wire", "", "wire; of copies the first", {}, wires}),
                     dimension_of(evenly("position", "", "fraction of the wire's length", kCurrentPlaces,
                                         1.0 / (kCurrentPlaces - 1)))};
  }
  if (layout.by_bands())
    for (const BandColumn& column : kBandColumns)
      list.push_back({column.name, column.units, column.long_name, Extent::each_band});
  list.push_back({kTotalWire, "m", "all wires together, without the coax", Extent::one});
  list.push_back({kUnknowns, "1", "unknowns of one solve at the last frequency", Extent::one});
}

std::vector<double> sweep_values(const SweepLayout& layout, const BandTable& table, double total_wire) {
  Writer writer(layout);
  const std::vector<std::string>& names = layout.spectrum.front().coordinates.front().words;
  int unknowns = 0;
  for (const BandRow& row : table.bands) {
    const auto at = std::find(names.begin(), names.end(), row.name);
    if (at == names.end()) continue;
    const auto band = static_cast<std::size_t>(at - names.begin());
    writer.band(band, row);
    writer.frequency(3 * band, row.at_lower, false);
    writer.frequency(3 * band + 1, row.at_middle, true);
    writer.frequency(3 * band + 2, row.at_upper, false);
    unknowns = row.at_middle.unknowns;
  }
  return writer.finish(total_wire, unknowns);
}

std::vector<double> sweep_values(const SweepLayout& layout, const std::vector<FrequencyResult>& results,
                                 double total_wire) {
  Writer writer(layout);
  for (std::size_t i = 0; i < results.size(); ++i) writer.frequency(i, results[i], true);
  return writer.finish(total_wire, results.empty() ? 0 : results.back().unknowns);
}

}  // namespace feldspar::results

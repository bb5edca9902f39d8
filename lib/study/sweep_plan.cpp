#include "study/sweep_plan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

#include "model/condition.hpp"
#include "model/nearest.hpp"

namespace feldspar::study {

namespace {

constexpr std::size_t kTriedValues = 2000;  // of one axis; the others are found wanting when their turn comes

[[noreturn]] void fail(const core::Place& place, const std::string& why) {
  throw core::Error(core::ErrorKind::model, why, place);
}

/// A random order of 0 ... n - 1; spelled out, because the standard's distributions differ between libraries.
std::vector<std::size_t> shuffled(std::size_t n, std::mt19937_64& random) {
  std::vector<std::size_t> order(n);
  std::iota(order.begin(), order.end(), std::size_t{0});
  for (std::size_t i = n; i > 1; --i) std::swap(order[i - 1], order[random() % i]);
  return order;
}

double fraction(std::mt19937_64& random) {
  return static_cast<double>(random() >> 11U) * 0x1p-53;
}

const model::ParameterDescription* parameter_of(const std::vector<NamedFamily>& families,
                                                const std::string& name) {
  for (const NamedFamily& named : families)
    for (const model::ParameterDescription& parameter : named.family.parameters())
      if (parameter.name == name) return &parameter;
  return nullptr;
}

/// Axis by axis, every value to the last bit.
std::string axis_lines(const results::SweepLayout& layout) {
  std::string text;
  for (const results::Dimension& dimension : layout.cases)
    for (const results::Coordinate& coordinate : dimension.coordinates) {
      std::vector<std::string> values;
      for (std::size_t i = 0; i < coordinate.size(); ++i)
        values.push_back(coordinate.words.empty() ? fmt::format("{}", coordinate.numbers[i])
                                                  : coordinate.words[i]);
      text += fmt::format("axis {}{}{}: {}\n", coordinate.name, coordinate.units.empty() ? "" : ", ",
                          coordinate.units, fmt::join(values, " | "));
    }
  return text;
}

/// What a sample is drawn from; its values follow.
std::string drawn_lines(const std::vector<model::StudyAxis>& axes) {
  std::string text;
  for (const model::StudyAxis& axis : axes) {
    text += fmt::format("drawn {}: ", axis.name);
    if (axis.range)
      text += fmt::format("{} to {}, {}\n", axis.range->from, axis.range->to,
                          axis.range->logarithmic ? "logarithmic" : "linear");
    else
      for (const model::AxisValue& value : axis.values)
        text += value.text + (&value == &axis.values.back() ? "\n" : " | ");
  }
  return text;
}

}  // namespace

SweepPlan::SweepPlan(model::Study study, const FamilyLoader& load) : study_(std::move(study)) {
  read_families(load);
  if (study_.sample) {
    drawn_ = drawn_lines(study_.axes);
    draw_sample();
  }
  try_axes();
  lay_out_cases();
  const std::optional<model::Model> rig = first_rig();
  lay_out_spectrum(rig ? rig->region : study_.region.value_or(1));
  results::set_quantities(layout_, {study_.keep_power, study_.keep_patterns, study_.keep_currents}, wires_);
  check_names();
  if (rig) (void)wanted(*rig);  // complains about conditions
}

void SweepPlan::read_families(const FamilyLoader& load) {
  const auto axis = std::find_if(study_.axes.begin(), study_.axes.end(),
                                 [](const model::StudyAxis& a) { return a.name == model::kModelAxis; });
  if (axis == study_.axes.end()) {
    families_.push_back(load(study_.model));
    return;
  }
  for (const model::AxisValue& value : axis->values) {
    try {
      families_.push_back(load(value.text));
    } catch (const core::Error& error) {
      if (!error.place().file.empty()) throw;
      throw core::Error(error.kind(), error.message(), value.place);
    }
  }
}

void SweepPlan::draw_sample() {
  std::mt19937_64 random(study_.sample->seed);
  const std::size_t cases = study_.sample->cases;
  for (model::StudyAxis& axis : study_.axes) {
    const std::vector<std::size_t> strata = shuffled(cases, random);
    std::vector<model::AxisValue> drawn;
    for (const std::size_t stratum : strata)
      drawn.push_back(model::at_fraction(
          axis, (static_cast<double>(stratum) + fraction(random)) / static_cast<double>(cases)));
    axis.values = std::move(drawn);
  }
}

model::Model SweepPlan::instantiate(const std::vector<std::size_t>& along_axes) const {
  std::vector<model::Setting> settings = study_.fixed;
  std::size_t family = 0;
  for (std::size_t a = 0; a < along_axes.size(); ++a) {
    const model::StudyAxis& axis = study_.axes[a];
    const model::AxisValue& value = axis.values[along_axes[a]];
    if (axis.name == model::kModelAxis) {
      const auto at = std::find_if(families_.begin(), families_.end(),
                                   [&](const NamedFamily& named) { return named.name == value.text; });
      family = static_cast<std::size_t>(at - families_.begin());
    } else {
      settings.push_back({axis.name, value.text, value.place});
    }
  }
  model::Model model = families_[family].family.instantiate(settings);
  if (study_.region) model.region = *study_.region;
  return model;
}

void SweepPlan::try_axes() {
  for (std::size_t a = 0; a < study_.axes.size(); ++a) {
    const model::StudyAxis& axis = study_.axes[a];
    const std::size_t count = axis.values.size();
    const std::size_t step =
        axis.range && !study_.sample ? std::max<std::size_t>(count - 1, 1) : count / kTriedValues + 1;
    for (std::size_t i = 0; i < count; i += step) {
      std::vector<std::size_t> along(study_.axes.size(), 0);
      along[a] = i;
      if (study_.groups.size() < study_.axes.size())  // axes that move together
        for (const auto& group : study_.groups)
          if (std::find(group.begin(), group.end(), a) != group.end())
            for (const std::size_t member : group) along[member] = i;
      try {
        for (const geometry::Wire& wire : instantiate(along).structure.wires) {
          const std::string name = results::first_copy(wire.name);
          if (!name.empty() && std::find(wires_.begin(), wires_.end(), name) == wires_.end())
            wires_.push_back(name);
        }
      } catch (const core::Error& error) {
        if (error.kind() == core::ErrorKind::usage)
          throw;  // what is wrong with the rig is that case's affair
      }
    }
  }
}

std::optional<model::Model> SweepPlan::first_rig() const {
  constexpr std::size_t kLookedAt = 100;
  for (std::size_t i = 0; i < std::min(layout_.count(), kLookedAt); ++i) try {
      return model(i);
    } catch (const core::Error&) {  // its own affair: there may be others
      continue;
    }
  return std::nullopt;
}

results::Coordinate SweepPlan::coordinate(const model::StudyAxis& axis) const {
  results::Coordinate coordinate;
  coordinate.name = axis.name;
  const model::ParameterDescription* parameter = parameter_of(families_, axis.name);
  coordinate.long_name = parameter && !parameter->about.empty() ? parameter->about : axis.name;
  if (!axis.numeric) {
    for (const model::AxisValue& value : axis.values) coordinate.words.push_back(value.text);
    return coordinate;
  }
  const model::OutputUnit unit =
      model::output_unit(axis.bare && parameter ? parameter->dimension : axis.dimension);
  coordinate.units = unit.name;
  for (const model::AxisValue& value : axis.values) {
    const double number = value.number / unit.factor;
    coordinate.numbers.push_back(unit.factor == 1.0 ? value.number : std::round(number * 1e9) / 1e9);
  }
  return coordinate;
}

void SweepPlan::lay_out_cases() {
  for (const std::vector<std::size_t>& group : study_.groups) {
    results::Dimension dimension;
    if (study_.sample) {
      results::Coordinate number{"case", "", "number of the case", {}, {}};
      for (std::size_t i = 0; i < study_.sample->cases; ++i)
        number.numbers.push_back(static_cast<double>(i + 1));
      dimension.coordinates.push_back(std::move(number));
    }
    for (const std::size_t axis : group) dimension.coordinates.push_back(coordinate(study_.axes[axis]));
    dimension.name = dimension.coordinates.front().name;
    dimension.size = dimension.coordinates.front().size();
    layout_.cases.push_back(std::move(dimension));
  }
}

void SweepPlan::lay_out_spectrum(int region) {
  if (!study_.frequencies.empty()) {
    layout_.frequencies = study_.frequencies;
    layout_.spectrum = {{"frequency",
                         layout_.frequencies.size(),
                         {{"frequency", "Hz", "frequency", layout_.frequencies, {}}}}};
    return;
  }
  bands_ = study_.bands.empty() ? decision::bands(region) : decision::select_bands(study_.bands, region);
  results::Coordinate names{"band", "", "amateur band", {}, {}};
  for (const decision::Band& band : bands_) {
    names.words.emplace_back(band.name);
    layout_.frequencies.insert(layout_.frequencies.end(), {band.lower, decision::middle(band), band.upper});
  }
  layout_.spectrum = {{"band", bands_.size(), {names}},
                      {"edge", 3, {{"edge", "", "place in the band", {}, {"lower", "middle", "upper"}}}}};
}

void SweepPlan::check_names() const {
  static const std::vector<std::string> kTaken = {"frequency", "band",     "edge",      "case",
                                                  "status",    "message",  "elevation", "bearing",
                                                  "wire",      "position", "feldspar"};
  for (const model::StudyAxis& axis : study_.axes) {
    const auto same = [&](const results::Quantity& quantity) { return quantity.name == axis.name; };
    if (std::any_of(layout_.quantities.begin(), layout_.quantities.end(), same) ||
        std::find(kTaken.begin(), kTaken.end(), axis.name) != kTaken.end())
      fail(axis.place,
           fmt::format("'{}' is the name of a result; rename the parameter in a copy of the model",
                       axis.name));
  }
}

model::Model SweepPlan::model(std::size_t index) const {
  const std::vector<std::size_t> along_groups = layout_.split(index);
  std::vector<std::size_t> along(study_.axes.size());
  for (std::size_t g = 0; g < study_.groups.size(); ++g)
    for (const std::size_t axis : study_.groups[g]) along[axis] = along_groups[g];
  return instantiate(along);
}

bool SweepPlan::wanted(const model::Model& model) const {
  return std::all_of(study_.only.begin(), study_.only.end(),
                     [&](const model::Condition& condition) { return model::meets(model, condition); });
}

std::string SweepPlan::identity(const std::string& program) const {
  std::string text = fmt::format("program: {}\n", program);
  for (const NamedFamily& named : families_) {
    text += fmt::format("model {}: {} bytes, checksum {:016x}\n", named.name, named.text.size(),
                        model::checksum(named.text));
    if (!named.files) continue;
    for (const auto& [path, entry] : named.files->entries())
      text += fmt::format("file {}: {} bytes, checksum {:016x}\n", path, entry.bytes, entry.checksum);
  }
  for (const model::Setting& setting : study_.fixed)
    text += fmt::format("fixed {}: {}\n", setting.name, setting.text);
  if (study_.sample)
    text += fmt::format("sample: {} cases, seed {}\n", study_.sample->cases, study_.sample->seed);
  for (const model::Condition& condition : study_.only) text += fmt::format("only: {}\n", condition.text);
  if (layout_.by_bands())
    text += fmt::format("bands: {}\n", fmt::join(layout_.spectrum[0].coordinates[0].words, " "));
  text += fmt::format("frequencies, Hz: {}\n", fmt::join(layout_.frequencies, " "));
  std::vector<std::string> kept;
  for (const results::Quantity& quantity : layout_.quantities) kept.push_back(quantity.name);
  text += fmt::format("kept: {}\naccuracy: {}\n", fmt::join(kept, " "), study_.accuracy);
  return text + (study_.sample ? drawn_ : axis_lines(layout_));
}

}  // namespace feldspar::study

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/constants.hpp"
#include "model/nearest.hpp"
#include "model/parameters_detail.hpp"
#include "model/reader_detail.hpp"
#include "model/units.hpp"

namespace feldspar::model::detail {

namespace {

constexpr std::size_t kMostParameters = 200;
constexpr int kLongestChain = 20;  // parameters defined by one another; also bounds the recursion
constexpr double kRounding = 1e-9;

bool is_identifier(const std::string& name) {
  const auto letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_'; };
  return !name.empty() && name.size() <= 60 && letter(name[0]) &&
         std::all_of(name.begin(), name.end(), [&](char c) { return letter(c) || (c >= '0' && c <= '9'); });
}

void check_name(const Entry& entry) {
  const auto complain = [&](const std::string& why) {
    throw core::Error(core::ErrorKind::model, why, entry.place);
  };
  if (!is_identifier(entry.key))
    complain(fmt::format("'{}' cannot be a parameter's name; use letters, digits and _, as in mast_height",
                         entry.key));
  if (unit(entry.key)) complain(fmt::format("'{}' is a unit and cannot be a parameter's name", entry.key));
  const auto& taken = reserved_names();
  if (std::find(taken.begin(), taken.end(), entry.key) != taken.end())
    complain(
        fmt::format("'{}' is a built-in constant or function and cannot be a parameter's name", entry.key));
}

}  // namespace

Parameters::Parameters(const Node* declared, std::map<std::string, Node> changed)
    : changed_(std::move(changed)) {
  if (declared) {
    const Table* table = declared->table();
    if (!table)
      fail(*declared, fmt::format("expected tables such as [parameters.mast_height], found {}",
                                  describe_type(*declared)));
    if (table->size() > kMostParameters)
      fail(*declared,
           fmt::format("at most {} parameters are allowed, found {}", kMostParameters, table->size()));
    for (const Entry& entry : *table) {
      check_name(entry);
      slots_.push_back({&entry, Slot::State::untouched, {}});
      scope_.names.push_back(entry.key);
    }
  }
  scope_.find = [this](std::string_view name) -> std::optional<Value> {
    for (Slot& slot : slots_)
      if (slot.entry->key == name) return value_of(slot);
    return std::nullopt;
  };
}

Value Parameters::value_of(Slot& slot) {
  if (slot.state == Slot::State::done) return slot.value;
  if (slot.state == Slot::State::running) {
    const auto changed = changed_.find(slot.entry->key);
    fail(
        changed == changed_.end() ? slot.entry->node : changed->second,
        fmt::format("the parameter '{}' is defined by itself, directly or through others; give one of them a "
                    "value of its own",
                    slot.entry->key));
  }
  if (++depth_ > kLongestChain)
    throw core::Error(
        core::ErrorKind::model,
        fmt::format("more than {} parameters are defined by one another; shorten the chain", kLongestChain),
        slot.entry->place);
  slot.state = Slot::State::running;
  slot.value = evaluate_slot(slot);
  slot.state = Slot::State::done;
  --depth_;
  return slot.value;
}

Value Parameters::evaluate_slot(const Slot& slot) {
  const std::string& name = slot.entry->key;
  const Reader reader(slot.entry->node, kParameter);
  const Node& standard = reader.need("default", "\"8 m\"");
  const Kind any{dimension::kNumber, "8 m", 0.0, 1e300, {}};
  const Value usual = evaluate(standard, any, scope_).value;
  const std::string example = as_text(standard);
  const Kind kind = kind_of(usual.dimension, example);

  const auto changed = changed_.find(name);
  const Node& source = changed == changed_.end() ? standard : changed->second;
  const double value = changed == changed_.end() ? usual.si : quantity(source, kind, scope_);
  const Node* lowest = reader.find("minimum");
  const Node* highest = reader.find("maximum");
  const double minimum = lowest ? quantity(*lowest, kind, scope_) : value;
  const double maximum = highest ? quantity(*highest, kind, scope_) : value;
  if (lowest && highest && minimum > maximum)
    fail(*lowest, fmt::format("the minimum of '{}', {}, is above its maximum, {}", name,
                              format({minimum, usual.dimension}), format({maximum, usual.dimension})));
  const bool below = value < minimum - kRounding * std::abs(minimum);
  const bool above = value > maximum + kRounding * std::abs(maximum);
  if (below || above)
    fail(source, fmt::format("{} = {} is {} its {}, {}; {}", name, format({value, usual.dimension}),
                             below ? "below" : "above", below ? "minimum" : "maximum",
                             format({below ? minimum : maximum, usual.dimension}),
                             lowest && highest ? fmt::format("choose a value from {} to {}",
                                                             format({minimum, usual.dimension}),
                                                             format({maximum, usual.dimension}))
                                               : "choose another value"));
  return {value, usual.dimension};
}

std::vector<ParameterValue> Parameters::values() {
  std::vector<ParameterValue> list;
  for (Slot& slot : slots_) {
    const Value value = value_of(slot);
    const bool angle = value.dimension == dimension::kAngle;
    list.push_back({slot.entry->key, slot.entry->key + key_suffix(value.dimension),
                    angle ? value.si * 180.0 / core::kPi : value.si, value});
  }
  return list;
}

std::vector<ParameterDescription> Parameters::descriptions() {
  std::vector<ParameterDescription> list;
  for (Slot& slot : slots_) {
    const Reader reader(slot.entry->node, kParameter);
    const auto written = [&](const char* key) {
      const Node* node = reader.find(key);
      return node ? as_text(*node) : std::string{};
    };
    const Value value = value_of(slot);
    const Node* about = reader.find("about");
    list.push_back({slot.entry->key, slot.entry->key + key_suffix(value.dimension), written("default"),
                    written("minimum"), written("maximum"),
                    about ? text(*about, "what it is") : std::string{}, value.dimension});
  }
  return list;
}

}  // namespace feldspar::model::detail

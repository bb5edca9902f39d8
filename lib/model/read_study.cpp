#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <set>

#include "model/kind.hpp"
#include "model/nearest.hpp"
#include "model/reader_detail.hpp"
#include "model/study.hpp"

namespace feldspar::model {

namespace {

using detail::fail;
using detail::kStudy;
using detail::kStudyRange;
using detail::Reader;

constexpr int kMostPoints = static_cast<int>(kMostAxisValues);
constexpr Kind kAnything{dimension::kNumber, "8 m", 0.0, 1e300, {}};

/// Twelve digits, so that the fourth of ten points from 1 to 10 is 4.
double rounded(double value) {
  const std::string text = fmt::format("{:.11e}", value);
  double result = value;
  std::from_chars(text.data(), text.data() + text.size(), result);
  return result;
}

double at_fraction(const AxisRange& range, double t) {
  return rounded(range.logarithmic ? range.from * std::pow(range.to / range.from, t)
                                   : range.from * (1.0 - t) + range.to * t);
}

/// i-th of n values of a range.
double point(const AxisRange& range, std::size_t i, std::size_t n) {
  if (i == 0) return range.from;
  if (i + 1 == n) return range.to;
  return at_fraction(range, static_cast<double>(i) / static_cast<double>(n - 1));
}

/// A number as a setting: exactly this value again.
std::string setting_text(double si, const Dimension& dimension, bool bare) {
  if (bare || dimension.plain()) return fmt::format("{}", si);
  const OutputUnit unit = output_unit(dimension);
  return dimension == dimension::kAngle ? fmt::format("{} rad", si) : fmt::format("{} {}", si, unit.name);
}

/// Both ends of a range; one dimension.
AxisRange read_range(const Reader& reader, Evaluation& from) {
  const Node& first = reader.need("from", "\"1 m\"");
  const Node& last = reader.need("to", "\"10 m\"");
  from = detail::evaluate(first, kAnything, {});
  const Evaluation to = detail::evaluate(last, kAnything, {});
  if (!(from.value.dimension == to.value.dimension))
    fail(last, fmt::format("expected {} as at the other end of the range, found {}",
                           describe(from.value.dimension), describe(to.value)));
  AxisRange range{from.value.si, to.value.si, false};
  if (range.from == range.to) fail(last, "expected another value than at the other end of the range");
  if (const Node* spacing = reader.find("spacing"))
    range.logarithmic = detail::choice(*spacing, {"linear", "logarithmic"}) == 1;
  if (range.logarithmic && !(range.from > 0.0 && range.to > 0.0))
    fail(last, "a range with logarithmic spacing needs both ends above zero");
  return range;
}

bool is_range(const Table& table) {
  return std::any_of(table.begin(), table.end(),
                     [](const Entry& entry) { return kStudyRange.allows(entry.key); });
}

StudyAxis range_axis(const std::string& name, const Node& node, bool sampled) {
  const Reader reader(node, kStudyRange);
  Evaluation from;
  StudyAxis axis;
  axis.name = name;
  axis.place = node.place;
  axis.numeric = true;
  axis.range = read_range(reader, from);
  axis.dimension = from.value.dimension;
  axis.bare = from.bare_number;
  const Node* points = reader.find("points");
  if (sampled) {
    if (points) fail(*points, "a sample takes as many values as it has cases; leave 'points' out");
    return axis;
  }
  const auto count = static_cast<std::size_t>(detail::whole(reader.need("points", "10"), {}, 2, kMostPoints));
  for (std::size_t i = 0; i < count; ++i) {
    const double value = point(*axis.range, i, count);
    axis.values.push_back({setting_text(value, axis.dimension, axis.bare), value, node.place});
  }
  return axis;
}

/// An element of a list as a setting's text.
std::string element_text(const Node& node) {
  if (node.array() || node.table())
    fail(node, fmt::format("expected a number, a text, true or false, found {}", describe_type(node)));
  if (node.text() && node.text()->empty()) fail(node, "expected a value, found an empty text");
  if (const double* number = std::get_if<double>(&node.value)) return fmt::format("{}", *number);
  return as_text(node);
}

/// What all elements are when they are numbers of one kind; else nothing.
std::optional<std::vector<Evaluation>> numbers_of(const std::string& name, const Array& list) {
  if (name == kModelAxis) return std::nullopt;
  std::vector<Evaluation> numbers;
  for (const Node& node : list) {
    if (std::holds_alternative<bool>(node.value)) return std::nullopt;
    if (const std::string* text = node.text()) {
      try {
        numbers.push_back(evaluate(*text, {}));
      } catch (const ExpressionError&) {
        return std::nullopt;  // a word: a soil, a model, a file
      }
    } else {
      numbers.push_back(detail::evaluate(node, kAnything, {}));
    }
  }
  for (std::size_t i = 1; i < numbers.size(); ++i)
    if (!(numbers[i].value.dimension == numbers[0].value.dimension))
      fail(list[i], fmt::format("expected {} like the first value of this axis, found {}",
                                describe(numbers[0].value.dimension), describe(numbers[i].value)));
  return numbers;
}

StudyAxis list_axis(const std::string& name, const Node& node) {
  const Array* list = node.array();
  if (!list)
    fail(node,
         fmt::format("expected a list such as [1, 2, 4] or a range such as {{ from = \"1 m\", to = \"10 m\", "
                     "points = 10 }}, found {}",
                     describe_type(node)));
  if (list->empty()) fail(node, "this axis is empty; give it at least one value, or take it out");
  if (list->size() > kMostAxisValues)
    fail(node, fmt::format("expected at most {} values, found {}", kMostAxisValues, list->size()));
  StudyAxis axis;
  axis.name = name;
  axis.place = node.place;
  const auto numbers = numbers_of(name, *list);
  axis.numeric = numbers.has_value();
  if (numbers) axis.dimension = numbers->front().value.dimension;
  axis.bare = numbers && std::all_of(numbers->begin(), numbers->end(),
                                     [](const Evaluation& value) { return value.bare_number; });
  std::set<std::string> seen;
  for (std::size_t i = 0; i < list->size(); ++i) {
    AxisValue value{element_text((*list)[i]), numbers ? (*numbers)[i].value.si : 0.0, (*list)[i].place};
    if (!seen.insert(axis.numeric ? fmt::format("{}", value.number) : value.text).second)
      fail((*list)[i], fmt::format("'{}' stands twice on this axis", value.text));
    axis.values.push_back(std::move(value));
  }
  return axis;
}

/// [axes], where `ground.soil = […]` makes a table inside the table.
void read_axes(const Table& table, const std::string& before, bool sampled, std::vector<StudyAxis>& axes) {
  for (const Entry& entry : table) {
    const std::string name = before.empty() ? entry.key : before + "." + entry.key;
    const Table* inner = entry.node.table();
    if (inner && !is_range(*inner)) {
      if (inner->empty()) fail(entry.node, "this axis is empty; give it at least one value, or take it out");
      read_axes(*inner, name, sampled, axes);
      continue;
    }
    StudyAxis axis = inner ? range_axis(name, entry.node, sampled) : list_axis(name, entry.node);
    axis.place = entry.place;
    const auto same = [&](const StudyAxis& other) { return other.name == axis.name; };
    if (std::any_of(axes.begin(), axes.end(), same))
      fail(entry.node, fmt::format("there are two axes '{}'", name));
    axes.push_back(std::move(axis));
  }
}

std::vector<std::string> names_of(const std::vector<StudyAxis>& axes) {
  std::vector<std::string> names;
  for (const StudyAxis& axis : axes) names.push_back(axis.name);
  return names;
}

/// together = [["a", "b"]]: which axes form a group.
std::vector<std::vector<std::size_t>> read_groups(const Node* node, const std::vector<StudyAxis>& axes) {
  const std::vector<std::string> names = names_of(axes);
  std::vector<std::size_t> leader(axes.size());
  for (std::size_t i = 0; i < axes.size(); ++i) leader[i] = i;
  if (node) {
    const Array* list = node->array();
    const auto is_list = [](const Node& inner) { return inner.array() != nullptr; };
    if (!list || !std::all_of(list->begin(), list->end(), is_list))
      fail(*node, "expected lists of axes in a list, as in together = [[\"length\", \"height\"]]");
    for (const Node& group : *list) {
      std::vector<std::size_t> members;
      for (const Node& member : *group.array()) {
        const std::string& name = detail::text(member, "radial_length");
        const auto at = std::find(names.begin(), names.end(), name);
        if (at == names.end())
          fail(member, fmt::format("there is no axis '{}'{} (axes: {})", name, suggestion(name, names),
                                   enumerate(names)));
        const auto index = static_cast<std::size_t>(at - names.begin());
        if (leader[index] != index || std::find(members.begin(), members.end(), index) != members.end())
          fail(member, fmt::format("the axis '{}' is in a group already", name));
        members.push_back(index);
      }
      std::sort(members.begin(), members.end());
      for (const std::size_t index : members) {
        if (axes[index].values.size() != axes[members[0]].values.size())
          fail(group,
               fmt::format("axes that move together need equally many values; '{}' has {} and '{}' has {}",
                           axes[members[0]].name, axes[members[0]].values.size(), axes[index].name,
                           axes[index].values.size()));
        leader[index] = members[0];
      }
    }
  }
  std::vector<std::vector<std::size_t>> groups;
  for (std::size_t i = 0; i < axes.size(); ++i) {
    if (leader[i] != i) continue;
    groups.emplace_back();
    for (std::size_t k = i; k < axes.size(); ++k)
      if (leader[k] == i) groups.back().push_back(k);
  }
  return groups;
}

std::vector<double> read_frequencies(const Node& node) {
  constexpr const char* kExample = "\"bands\", a list such as [\"7.1 MHz\"], or a range { from, to, points }";
  std::vector<double> list;
  if (node.text()) {
    if (*node.text() != "bands") fail(node, fmt::format("expected {}, found \"{}\"", kExample, *node.text()));
    return list;
  }
  if (node.table()) {
    const Reader reader(node, kStudyRange);
    Evaluation from;
    const AxisRange range = read_range(reader, from);
    for (const char* end : {"from", "to"}) (void)detail::positive(*reader.find(end), kind::kFrequency, {});
    const auto count = static_cast<std::size_t>(detail::whole(reader.need("points", "200"), {}, 2, 20000));
    for (std::size_t i = 0; i < count; ++i) list.push_back(point(range, i, count));
  } else if (const Array* array = node.array()) {
    if (array->empty()) fail(node, fmt::format("expected {}, found an empty list", kExample));
    for (const Node& element : *array) list.push_back(detail::positive(element, kind::kFrequency, {}));
  } else {
    fail(node, fmt::format("expected {}, found {}", kExample, describe_type(node)));
  }
  std::sort(list.begin(), list.end());
  if (std::adjacent_find(list.begin(), list.end()) != list.end()) fail(node, "a frequency stands twice");
  return list;
}

void read_keep(const Node& node, Study& study) {
  const Array* list = node.array();
  if (!list) fail(node, "expected a list such as [\"ports\", \"power\"]");
  for (const Node& word : *list) {
    const std::size_t which = detail::choice(word, {"ports", "power", "patterns", "currents"});
    study.keep_power |= which == 1;
    study.keep_patterns |= which == 2;
    study.keep_currents |= which == 3;
  }
}

std::vector<Condition> read_conditions(const Node& node) {
  std::vector<Condition> conditions;
  const auto add = [&](const Node& one) {
    conditions.push_back({detail::text(one, "total_wire <= 40 m"), one.place});
  };
  if (const Array* list = node.array())
    for (const Node& one : *list) add(one);
  else
    add(node);
  return conditions;
}

/// [fixed], where `ground.soil = "wet"` makes a table inside the table.
void read_fixed(const Table& table, const std::string& before, std::vector<Setting>& settings) {
  for (const Entry& entry : table) {
    const std::string name = before.empty() ? entry.key : before + "." + entry.key;
    if (const Table* inner = entry.node.table())
      read_fixed(*inner, name, settings);
    else
      settings.push_back({name, element_text(entry.node), entry.node.place});
  }
}

Sample read_sample(const Node& node) {
  const Reader reader(node, detail::kSample);
  Sample sample;
  sample.cases = static_cast<std::size_t>(detail::whole(reader.need("cases", "500"), {}, 1, kMostPoints));
  if (const Node* seed = reader.find("seed"))
    sample.seed = static_cast<std::uint64_t>(detail::whole(*seed, {}, 0, 2147483647));
  return sample;
}

void check_count(const Study& study, const Node& axes) {
  double cases = 1.0;
  for (const auto& group : study.groups)
    cases *= static_cast<double>(study.axes[group.front()].values.size());
  if (!study.sample && cases > kMostCases)
    fail(axes,
         fmt::format("these axes make {:.3g} cases; at most {:.0g} are allowed: take fewer values, split the "
                     "study, or draw a [sample]",
                     cases, kMostCases));
}

}  // namespace

AxisValue at_fraction(const StudyAxis& axis, double fraction) {
  if (!axis.range) {
    const auto count = static_cast<double>(axis.values.size());
    return axis.values[static_cast<std::size_t>(std::clamp(fraction * count, 0.0, count - 1.0))];
  }
  const double value = at_fraction(*axis.range, fraction);
  return {setting_text(value, axis.dimension, axis.bare), value, axis.place};
}

Study read_study(const Node& root) {
  const Reader top(root, kStudy);
  Study study;
  if (const Node* title = top.find("title"))
    study.title = detail::text(*title, "When does another radial pay?");
  if (const Node* about = top.find("about")) study.about = detail::text(*about, "the question it answers");
  if (const Node* sample = top.find("sample")) study.sample = read_sample(*sample);
  const Node& axes = top.need("axes", "a table of axes");
  if (!axes.table()) fail(axes, fmt::format("expected a table of axes, found {}", describe_type(axes)));
  read_axes(*axes.table(), {}, study.sample.has_value(), study.axes);
  if (study.axes.empty()) fail(axes, "a study needs at least one axis, as in radial_count = [1, 2, 4, 8]");
  const bool many_models = std::any_of(study.axes.begin(), study.axes.end(),
                                       [](const StudyAxis& axis) { return axis.name == kModelAxis; });
  if (many_models) {
    if (const Node* model = top.find("model"))
      fail(*model, "there is an axis of models already; leave this one out");
  } else {
    study.model = detail::text(top.need("model", "\"whip-ground-radials\""), "whip-ground-radials");
  }
  const Node* together = top.find("together");
  if (study.sample) {
    if (together) fail(*together, "in a sample all axes move together; leave this out");
    study.groups.emplace_back();
    for (std::size_t i = 0; i < study.axes.size(); ++i) study.groups[0].push_back(i);
  } else {
    study.groups = read_groups(together, study.axes);
  }
  check_count(study, axes);
  if (const Node* fixed = top.find("fixed")) {
    if (!fixed->table()) fail(*fixed, fmt::format("expected a table, found {}", describe_type(*fixed)));
    read_fixed(*fixed->table(), {}, study.fixed);
  }
  if (const Node* frequencies = top.find("frequencies")) study.frequencies = read_frequencies(*frequencies);
  if (const Node* bands = top.find("bands")) {
    if (!study.frequencies.empty()) fail(*bands, "goes with frequencies = \"bands\" only");
    study.bands = detail::text(*bands, "40m,20m");
  }
  if (const Node* region = top.find("region")) study.region = detail::whole(*region, {}, 1, 3);
  if (const Node* keep = top.find("keep")) read_keep(*keep, study);
  if (const Node* accuracy = top.find("accuracy")) {
    const std::vector<std::string> words{"draft", "normal", "fine"};
    study.accuracy = words[detail::choice(*accuracy, words)];
  }
  if (const Node* only = top.find("only")) study.only = read_conditions(*only);
  return study;
}

}  // namespace feldspar::model

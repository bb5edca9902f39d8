#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "media/soils.hpp"
#include "model/nearest.hpp"
#include "model/schema_detail.hpp"
#include "model/settings_detail.hpp"

namespace feldspar::model {

namespace detail {

namespace {

core::Place place_of(const Setting& setting) {
  core::Place place = setting.place;
  if (place.file.empty()) place.file = fmt::format("--set {}={}", setting.name, setting.text);
  if (place.key.empty()) place.key = setting.name;
  return place;
}

[[noreturn]] void refuse(const Setting& setting, const std::string& message) {
  throw core::Error(core::ErrorKind::usage, message, place_of(setting));
}

Node node_of(const Setting& setting) {
  Node node;
  node.place = place_of(setting);
  node.text_offset = -1;
  node.from_setting = true;
  if (setting.text == "true" || setting.text == "false")
    node.value = setting.text == "true";
  else
    node.value = setting.text;
  return node;
}

std::vector<std::string> split(const std::string& dotted) {
  std::vector<std::string> parts(1);
  for (const char c : dotted) {
    if (c == '.')
      parts.emplace_back();
    else
      parts.back() += c;
  }
  return parts;
}

std::vector<std::string> element_names(const Array& list) {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < list.size(); ++i) {
    const Table* table = list[i].table();
    const Node* name = table ? find(*table, "name") : nullptr;
    names.push_back(name && name->text() ? *name->text() : fmt::to_string(i + 1));
  }
  return names;
}

Node& element(Array& list, const std::string& wanted, const Setting& setting, std::string_view what) {
  const std::vector<std::string> names = element_names(list);
  const auto named = std::find(names.begin(), names.end(), wanted);
  if (named != names.end()) return list[static_cast<std::size_t>(named - names.begin())];
  std::size_t number = 0;
  const auto [stop, error] = std::from_chars(wanted.data(), wanted.data() + wanted.size(), number);
  if (error == std::errc{} && stop == wanted.data() + wanted.size() && number >= 1 && number <= list.size())
    return list[number - 1];
  refuse(setting, fmt::format("there is no '{}' among the {}{} (there are: {})", wanted, what,
                              suggestion(wanted, names), enumerate(names)));
}

void remove_key(Table& table, std::string_view key) {
  std::erase_if(table, [&](const Entry& entry) { return entry.key == key; });
}

void put(Table& table, const std::string& key, Node node) {
  if (Node* old = find(table, key)) {
    *old = std::move(node);
    return;
  }
  const core::Place place = node.place;
  table.push_back({key, place, std::move(node)});
}

/// The same for a feed part of any kind.
void displace_in_part(Table& table, std::string_view key) {
  struct Row {
    std::string_view key;
    std::vector<std::string_view> others;
  };
  static const std::vector<Row> rows = {
      {"type",
       {"z0", "velocity_factor", "attenuation", "attenuation_at", "impedance_ratio", "turns", "loss",
        "magnetising_inductance", "shunt_conductance", "core", "leakage_inductance", "winding_capacitance",
        "winding_resistance", "winding_resistance_at", "touchstone", "antenna_port"}},
      {"touchstone",
       {"type", "impedance_ratio", "turns", "loss", "magnetising_inductance", "shunt_conductance", "core",
        "leakage_inductance", "winding_capacitance", "winding_resistance", "winding_resistance_at",
        "impedance", "resistance", "inductance", "capacitance"}},
      {"impedance_ratio", {"type", "turns", "touchstone", "antenna_port"}},
      {"impedance", {"touchstone", "resistance", "inductance", "capacitance"}},
      {"resistance", {"touchstone", "impedance"}},
      {"inductance", {"touchstone", "impedance"}},
      {"capacitance", {"touchstone", "impedance"}},
  };
  for (const Row& row : rows)
    if (row.key == key)
      for (const std::string_view other : row.others) remove_key(table, other);
}

/// A new value takes the place of what says the same in another way.
void displace(Table& table, const std::string& key, const Schema& schema) {
  if (&schema == &kWire && key == "diameter") remove_key(table, "gauge");
  if (&schema == &kWire && key == "gauge") remove_key(table, "diameter");
  if (&schema == &kAntenna && key == "touchstone") remove_key(table, "impedance");
  if (&schema == &kPart) displace_in_part(table, key);
  if (&schema != &kGround && &schema != &kFarSoil) return;
  if (key == "soil")
    remove_key(table, "permittivity"), remove_key(table, "conductivity"), remove_key(table, "table");
  if (key != "permittivity" && key != "conductivity") return;
  remove_key(table, "table");
  const Node* named = find(table, "soil");
  const auto soil = named && named->text() ? media::soil(*named->text()) : std::nullopt;
  if (soil) {  // "--set ground.permittivity=20" keeps the conductivity of the named soil
    Node number;
    number.place = named->place;
    number.value = soil->relative_permittivity;
    if (!find(table, "permittivity")) put(table, "permittivity", number);
    number.value = fmt::format("{} S/m", soil->conductivity);
    if (!find(table, "conductivity")) put(table, "conductivity", number);
  }
  remove_key(table, "soil");
}

void set_key(Node& root, const Setting& setting) {
  const std::vector<std::string> path = split(setting.name);
  Node* node = &root;
  const Schema* schema = &kTop;
  for (std::size_t i = 0; i < path.size(); ++i) {
    Table* table = node->table();
    if (!table)
      refuse(setting, fmt::format("'{}' cannot be reached: what stands before it is {}", path[i],
                                  describe_type(*node)));
    if (!schema->allows(path[i]))
      refuse(setting, fmt::format("unknown key '{}' in {}{} (known: {})", path[i], schema->title,
                                  suggestion(path[i], schema->names()), enumerate(schema->names())));
    const Child* child = schema->child(path[i]);
    Node* next = find(*table, path[i]);
    if (i + 1 == path.size()) {
      const bool holds_more =
          (child && !child->may_be_scalar) || path[i] == "path" || path[i] == "parameters";
      if (holds_more)
        refuse(setting,
               fmt::format("'{}' is not a single value; {}", setting.name,
                           child ? fmt::format("name a key in it, as in {}.{}{}", setting.name,
                                               child->list ? "NAME." : "", child->schema->keys.back())
                                 : "change it in a copy of the file"));
      put(*table, path[i], node_of(setting));
      displace(*table, path[i], *schema);
      return;
    }
    if (!child)
      refuse(setting, fmt::format("'{}' holds a single value; there is no '{}' in it", path[i], path[i + 1]));
    if (!next) {
      if (child->list) refuse(setting, fmt::format("the model has no [[{}]]", path[i]));
      Node empty;
      empty.value = Table{};
      empty.place = place_of(setting);
      empty.place.key = path[i];
      empty.from_setting = true;
      put(*table, path[i], std::move(empty));
      next = find(*table, path[i]);
    }
    schema = child->schema;
    if (child->list) {
      Array* list = next->array();
      if (!list) refuse(setting, fmt::format("'{}' is not a list of tables in this file", path[i]));
      const std::string& what = path[i];
      next = &element(*list, path[++i], setting, what);
      if (i + 1 == path.size())
        refuse(setting, fmt::format("'{}' is not a single value; name a key in it, as in {}.{}", setting.name,
                                    setting.name, schema->keys.back()));
    }
    node = next;
  }
}

[[noreturn]] void unknown_name(const Setting& setting, const std::vector<std::string>& parameters) {
  if (kTop.allows(setting.name)) {
    const Child* child = kTop.child(setting.name);
    if (child)
      refuse(setting, fmt::format("'{0}' is not a single value; name a key in it, as in {0}.{1}{2}",
                                  setting.name, child->list ? "NAME." : "", child->schema->keys.back()));
    refuse(setting, fmt::format("'{}' cannot be set; change it in a copy of the file", setting.name));
  }
  std::vector<std::string> candidates = parameters;
  for (const char* key :
       {"ground.soil", "ground.permittivity", "ground.conductivity", "ground.method", "ground.far.soil",
        "ground.far.begins", "feed.power", "feed.mode", "site.region", "site.x_bearing"})
    candidates.emplace_back(key);
  refuse(setting,
         fmt::format("there is no parameter '{}'{} (parameters: {}; keys are written as in ground.soil or "
                     "wires.NAME.present)",
                     setting.name, suggestion(setting.name, candidates), enumerate(parameters)));
}

}  // namespace

std::map<std::string, Node> apply(const std::vector<Setting>& settings, Node& root) {
  std::map<std::string, Node> parameters;
  std::vector<std::string> declared;
  const Table* table = root.table();
  const Node* list = table ? find(*table, "parameters") : nullptr;
  if (list && list->table())
    for (const Entry& entry : *list->table()) declared.push_back(entry.key);

  for (const Setting& setting : settings) {
    const bool is_parameter = std::find(declared.begin(), declared.end(), setting.name) != declared.end();
    if (is_parameter) {
      Node node = node_of(setting);
      node.value = setting.text;
      parameters.insert_or_assign(setting.name, std::move(node));
    } else if (setting.name.find('.') == std::string::npos) {
      unknown_name(setting, declared);
    } else if (setting.name.rfind("parameters.", 0) == 0) {
      refuse(setting, "a parameter is set by its name alone, as in --set mast_height=10m");
    } else {
      set_key(root, setting);
    }
  }
  return parameters;
}

}  // namespace detail

Setting parse_setting(const std::string& text) {
  const std::size_t equals = text.find('=');
  const auto trimmed = [](const std::string& part) {
    const std::size_t from = part.find_first_not_of(" \t");
    return from == std::string::npos ? std::string{}
                                     : part.substr(from, part.find_last_not_of(" \t") - from + 1);
  };
  Setting setting;
  setting.place.file = "--set " + text;
  if (equals != std::string::npos) {
    setting.name = trimmed(text.substr(0, equals));
    setting.text = trimmed(text.substr(equals + 1));
  }
  if (setting.name.empty() || setting.text.empty())
    throw core::Error(core::ErrorKind::usage, "expected name=value, as in --set mast_height=10m",
                      setting.place);
  return setting;
}

}  // namespace feldspar::model

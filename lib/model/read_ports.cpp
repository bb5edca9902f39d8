#include <fmt/format.h>

#include <set>

#include "model/nearest.hpp"
#include "model/sections_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr std::size_t kMostPorts = 20;
constexpr std::size_t kMostInserts = 500;
constexpr std::size_t kMostInsertsInAll = 2000;  // copies counted

const WireEntry& wire_named(const Node& node, const std::vector<WireEntry>& wires) {
  const std::string& name = text(node, "slope");
  std::vector<std::string> names;
  for (const WireEntry& entry : wires) {
    if (entry.name == name) return entry;
    names.push_back(entry.name);
  }
  fail(node, fmt::format("there is no wire named \"{}\"{} (wires: {})", name, suggestion(name, names),
                         enumerate(names)));
}

/// The stretch of `width` at "start", "end", or centred at a fraction of the wire.
geometry::Span read_span(const Reader& reader, const Node* width_node, const Scope& scope,
                         const WireEntry& wire) {
  const double width = width_node ? positive(*width_node, kind::kGap, scope) : wire.diameter;
  const Node& blamed = width_node ? *width_node : reader.node();
  if (width > wire.length)
    fail(blamed, fmt::format("expected at most the length of the wire \"{}\", {}; found {}{}", wire.name,
                             format({wire.length, dimension::kLength}), format({width, dimension::kLength}),
                             width_node ? "" : " (one wire diameter, because it was left out)"));
  const Node& position = reader.need("position", "\"start\"");
  const std::string* word = position.text();
  if (word && *word == "start") return {wire.first, 0.0, width, 1};
  if (word && *word == "end") return {wire.first, wire.length - width, wire.length, 1};
  if (!word && !std::holds_alternative<double>(position.value) &&
      !std::holds_alternative<std::int64_t>(position.value))
    fail(position, fmt::format("expected \"start\", \"end\" or a fraction of the wire such as 0.5, found {}",
                               describe_type(position)));
  if (word && !nearest(*word, {"start", "end"}).empty())
    fail(position, fmt::format("expected \"start\", \"end\" or a fraction such as 0.5, found \"{}\"{}", *word,
                               suggestion(*word, {"start", "end"})));
  const double fraction = plain_number(position, scope);
  if (!(fraction >= 0.0 && fraction <= 1.0))
    fail(position,
         fmt::format("expected \"start\", \"end\" or a fraction of the wire from 0 to 1, found {:g}",
                     fraction));
  const double from = fraction * wire.length - 0.5 * width;
  const double to = fraction * wire.length + 0.5 * width;
  const double slack = 1e-12 * wire.length;
  if (from < -slack || to > wire.length + slack)
    fail(position,
         fmt::format("{} centred at {:g} of the wire \"{}\" reaches beyond its {}; use position = \"{}\"",
                     format({width, dimension::kLength}), fraction, wire.name, from < 0.0 ? "start" : "end",
                     from < 0.0 ? "start" : "end"));
  return {wire.first, std::max(from, 0.0), std::min(to, wire.length), 1};
}

geometry::Port read_port(const Node& node, const Scope& scope, const std::vector<WireEntry>& wires,
                         bool name_needed) {
  const Reader reader(node, kPort);
  geometry::Port port;
  port.place = node.place;
  const Node* name = name_needed ? &reader.need("name", "\"feed\"") : reader.find("name");
  port.name = name ? read_name(*name, "feed") : "feed";
  const Node& where = reader.need("wire", "\"slope\"");
  const WireEntry& wire = wire_named(where, wires);
  if (wire.copied)
    fail(where,
         fmt::format(
             "the wire \"{}\" has copies, and a port cannot sit on all of them; give the fed wire its own "
             "[[wires]] table",
             wire.name));
  if (wire.count == 0)
    fail(where,
         fmt::format(
             "the wire \"{}\" is left out (present = false), so no port can sit on it; put the port on "
             "another wire",
             wire.name));
  port.spans.push_back(read_span(reader, reader.find("gap"), scope, wire));
  return port;
}

}  // namespace

void read_ports(const Reader& top, const Scope& scope, const std::vector<WireEntry>& wires,
                geometry::Structure& structure) {
  const Node* single = top.find("port");
  const Node* several = top.find("ports");
  if (single && several) fail(*several, "give either [port] or [[ports]], not both");
  if (!several) {
    const Node& only = top.need(
        "port", "[port] with wire = \"slope\" and position = \"start\" (where the coax meets the wires)");
    structure.ports.push_back(read_port(only, scope, wires, false));
    return;
  }
  const Array& list = tables(several, "[[ports]]", kMostPorts);
  if (list.empty()) fail(*several, "expected one or more [[ports]] tables, found none");
  std::set<std::string> names;
  for (const Node& item : list) {
    structure.ports.push_back(read_port(item, scope, wires, true));
    if (!names.insert(structure.ports.back().name).second)
      fail(item,
           fmt::format("two ports are named \"{}\"; give each its own name", structure.ports.back().name));
  }
}

void read_inserts(const Node* node, const Scope& scope, const std::vector<WireEntry>& wires,
                  geometry::Structure& structure) {
  std::set<std::string> names;
  int number = 0;
  for (const Node& item : tables(node, "[[inserts]]", kMostInserts)) {
    const Reader reader(item, kInsert);
    const WireEntry& wire = wire_named(reader.need("wire", "\"slope\""), wires);
    geometry::Insert insert;
    insert.place = item.place;
    const Node* name = reader.find("name");
    insert.name = name ? read_name(*name, "coil") : fmt::format("insert {}", ++number);
    if (!names.insert(insert.name).second)
      fail(name ? *name : item,
           fmt::format("two inserts are named \"{}\"; give each its own name", insert.name));
    const geometry::Span span = read_span(reader, reader.find("length"), scope, wire);
    const Node* resistance = reader.find("resistance");
    const Node* inductance = reader.find("inductance");
    const Node* capacitance = reader.find("capacitance");
    const Node* q = reader.find("q");
    if (!resistance && !inductance && !capacitance)
      fail(item, "expected at least one of resistance, inductance and capacitance, found none");
    if (q && !inductance) fail(*q, "q belongs to an inductance, which is missing here");
    if (resistance) insert.resistance = not_negative(*resistance, kind::kResistance, scope);
    if (inductance) insert.inductance = not_negative(*inductance, kind::kInductance, scope);
    if (capacitance) insert.capacitance = positive(*capacitance, kind::kCapacitance, scope);
    if (q) insert.q = positive(*q, kind::kNumber, scope);
    if (structure.inserts.size() + static_cast<std::size_t>(wire.count) > kMostInsertsInAll)
      fail(item, fmt::format("expected at most {} inserts, copies counted, found more", kMostInsertsInAll));
    for (int i = 0; i < wire.count; ++i) {  // none when the wire is left out
      geometry::Insert copy = insert;
      copy.spans.push_back(span);
      copy.spans.back().wire += i;
      if (wire.count > 1) copy.name += fmt::format(" ({})", i + 1);
      structure.inserts.push_back(std::move(copy));
    }
  }
}

}  // namespace feldspar::model::detail

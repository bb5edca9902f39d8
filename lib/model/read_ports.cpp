#include <fmt/format.h>

#include <set>

#include "circuit/coil.hpp"
#include "model/nearest.hpp"
#include "model/sections_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr std::size_t kMostPorts = 20;
constexpr std::size_t kMostInserts = 500;
constexpr std::size_t kMostInsertsInAll = 2000;  // copies counted
constexpr double kMostTurns = 10000.0;
constexpr double kLargestCoil = 10.0;              // m
constexpr double kLargestSelfCapacitance = 10e-9;  // F; real coils: up to tens of pF
constexpr double kLeastQ = 0.1;
constexpr double kLargestQ = 1e6;

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

/// How much of the wire a port or insert takes up, and who said so.
struct Width {
  double value;  ///< m
  const Node* written;
};

Width read_width(const Node* node, const Scope& scope, const WireEntry& wire) {
  return {node ? positive(*node, kind::kGap, scope) : wire.diameter, node};
}

/// The stretch at "start", "end", or centred at a fraction of the wire.
geometry::Span read_span(const Reader& reader, const Width& given, const Scope& scope,
                         const WireEntry& wire) {
  const double width = given.value;
  const Node& blamed = given.written ? *given.written : reader.node();
  if (width > wire.length)
    fail(blamed, fmt::format("expected at most the length of the wire \"{}\", {}; found {}{}", wire.name,
                             format({wire.length, dimension::kLength}), format({width, dimension::kLength}),
                             given.written ? "" : " (one wire diameter, because it was left out)"));
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
  port.spans.push_back(read_span(reader, read_width(reader.find("gap"), scope, wire), scope, wire));
  return port;
}

/// A value in its unit, or with another likely prefix, that no real part has is a slip of the pen.
void refuse_beyond(const Node& node, double value, double most, const Dimension& dimension,
                   const char* likely) {
  if (value > most)
    fail(node, fmt::format("expected at most {}, found {}; did you mean {}?", format({most, dimension}),
                           format({value, dimension}), likely));
}

struct CoilEntry {
  double inductance;  ///< H
  double length;      ///< m
  const Node* length_node;
};

CoilEntry read_coil(const Node& node, const Scope& scope) {
  const Reader reader(node, kCoil);
  const Node& turns = reader.need("turns", "20");
  const Node& diameter = reader.need("diameter", "\"50 mm\"");
  const Node& length = reader.need("length", "\"60 mm\"");
  const Node* wire = reader.find("wire");
  circuit::CoilDimensions coil;
  coil.turns = positive(turns, kind::kNumber, scope);
  coil.diameter = positive(diameter, kind::kCoil, scope);
  coil.length = positive(length, kind::kCoil, scope);
  if (!(coil.turns >= 1.0 && coil.turns <= kMostTurns))
    fail(turns, fmt::format("expected 1 to {:g} turns, found {:g}", kMostTurns, coil.turns));
  refuse_beyond(diameter, coil.diameter, kLargestCoil, dimension::kLength, "mm or cm");
  refuse_beyond(length, coil.length, kLargestCoil, dimension::kLength, "mm or cm");
  if (wire) {
    coil.wire_diameter = positive(*wire, kind::kDiameter, scope);
    if (coil.wire_diameter >= coil.diameter)
      fail(*wire, fmt::format("expected a wire thinner than the coil's {}, found {}",
                              format({coil.diameter, dimension::kLength}),
                              format({coil.wire_diameter, dimension::kLength})));
    if (coil.turns * coil.wire_diameter > coil.length * (1.0 + 1e-9))
      fail(*wire,
           fmt::format("{:g} turns of this wire need {} and do not fit on the coil's {}; use a thinner "
                       "wire, fewer turns or a longer coil",
                       coil.turns, format({coil.turns * coil.wire_diameter, dimension::kLength}),
                       format({coil.length, dimension::kLength})));
  }
  return {circuit::coil_inductance(coil), coil.length, &length};
}

/// Resistance, coil and capacitance. insert.inductance may be known from dimensions.
void read_parts(const Reader& reader, const Scope& scope, geometry::Insert& insert) {
  const Node* resistance = reader.find("resistance");
  const Node* inductance = reader.find("inductance");
  const Node* coil = reader.find("coil");
  const Node* capacitance = reader.find("capacitance");
  const Node* q = reader.find("q");
  const Node* q_at = reader.find("q_at");
  const Node* own = reader.find("self_capacitance");
  if (!resistance && !inductance && !coil && !capacitance)
    fail(reader.node(),
         "expected at least one of resistance, inductance and capacitance (or coil), found none");
  if (coil && inductance) fail(*inductance, "give either inductance or coil, not both");
  for (const auto& [node, name] : {std::pair{q, "q"}, std::pair{own, "self_capacitance"}})
    if (node && !inductance && !coil)
      fail(*node, fmt::format("{} belongs to an inductance, which is missing here", name));
  if (q_at && !q) fail(*q_at, "q_at is where q holds, and q is missing here");
  if (resistance) insert.resistance = not_negative(*resistance, kind::kResistance, scope);
  if (inductance) {
    insert.inductance = not_negative(*inductance, kind::kInductance, scope);
    refuse_beyond(*inductance, insert.inductance, kind::kInductance.bare_largest, dimension::kInductance,
                  "uH");
  }
  if (capacitance) {
    insert.capacitance = positive(*capacitance, kind::kCapacitance, scope);
    refuse_beyond(*capacitance, insert.capacitance, kind::kCapacitance.bare_largest, dimension::kCapacitance,
                  "pF");
  }
  if (q) {
    insert.q = positive(*q, kind::kNumber, scope);
    if (!(insert.q >= kLeastQ && insert.q <= kLargestQ))
      fail(*q, fmt::format("expected a quality factor from {:g} to {:g} (air coils: 100 to 400), found {:g}",
                           kLeastQ, kLargestQ, insert.q));
  }
  if (q_at) {
    insert.q_frequency = positive(*q_at, kind::kFrequency, scope);
    if (insert.q_frequency < kind::kFrequency.bare_smallest)
      fail(*q_at, fmt::format("expected a frequency of at least {}, found {}; did you mean MHz?",
                              format({kind::kFrequency.bare_smallest, dimension::kFrequency}),
                              format({insert.q_frequency, dimension::kFrequency})));
  }
  if (own) {
    insert.self_capacitance = not_negative(*own, kind::kCapacitance, scope);
    refuse_beyond(*own, insert.self_capacitance, kLargestSelfCapacitance, dimension::kCapacitance, "pF");
  }
  const Node* connection = reader.find("connection");
  insert.parallel = connection && choice(*connection, {"series", "parallel"}) == 1;
  if (!insert.parallel) return;
  if ((resistance != nullptr) + (inductance || coil) + (capacitance != nullptr) < 2)
    fail(*connection,
         "expected at least two of resistance, inductance (or coil) and capacitance to lie in parallel");
  if (resistance && insert.resistance == 0.0)
    fail(*resistance, "expected a resistance above zero, since zero in parallel is a short; leave it out");
  if (inductance && insert.inductance == 0.0)
    fail(*inductance, "expected an inductance above zero, since zero in parallel is a short");
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
    Width width = read_width(reader.find("length"), scope, wire);
    if (const Node* coil = reader.find("coil")) {
      const CoilEntry entry = read_coil(*coil, scope);
      insert.inductance = entry.inductance;
      if (!width.written) width = {entry.length, entry.length_node};
    }
    const geometry::Span span = read_span(reader, width, scope, wire);
    read_parts(reader, scope, insert);
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

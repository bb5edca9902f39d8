#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "model/nearest.hpp"
#include "model/sections_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr std::size_t kMostParts = 50;
constexpr double kLargestPower = 1e5;   // W
constexpr double kLargestLoss = 100.0;  // dB
constexpr double kLargestRatio = 1e4;
constexpr double kLongestLine = 1e5;      // m
constexpr double kLeastZ0 = 1.0;          // ohm
constexpr double kLargestZ0 = 1e4;        // ohm
constexpr double kLeastParallel = 200.0;  // ohm; a line by numbers from here on is no coax: common practice
constexpr double kLeastVelocity = 0.01;
constexpr double kMostCoreTurns = 1000.0;
constexpr double kLargestCorePermeability = 1e6;
constexpr std::size_t kMostPermeabilityPoints = 500;
constexpr double kLeastPartQ = 1.0;
constexpr double kLargestPartQ = 1e6;

/// Keys that say in another way what `key` says.
void refuse_beside(const Reader& reader, std::string_view key, std::initializer_list<const char*> others) {
  for (const char* other : others)
    if (const Node* found = reader.find(other))
      fail(*found, fmt::format("{} says all there is to say of this part; leave out {}", key, other));
}

double read_level(const Node& node, const Scope& scope) {
  const double loss = not_negative(node, kind::kLevel, scope);
  if (loss > kLargestLoss)
    fail(node, fmt::format("expected a loss up to {:g} dB, found {:g} dB", kLargestLoss, loss));
  return loss;
}

double checked_ratio(const Node& node, double ratio) {
  if (std::max(ratio, 1.0 / ratio) > kLargestRatio)
    fail(node, fmt::format(
                   "expected an impedance ratio (antenna side over radio side) from {:g} to {:g}, found {:g}",
                   1.0 / kLargestRatio, kLargestRatio, ratio));
  return ratio;
}

// ---- transformers

/// Turns of the radio's side and of the antenna's side.
struct Turns {
  double radio = 0.0;
  double antenna = 0.0;
};

Turns read_turns(const Node& node, const Scope& scope) {
  const Array* pair = node.array();
  if (!pair || pair->size() != 2)
    fail(node,
         fmt::format("expected the turns of the radio's and the antenna's side, as in [2, 14], found {}",
                     describe_type(node)));
  Turns turns{positive((*pair)[0], kind::kNumber, scope), positive((*pair)[1], kind::kNumber, scope)};
  for (const double n : {turns.radio, turns.antenna})
    if (n > kMostCoreTurns)
      fail(node, fmt::format("expected at most {:g} turns, found {:g}", kMostCoreTurns, n));
  return turns;
}

/// [["3.5 MHz", 400, 300], …]: frequency, real and imaginary part of the relative permeability.
std::vector<circuit::Permeability> read_permeability(const Node& node, const Scope& scope) {
  const Array* rows = node.array();
  if (!rows || rows->empty() || rows->size() > kMostPermeabilityPoints)
    fail(node, fmt::format("expected 1 to {} rows of frequency, mu' and mu'', as in [[\"1 MHz\", 800, 100], "
                           "[\"10 MHz\", 250, 300]]",
                           kMostPermeabilityPoints));
  std::vector<circuit::Permeability> points;
  for (const Node& row : *rows) {
    const Array* cells = row.array();
    if (!cells || cells->size() != 3)
      fail(row, "expected frequency, mu' and mu'', as in [\"1 MHz\", 800, 100]");
    circuit::Permeability point;
    point.frequency = positive((*cells)[0], kind::kFrequency, scope);
    point.real = positive((*cells)[1], kind::kNumber, scope);
    point.imaginary = not_negative((*cells)[2], kind::kNumber, scope);
    if (std::max(point.real, point.imaginary) > kLargestCorePermeability)
      fail(row, fmt::format("expected a relative permeability up to {:g}", kLargestCorePermeability));
    if (!points.empty() && point.frequency <= points.back().frequency)
      fail(row, "expected rising frequencies, each once");
    points.push_back(point);
  }
  return points;
}

circuit::MagneticCore read_core(const Node& node, const Scope& scope, const Turns& turns) {
  const Reader reader(node, kCore);
  circuit::MagneticCore core;
  core.turns = turns.radio;
  core.material = read_permeability(reader.need("permeability", "[[\"1 MHz\", 800, 100]]"), scope);
  core.area = positive(reader.need("area", "\"8 mm * 16 mm\""), kind::kArea, scope);
  core.path_length = positive(reader.need("path_length", "\"14 cm\""), kind::kCoil, scope);
  return core;
}

/// From impedance_ratio or from the turns.
double read_ratio(const Reader& reader, const Scope& scope) {
  const Node* turns = reader.find("turns");
  if (!turns) {
    const Node& ratio = reader.need("impedance_ratio", "9 (or turns = [2, 6], or type = \"9:1\")");
    return checked_ratio(ratio, positive(ratio, kind::kNumber, scope));
  }
  if (reader.find("impedance_ratio")) fail(*turns, "give either impedance_ratio or turns, not both");
  const Turns winding = read_turns(*turns, scope);
  return checked_ratio(*turns, (winding.antenna / winding.radio) * (winding.antenna / winding.radio));
}

/// What lies across the radio side: a core, or inductance and conductance.
void read_magnetising(const Reader& reader, const Scope& scope, circuit::CoreTransformer& part) {
  const Node* core = reader.find("core");
  const Node* inductance = reader.find("magnetising_inductance");
  const Node* conductance = reader.find("shunt_conductance");
  if (core) {
    refuse_beside(reader, "core", {"magnetising_inductance", "shunt_conductance"});
    const Node* turns = reader.find("turns");
    if (!turns) fail(*core, "a core needs turns = [radio side, antenna side], such as [2, 14]");
    part.core = read_core(*core, scope, read_turns(*turns, scope));
  } else if (!inductance && !conductance) {
    (void)reader.need("magnetising_inductance", "\"8 uH\" (or shunt_conductance, or core)");
  }
  if (inductance) part.magnetising_inductance = positive(*inductance, kind::kInductance, scope);
  if (conductance) part.shunt_conductance = not_negative(*conductance, kind::kConductance, scope);
}

circuit::CoreTransformer read_core_transformer(const Reader& reader, const Scope& scope) {
  circuit::CoreTransformer part;
  part.impedance_ratio = read_ratio(reader, scope);
  read_magnetising(reader, scope, part);
  if (const Node* leakage = reader.find("leakage_inductance"))
    part.leakage_inductance = not_negative(*leakage, kind::kInductance, scope);
  if (const Node* capacitance = reader.find("winding_capacitance"))
    part.winding_capacitance = not_negative(*capacitance, kind::kCapacitance, scope);
  if (const Node* resistance = reader.find("winding_resistance"))
    part.winding_resistance = not_negative(*resistance, kind::kResistance, scope);
  if (const Node* at = reader.find("winding_resistance_at")) {
    if (!reader.find("winding_resistance"))
      fail(*at, "winding_resistance_at is where winding_resistance holds, which is missing here");
    part.resistance_frequency = positive(*at, kind::kFrequency, scope);
  }
  return part;
}

circuit::Transformer read_flat_transformer(const Reader& reader, const Scope& scope) {
  const double ratio = read_ratio(reader, scope);
  const Node* loss = reader.find("loss");
  return circuit::make_transformer(ratio, loss ? std::optional(read_level(*loss, scope)) : std::nullopt);
}

circuit::MeasuredPart read_measured(const Reader& reader, const Context& context, bool transformer) {
  circuit::MeasuredPart part{read_network(reader.need("touchstone", "\"unun.s2p\""), 2, context.files), false,
                             transformer};
  if (const Node* port = reader.find("antenna_port"))
    part.antenna_first = whole(*port, context.scope, 1, 2) == 1;
  return part;
}

/// Any of them makes a transformer one with a core.
constexpr std::initializer_list<const char*> kCoreKeys = {
    "magnetising_inductance", "shunt_conductance",    "core", "leakage_inductance", "winding_capacitance",
    "winding_resistance",     "winding_resistance_at"};

circuit::FeedPart read_transformer(const Node& node, const Context& context) {
  const Reader reader(node, kTransformer);
  if (const Node* connection = reader.find("connection")) (void)choice(*connection, {"un-un", "balun"});
  if (reader.find("touchstone")) {
    refuse_beside(reader, "touchstone", kCoreKeys);
    refuse_beside(reader, "touchstone", {"type", "impedance_ratio", "turns", "loss"});
    return read_measured(reader, context, true);
  }
  if (const Node* port = reader.find("antenna_port"))
    fail(*port, "antenna_port belongs to a Touchstone file, which is missing here");
  if (const Node* type = reader.find("type")) {
    refuse_beside(reader, "type", kCoreKeys);
    refuse_beside(reader, "type", {"impedance_ratio", "turns", "loss"});
    const std::string& name = text(*type, "49:1");
    if (const auto ready = circuit::ready_transformer(name)) return *ready;
    const std::vector<std::string> names = circuit::ready_transformer_names();
    fail(*type, fmt::format("there is no ready transformer \"{}\"{} (known: {}; or give impedance_ratio)",
                            name, suggestion(name, names), enumerate(names)));
  }
  const bool has_core =
      std::any_of(kCoreKeys.begin(), kCoreKeys.end(), [&](const char* key) { return reader.find(key); });
  if (!has_core) return read_flat_transformer(reader, context.scope);
  if (const Node* loss = reader.find("loss"))
    fail(*loss, "the loss follows from core and winding here; leave out loss, or all of those");
  return read_core_transformer(reader, context.scope);
}

// ---- lines and stubs

circuit::Line line_by_type(const Node& type) {
  const std::string& name = text(type, "RG-58");
  if (const auto known = circuit::line_type(name)) return *known;
  const std::vector<std::string> names = circuit::line_type_names();
  fail(type,
       fmt::format(
           "there is no line type named \"{}\"{} (known: {}; or give z0, velocity_factor and attenuation)",
           name, suggestion(name, names), enumerate(names)));
}

/// [["10 MHz", "4.6 dB/100 m"], ["100 MHz", "16 dB/100 m"]]: the law k1 sqrt(f) + k2 f through two points.
void read_attenuation_law(const Node& node, const Scope& scope, circuit::Line& line) {
  const Array& rows = *node.array();
  if (rows.size() != 2)
    fail(node, fmt::format("expected two rows of frequency and attenuation, found {}", rows.size()));
  double f[2] = {}, loss[2] = {};
  for (std::size_t i = 0; i < 2; ++i) {
    const Array* cells = rows[i].array();
    if (!cells || cells->size() != 2)
      fail(rows[i], "expected a frequency and an attenuation, as in [\"10 MHz\", \"4.6 dB/100 m\"]");
    f[i] = positive((*cells)[0], kind::kFrequency, scope);
    loss[i] = not_negative((*cells)[1], kind::kAttenuation, scope);
  }
  const auto law = circuit::loss_law_through(core::Frequency{f[0]}, loss[0], core::Frequency{f[1]}, loss[1]);
  if (!law)
    fail(node,
         "expected two different frequencies, and a loss that grows at least with the root of the frequency "
         "and at most with the frequency itself, as a line's does");
  line.k1 = law->k1;
  line.k2 = law->k2;
}

circuit::Line line_by_numbers(const Reader& reader, const Scope& scope) {
  circuit::Line line;
  const Node& z0 = reader.need("z0", "\"50 ohm\" (or type = \"RG-58\")");
  line.z0 = positive(z0, kind::kResistance, scope);
  if (line.z0 < kLeastZ0 || line.z0 > kLargestZ0)
    fail(z0, fmt::format("expected a characteristic impedance from {:g} to {:g} ohm, found {:g} ohm",
                         kLeastZ0, kLargestZ0, line.z0));
  line.is_coax = line.z0 < kLeastParallel;
  const Node& velocity = reader.need("velocity_factor", "0.66");
  line.velocity_factor = positive(velocity, kind::kNumber, scope);
  if (line.velocity_factor < kLeastVelocity || line.velocity_factor > 1.0)
    fail(velocity, fmt::format("expected a velocity factor from {:g} to 1, found {:g}", kLeastVelocity,
                               line.velocity_factor));
  const Node& attenuation = reader.need("attenuation", "\"4.9 dB/100 m\"");
  const Node* at = reader.find("attenuation_at");
  if (attenuation.array()) {
    if (at) fail(*at, "rows of attenuation name their frequencies; leave out attenuation_at");
    read_attenuation_law(attenuation, scope, line);
    return line;
  }
  const double loss = not_negative(attenuation, kind::kAttenuation, scope);  // dB/m
  if (!at) {
    line.constant_loss = loss;
    return line;
  }
  const core::Frequency f{positive(*at, kind::kFrequency, scope)};
  line.k1 = circuit::line_by_attenuation(line.z0, line.velocity_factor, loss, f).k1;
  return line;
}

circuit::Line read_line_data(const Reader& reader, const Scope& scope) {
  const Node* type = reader.find("type");
  for (const char* key : {"z0", "velocity_factor", "attenuation", "attenuation_at"})
    if (const Node* number = reader.find(key); number && type)
      fail(*number,
           fmt::format("give either a line type or its numbers, not both; leave out type or {}", key));
  circuit::Line line = type ? line_by_type(*type) : line_by_numbers(reader, scope);
  const Node& length = reader.need("length", "\"10 m\"");
  line.length = not_negative(length, kind::kLineLength, scope);
  if (line.length > kLongestLine)
    fail(length, fmt::format("expected a line up to {}, found {}", format({kLongestLine, dimension::kLength}),
                             format({line.length, dimension::kLength})));
  return line;
}

circuit::Stub read_stub(const Node& node, const Scope& scope) {
  const Reader reader(node, kStub);
  circuit::Stub stub;
  stub.line = read_line_data(reader, scope);
  stub.open = choice(reader.need("end", "\"open\" or \"shorted\""), {"open", "shorted"}) == 0;
  if (const Node* connection = reader.find("connection"))
    stub.in_series = choice(*connection, {"parallel", "series"}) == 1;
  if (stub.line.length == 0.0 && stub.open == stub.in_series)
    fail(*reader.find("length"), stub.open ? "an open stub of no length in series lets nothing pass"
                                           : "a shorted stub of no length is a short across the line");
  return stub;
}

// ---- tuners

circuit::Tuner read_tuner(const Node& node, const Scope& scope) {
  const Reader reader(node, kTuner);
  circuit::Tuner tuner;
  if (const Node* network = reader.find("network"))
    tuner.network = static_cast<circuit::Tuner::Network>(choice(*network, {"L", "T", "pi"}));
  const auto quality = [&](const char* key, double& q) {
    const Node* found = reader.find(key);
    if (!found) return;
    q = positive(*found, kind::kNumber, scope);
    if (q < kLeastPartQ || q > kLargestPartQ)
      fail(*found, fmt::format("expected a quality factor from {:g} to {:g}, found {:g}", kLeastPartQ,
                               kLargestPartQ, q));
  };
  quality("coil_q", tuner.coil_q);
  quality("capacitor_q", tuner.capacitor_q);
  if (const Node* swr = reader.find("largest_swr")) {
    tuner.largest_swr = plain_number(*swr, scope);
    if (!(tuner.largest_swr > 1.0))
      fail(*swr, fmt::format("expected an SWR above 1, found {:g}", tuner.largest_swr));
  }
  if (const Node* inductance = reader.find("largest_inductance"))
    tuner.largest_inductance = positive(*inductance, kind::kInductance, scope);
  if (const Node* capacitance = reader.find("largest_capacitance"))
    tuner.largest_capacitance = positive(*capacitance, kind::kCapacitance, scope);
  return tuner;
}

const std::vector<std::string>& part_kinds() {
  static const std::vector<std::string> kinds = {"transformer", "line", "stub", "tuner", "two-port", "choke"};
  return kinds;
}

std::string kind_of_part(const Node& node) {
  const Table* table = node.table();
  const Node* kind = table ? find(*table, "kind") : nullptr;
  if (!kind) return text(Reader(node, kPart).need("kind", "\"transformer\" or \"line\""), "line");
  return part_kinds()[choice(*kind, part_kinds())];
}

/// Settings address parts by their names or numbers.
void check_name(const Node& part, std::set<std::string>& taken) {
  const Node* node = find(*part.table(), "name");
  if (!node) return;
  const std::string name = read_name(*node, "balun");
  if (name.find_first_not_of("0123456789") == std::string::npos)
    fail(*node,
         fmt::format("a part cannot be named \"{}\", since its number stands for it; add a letter", name));
  if (!taken.insert(name).second)
    fail(*node, fmt::format("two feed parts are named \"{}\"; give each its own name", name));
}

circuit::FeedPart read_part(const Node& node, const std::string& kind, const Context& context) {
  if (kind == "transformer") return read_transformer(node, context);
  if (kind == "line") return read_line_data(Reader(node, kLine), context.scope);
  if (kind == "stub") return read_stub(node, context.scope);
  if (kind == "tuner") return read_tuner(node, context.scope);
  return read_measured(Reader(node, kTwoPort), context, false);
}

}  // namespace

Feed read_feed(const Node* node, const Context& context) {
  Feed feed;
  if (!node) return feed;
  const Scope& scope = context.scope;
  const Reader reader(*node, kFeed);
  if (const Node* power = reader.find("power")) {
    feed.power = positive(*power, kind::kPower, scope);
    if (feed.power > kLargestPower)
      fail(*power,
           fmt::format("expected a power up to {}, found {}", format({kLargestPower, dimension::kPower}),
                       format({feed.power, dimension::kPower})));
  }
  if (const Node* mode = reader.find("mode"))
    feed.mode = static_cast<Mode>(choice(*mode, {"voice", "telegraphy", "digital"}));
  if (const Node* reference = reader.find("reference_resistance"))
    feed.reference_resistance = positive(*reference, kind::kResistance, scope);
  std::set<std::string> names;
  for (const Node& part : tables(reader.find("parts"), "[[feed.parts]]", kMostParts)) {
    const std::string kind = kind_of_part(part);
    check_name(part, names);
    if (kind != "choke") feed.parts.push_back(read_part(part, kind, context));  // chokes: read_outside
  }
  return feed;
}

}  // namespace feldspar::model::detail

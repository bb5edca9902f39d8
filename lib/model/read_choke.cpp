#include <fmt/format.h>

#include <utility>

#include "model/outside_detail.hpp"

namespace feldspar::model::detail {

ImpedanceLaw constant(std::complex<double> z) {
  return [z](core::Frequency) { return z; };
}

namespace {

/// One impedance for every frequency, or "perfect".
void read_one_impedance(const Node& node, const Scope& scope, Choke& choke) {
  if (node.text()) {
    (void)choice(node, {"perfect"});
    choke.perfect = true;
    return;
  }
  choke.insert.law = constant(read_impedance(node, scope));
}

void read_measured_impedance(const Node& node, const Files& files, Choke& choke) {
  circuit::NetworkData data = read_network(node, 1, files);
  choke.insert.law_from = data.frequencies.front();
  choke.insert.law_to = data.frequencies.back();
  choke.insert.law = [data = std::move(data)](core::Frequency f) {
    return circuit::one_port_impedance(data, f);
  };
}

/// Resistance, inductance and capacitance side by side, as a choke on ferrite behaves round its resonance.
void read_resonant_impedance(const Reader& reader, const Scope& scope, Choke& choke) {
  const Node* resistance = reader.find("resistance");
  const Node* inductance = reader.find("inductance");
  const Node* capacitance = reader.find("capacitance");
  if (!resistance && !inductance && !capacitance)
    fail(reader.node(),
         "expected impedance = [\"2 kohm\", \"500 ohm\"] (or \"perfect\"), touchstone, or resistance, "
         "inductance and capacitance in parallel; found none of them");
  geometry::Insert& insert = choke.insert;
  insert.parallel = true;
  insert.capacitance = capacitance ? positive(*capacitance, kind::kCapacitance, scope) : 0.0;
  if (resistance) insert.resistance = positive(*resistance, kind::kResistance, scope);
  if (inductance) insert.inductance = positive(*inductance, kind::kInductance, scope);
}

void refuse_two_impedances(const Reader& reader) {
  const Node* impedance = reader.find("impedance");
  const Node* file = reader.find("touchstone");
  if (impedance && file) fail(*file, "give either impedance or touchstone, not both");
  if (!impedance && !file) return;
  for (const char* key : {"resistance", "inductance", "capacitance"})
    if (const Node* found = reader.find(key))
      fail(*found, fmt::format("{} says what the choke's impedance is; leave out {}",
                               impedance ? "impedance" : "touchstone", key));
}

}  // namespace

Choke read_choke(const Node& node, const Context& context) {
  const Reader reader(node, kChoke);
  Choke choke;
  choke.node = &node;
  choke.insert.place = node.place;
  if (const Node* name = reader.find("name")) choke.insert.name = *name->text();  // read_feed has checked it
  refuse_two_impedances(reader);
  if (const Node* impedance = reader.find("impedance"))
    read_one_impedance(*impedance, context.scope, choke);
  else if (const Node* file = reader.find("touchstone"))
    read_measured_impedance(*file, context.files, choke);
  else
    read_resonant_impedance(reader, context.scope, choke);
  if (const Node* distance = reader.find("distance"))
    choke.distance = not_negative(*distance, kind::kLineLength, context.scope);
  if (const Node* length = reader.find("length"))
    choke.length = positive(*length, kind::kCoil, context.scope);
  return choke;
}

}  // namespace feldspar::model::detail

#include "wire_cases.hpp"

#include <toml++/toml.h>

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "geometry/network.hpp"
#include "moment/solve.hpp"

namespace feldspar::validation {

namespace {

double number(const toml::table& table, const char* key) {
  return table[key].value_or(0.0);
}

double root_sum(std::initializer_list<double> parts) {
  double sum = 0.0;
  for (const double part : parts) sum += part * part;
  return std::sqrt(sum);
}

std::vector<geometry::Span> spans(const toml::table& owner) {
  std::vector<geometry::Span> result;
  for (const toml::node& node : *owner["spans"].as_array()) {
    const toml::table& t = *node.as_table();
    result.push_back({static_cast<int>(t["wire"].value_or(std::int64_t{0})), number(t, "from_m"),
                      number(t, "to_m"), static_cast<int>(t["sign"].value_or(std::int64_t{1}))});
  }
  return result;
}

geometry::Vec3 point(const toml::array& a) {
  return {a[0].value_or(0.0), a[1].value_or(0.0), a[2].value_or(0.0)};
}

media::Ground ground(const toml::table& t) {
  media::Ground result;
  const std::string kind = t["ground"].value_or(std::string());
  if (kind == "perfect") result.kind = media::GroundKind::perfect;
  if (kind == "real") {
    result.kind = media::GroundKind::real;
    result.relative_permittivity = number(t, "eps_r");
    result.conductivity = number(t, "sigma_s_per_m");
  }
  return result;
}

/// 10 per wavelength in the medium the wire lies in, 12 per free end, port and insert, 8 per arm at a
/// junction, bend, radius step or crossing of the surface.
double unknown_budget(const WireCase& c) {
  const geometry::Network network =
      geometry::make_network(c.model.structure, moment::surface_of(c.model.ground));
  const geometry::Wavelengths wavelength = moment::wavelengths(c.model.ground, core::Frequency{c.frequency});
  double waves = 0.0;
  for (const geometry::Piece& piece : network.pieces) {
    const bool below = wavelength.soil > 0.0 && piece.start.z() + piece.end.z() < 0.0;
    waves += (piece.to - piece.from) / (below ? wavelength.soil : wavelength.air);
  }
  std::size_t arms = 0;
  for (const geometry::Node& node : network.nodes)
    if (node.grounded || node.at_surface || node.arms.size() > 2 ||
        (node.arms.size() == 2 && !node.gap_edge && !node.insert_edge))
      arms += node.arms.size();
  const auto features =
      static_cast<double>(geometry::free_ends(network)) +
      static_cast<double>(c.model.structure.ports.size() + c.model.structure.inserts.size());
  return 10.0 * waves + 12.0 * features + 8.0 * static_cast<double>(arms);
}

void read_two_ports(const toml::table& t, WireCase& c) {
  const toml::array& re = *t["z_r"].as_array();
  for (std::size_t i = 0; i < re.size(); ++i) {
    c.z_matrix.emplace_back();
    c.z_uncertainty.emplace_back();
    for (std::size_t j = 0; j < re.size(); ++j) {
      c.z_matrix.back().emplace_back(t["z_r"][i][j].value_or(0.0), t["z_x"][i][j].value_or(0.0));
      c.z_uncertainty.back().push_back(
          root_sum({t["z_r_unc"][i][j].value_or(0.0), t["z_x_unc"][i][j].value_or(0.0)}));
    }
  }
}

WireCase read_case(const toml::table& t) {
  WireCase c;
  c.id = t["id"].value_or(std::string());
  c.title = t["title"].value_or(std::string());
  c.frequency = number(t, "freq_hz");
  c.model.name = c.id;
  c.model.ground = ground(t);
  geometry::Structure& structure = c.model.structure;
  for (const toml::node& node : *t["wires"].as_array()) {
    const toml::table& w = *node.as_table();
    geometry::Wire wire;
    wire.name = "wire " + std::to_string(structure.wires.size());
    wire.path = {point(*w["p1"].as_array()), point(*w["p2"].as_array())};
    wire.radius = number(w, "radius");
    if (t.contains("conductivity_s_per_m")) wire.conductor.conductivity = number(t, "conductivity_s_per_m");
    structure.wires.push_back(wire);
  }
  for (const toml::node& node : *t["ports"].as_array())
    structure.ports.push_back(
        {"port " + std::to_string(structure.ports.size() + 1), spans(*node.as_table()), {}});
  if (const toml::array* loads = t["loads"].as_array())
    for (const toml::node& node : *loads) {
      const toml::table& l = *node.as_table();
      geometry::Insert insert;
      insert.name = "load";
      insert.spans = spans(l);
      insert.resistance = number(l, "r_ohm");
      insert.inductance = number(l, "x_ohm") / core::angular(core::Frequency{c.frequency});
      structure.inserts.push_back(insert);
    }
  c.impedance = {number(t, "r_ohm"), number(t, "x_ohm")};
  c.resistance_uncertainty = root_sum({number(t, "r_unc"), number(t, "bend_dr"), number(t, "solid_end_dr")});
  c.reactance_uncertainty = root_sum({number(t, "x_unc"), number(t, "bend_dx"), number(t, "solid_end_dx")});
  c.resistance_tolerance = number(t, "r_tol");
  c.reactance_tolerance = number(t, "x_tol");
  c.gain_dbi = t["gain_dbi"].value<double>();
  c.efficiency = t["efficiency"].value<double>();
  if (t.contains("z_r")) read_two_ports(t, c);
  c.budget = unknown_budget(c);
  return c;
}

std::vector<WireCase> read_cases(const std::string& file) {
  std::vector<WireCase> cases;
  const toml::table document = toml::parse_file(FELDSPAR_TEST_DATA "/" + file);
  for (const toml::node& node : *document["case"].as_array()) cases.push_back(read_case(*node.as_table()));
  return cases;
}

}  // namespace

double WireCase::fine_resistance() const {
  return std::min(resistance_tolerance,
                  resistance_uncertainty + 0.0005 * impedance.real() + 1e-5 * std::abs(impedance));
}

double WireCase::fine_reactance() const {
  return std::min(reactance_tolerance, reactance_uncertainty + 0.0005 * std::abs(impedance));
}

std::vector<WireCase> wire_cases() {
  return read_cases("wire-cases.toml");
}

std::vector<WireCase> buried_cases() {
  return read_cases("buried-cases.toml");
}

}  // namespace feldspar::validation

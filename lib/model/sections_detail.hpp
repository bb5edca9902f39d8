#pragma once

#include <complex>
#include <optional>
#include <string>
#include <vector>

#include "model/expression.hpp"
#include "model/files_detail.hpp"
#include "model/model.hpp"
#include "model/node.hpp"
#include "model/reader_detail.hpp"

/// One function per part of a model file: from the tree to plain numbers (private to this module).
/// Each throws as the functions of reader_detail.hpp.
namespace feldspar::model::detail {

/// What readers of values and of files' names need.
struct Context {
  const Scope& scope;
  const Files& files;
};

/// What became of one [[wires]] table.
struct WireEntry {
  std::string name;
  int first = 0;          ///< index of its first copy in Structure::wires
  int count = 0;          ///< 0: left out
  bool copied = false;    ///< has `copies`, whatever their count
  double length = 0.0;    ///< m
  double diameter = 0.0;  ///< m
};

/// [antenna], which then stands alone: no wires, inserts and ports. Empty when it is not there.
[[nodiscard]] std::optional<circuit::KnownAntenna> read_antenna(const Reader& top, const Scope& scope,
                                                                const Files& files);
void read_site(const Node* node, const Scope& scope, Model& model);
/// [ground] with [ground.far].
void read_ground(const Node* node, const Scope& scope, Model& model);
[[nodiscard]] std::vector<WireEntry> read_wires(const Node* node, const Scope& scope,
                                                geometry::Structure& structure);
void read_ports(const Reader& top, const Scope& scope, const std::vector<WireEntry>& wires,
                geometry::Structure& structure);
void read_inserts(const Node* node, const Scope& scope, const std::vector<WireEntry>& wires,
                  geometry::Structure& structure);
/// [feed] with its parts; chokes are left to read_outside.
[[nodiscard]] Feed read_feed(const Node* node, const Context& context);
/// The outside of a line and the chokes on it, laid as wires and inserts of model.structure.
/// @param feed  the [feed] table or null, which read_feed has read
void read_outside(const Node* feed, const Context& context, Model& model);

/// `impedance = ["13.6 ohm", "-1000 ohm"]`, ohm; resistance >= 0.
[[nodiscard]] std::complex<double> read_impedance(const Node& node, const Scope& scope);
/// Points [x, y, z], m; at least that many.
[[nodiscard]] std::vector<geometry::Vec3> read_path(const Node& node, const Scope& scope, std::size_t least);
[[nodiscard]] geometry::Coat read_insulation(const Node* node, const Scope& scope);

/// Diameter of "18 AWG", m: 0.127 mm * 92^((36-n)/39), n from 40 down to 0000 [ASTM B258].
[[nodiscard]] double gauge_diameter(const Node& node);

/// Name of a wire, port or insert: at most 60 bytes, without control characters, dots, quotes and brackets.
[[nodiscard]] std::string read_name(const Node& node, std::string_view example);

}  // namespace feldspar::model::detail

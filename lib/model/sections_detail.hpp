#pragma once

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
[[nodiscard]] Feed read_feed(const Node* node, const Scope& scope, const Files& files);

/// Diameter of "18 AWG", m: 0.127 mm * 92^((36-n)/39), n from 40 down to 0000 [ASTM B258].
[[nodiscard]] double gauge_diameter(const Node& node);

/// Name of a wire, port or insert: at most 60 bytes, without control characters, dots, quotes and brackets.
[[nodiscard]] std::string read_name(const Node& node, std::string_view example);

}  // namespace feldspar::model::detail

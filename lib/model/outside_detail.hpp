#pragma once

#include <complex>
#include <functional>
#include <string>
#include <vector>

#include "model/sections_detail.hpp"

/// The outside of a line and the chokes on it, on their way from the text to wires and inserts (private to
/// this module). Distances and arc lengths run along the braid from the feed point on.
namespace feldspar::model::detail {

/// As geometry::Insert::law.
using ImpedanceLaw = std::function<std::complex<double>(core::Frequency)>;
/// The same impedance [ohm] at every frequency.
[[nodiscard]] ImpedanceLaw constant(std::complex<double> z);

/// A part that hinders the current on the braid, or stops it.
struct Choke {
  double distance = 0.0;    ///< m, of its middle
  double length = 0.0;      ///< m of braid that it takes up; 0: as much as the braid is thick
  bool perfect = false;     ///< then the braid is cut there
  geometry::Insert insert;  ///< without spans
  const Node* node = nullptr;
};

[[nodiscard]] Choke read_choke(const Node& node, const Context& context);

/// The braid as a wire, before chokes cut it.
struct Braid {
  geometry::Wire wire;  ///< from the feed point to the radio
  double length = 0.0;  ///< m
  double begin = 0.0;   ///< m: 0 where it is joined to the antenna, `clear` where a balun keeps it off
  double clear = 0.0;   ///< m that it keeps from the feed point where it is not joined
};

/// Adds the braid to model.structure, cut by perfect chokes and with the others as inserts, and names its
/// wires and chokes in model.outside.
/// @throws Error{model} for a choke that does not fit on the braid or overlaps another
void lay_braid(const Braid& braid, const std::vector<Choke>& chokes, Model& model);

/// A length in metres as messages give it.
[[nodiscard]] std::string length_text(double length);

}  // namespace feldspar::model::detail

#include <fmt/format.h>

#include <algorithm>

#include "model/outside_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr double kCut = 0.02;         // m of braid that a perfect choke takes away
constexpr double kLeastPiece = 0.05;  // m of braid; shorter pieces between two cuts are left out

/// Part of the braid by arc length, m.
struct Stretch {
  double from = 0.0;
  double to = 0.0;
};

struct PlacedChoke {
  const Choke* choke;
  Stretch at;
};

/// What a choke takes up of the braid; near an end it is moved so as to stay on it.
Stretch place_on(const Braid& braid, const Choke& choke) {
  if (choke.distance > braid.length)
    fail(*choke.node,
         fmt::format("the choke sits {} from the antenna, but the outside of the line is only {} long",
                     length_text(choke.distance), length_text(braid.length)));
  const double width = std::max(choke.length, choke.perfect ? kCut : 2.0 * braid.wire.radius);
  if (width > braid.length - braid.begin)
    fail(*choke.node, fmt::format("the choke is {} long, the outside of the line only {}", length_text(width),
                                  length_text(braid.length - braid.begin)));
  const double from = std::clamp(choke.distance - 0.5 * width, braid.begin, braid.length - width);
  return {from, from + width};
}

/// From the antenna to the radio. Perfect chokes may overlap one another, since two cuts are one.
std::vector<PlacedChoke> place_all(const Braid& braid, const std::vector<Choke>& chokes) {
  std::vector<PlacedChoke> placed;
  for (const Choke& choke : chokes) placed.push_back({&choke, place_on(braid, choke)});
  std::stable_sort(placed.begin(), placed.end(),
                   [](const PlacedChoke& a, const PlacedChoke& b) { return a.at.from < b.at.from; });
  for (std::size_t i = 0; i < placed.size(); ++i)
    for (std::size_t j = 0; j < i; ++j) {
      const PlacedChoke& a = placed[j];
      const PlacedChoke& b = placed[i];
      if (b.at.from > a.at.to - 1e-9 || (a.choke->perfect && b.choke->perfect)) continue;
      fail(*b.choke->node,
           fmt::format(
               "two chokes overlap: this one takes up the outside from {} to {}, another from {} to {}; "
               "move one of them or leave it out",
               length_text(b.at.from), length_text(b.at.to), length_text(a.at.from), length_text(a.at.to)));
    }
  return placed;
}

/// What perfect chokes leave of the braid.
std::vector<Stretch> uncut(const Braid& braid, const std::vector<PlacedChoke>& chokes) {
  std::vector<Stretch> rest;
  double from = braid.begin;
  for (const PlacedChoke& cut : chokes) {
    if (!cut.choke->perfect) continue;
    if (cut.at.from - from >= kLeastPiece) rest.push_back({from, cut.at.from});
    from = std::max({from, cut.at.to, rest.empty() ? braid.clear : 0.0});
  }
  if (braid.length - from >= kLeastPiece) {
    rest.push_back({from, braid.length});
  } else if (!rest.empty()) {  // a cut at the radio: clear of what hangs there
    rest.back().to = std::min(rest.back().to, braid.length - kLeastPiece);
    if (rest.back().to - rest.back().from < kLeastPiece) rest.pop_back();
  }
  return rest;
}

/// The wire along one stretch. A bend nearer to its ends than the braid is thick is left out.
geometry::Wire wire_along(const Braid& braid, const Stretch& stretch) {
  const std::vector<geometry::Vec3>& path = braid.wire.path;
  const double nearest = 2.0 * braid.wire.radius;
  geometry::Wire wire = braid.wire;
  wire.path = {geometry::point_at(braid.wire, stretch.from)};
  double at = 0.0;
  for (std::size_t i = 1; i + 1 < path.size(); ++i) {
    at += (path[i] - path[i - 1]).norm();
    if (at > stretch.from + nearest && at < stretch.to - nearest) wire.path.push_back(path[i]);
  }
  wire.path.push_back(geometry::point_at(braid.wire, stretch.to));
  return wire;
}

void lay_wires(const Braid& braid, const std::vector<Stretch>& stretches, Model& model) {
  std::vector<int>& indices = model.outside->wires;
  for (const Stretch& stretch : stretches) {
    geometry::Wire wire = wire_along(braid, stretch);
    if (stretches.size() > 1) wire.name += fmt::format(" ({})", indices.size() + 1);
    indices.push_back(static_cast<int>(model.structure.wires.size()));
    model.structure.wires.push_back(std::move(wire));
  }
}

void lay_choke(const PlacedChoke& placed, const std::vector<Stretch>& stretches, Model& model) {
  const auto holds = [&](const Stretch& stretch) {
    return placed.at.from >= stretch.from - 1e-9 && placed.at.to <= stretch.to + 1e-9;
  };
  const auto found = std::find_if(stretches.begin(), stretches.end(), holds);
  if (found == stretches.end())
    fail(*placed.choke->node,
         "the perfect chokes beside this one leave no braid here; move it or leave it out");
  LineOutside& outside = *model.outside;
  const int wire = outside.wires[static_cast<std::size_t>(found - stretches.begin())];
  const double end = geometry::length(model.structure.wires[static_cast<std::size_t>(wire)]);
  const double to = std::min(placed.at.to - found->from, end);
  geometry::Insert insert = placed.choke->insert;
  if (insert.name.empty()) insert.name = fmt::format("choke {}", outside.chokes.size() + 1);
  insert.spans = {{wire, std::max(0.0, to - (placed.at.to - placed.at.from)), to, 1}};
  outside.chokes.push_back(static_cast<int>(model.structure.inserts.size()));
  model.structure.inserts.push_back(std::move(insert));
}

}  // namespace

std::string length_text(double length) {
  return format({length, dimension::kLength});
}

void lay_braid(const Braid& braid, const std::vector<Choke>& chokes, Model& model) {
  const std::vector<PlacedChoke> placed = place_all(braid, chokes);
  const std::vector<Stretch> stretches = uncut(braid, placed);
  if (stretches.empty())
    fail(*placed.front().choke->node,
         "perfect chokes leave nothing of the outside of the line; leave out outside and the chokes");
  lay_wires(braid, stretches, model);
  for (const PlacedChoke& choke : placed) {
    if (choke.choke->perfect)
      ++model.outside->perfect_chokes;
    else
      lay_choke(choke, stretches, model);
  }
}

}  // namespace feldspar::model::detail

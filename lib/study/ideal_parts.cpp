#include "study/ideal_parts.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <optional>
#include <utility>

#include "core/error.hpp"
#include "geometry/network.hpp"
#include "geometry/validity.hpp"
#include "media/soils.hpp"

namespace feldspar::study {
namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();
/// ohm, reactive. Against a cut braid the feed point of an end-fed wire changes by 1e-3 at most with a choke
/// up to 0.1 m long and 14 MHz; by up to 8 % with 0.6 m at 28.5 MHz, where the choke's own capacitance
/// counts.
constexpr double kAtFeedPoint = 0.05;   // m of braid before the choke, no counterpoise
constexpr double kClear = 0.1;          // m
constexpr double kAnyWavelength = 1e9;  // m
constexpr double kStopping = 1e6;

/// Applies a change to every part of one type; tells whether there was any.
template <typename Part, typename Change>
bool change_all(std::vector<circuit::FeedPart>& parts, const Change& change) {
  bool any = false;
  for (circuit::FeedPart& part : parts) {
    if (!std::holds_alternative<Part>(part)) continue;
    change(part);
    any = true;
  }
  return any;
}

void remove_loss(circuit::Line& line) {
  line.k1 = line.k2 = line.constant_loss = 0.0;
}

bool ideal_tuner(model::Model& model) {
  return change_all<circuit::Tuner>(model.feed.parts, [](circuit::FeedPart& part) {
    auto& tuner = std::get<circuit::Tuner>(part);
    tuner.coil_q = tuner.capacitor_q = kInfinite;
  });
}

bool ideal_lines(model::Model& model) {
  return change_all<circuit::Line>(
      model.feed.parts, [](circuit::FeedPart& part) { remove_loss(std::get<circuit::Line>(part)); });
}

bool ideal_stubs(model::Model& model) {
  return change_all<circuit::Stub>(
      model.feed.parts, [](circuit::FeedPart& part) { remove_loss(std::get<circuit::Stub>(part).line); });
}

bool ideal_transformers(model::Model& model) {
  const bool flat = change_all<circuit::Transformer>(
      model.feed.parts, [](circuit::FeedPart& part) { std::get<circuit::Transformer>(part).loss_db = 0.0; });
  const bool core = change_all<circuit::CoreTransformer>(model.feed.parts, [](circuit::FeedPart& part) {
    part = circuit::Transformer{std::get<circuit::CoreTransformer>(part).impedance_ratio, 0.0, false};
  });
  return flat || core;
}

bool is_choke(const model::Model& model, std::size_t insert) {
  return model.outside && std::find(model.outside->chokes.begin(), model.outside->chokes.end(),
                                    static_cast<int>(insert)) != model.outside->chokes.end();
}

/// Whether a choke sits at the feed point and the current has no other way back than the braid: then the rig
/// without the braid there is refused.
bool needs_braid(model::Model model) {
  const geometry::Insert& choke = model.structure.inserts[static_cast<std::size_t>(model.outside->chokes[0])];
  if (choke.spans.front().from > kAtFeedPoint) return false;
  geometry::Wire& braid = model.structure.wires[static_cast<std::size_t>(model.outside->wires.front())];
  braid.path.front() = geometry::point_at(braid, std::min(kClear, 0.5 * geometry::length(braid)));
  model.structure.inserts.clear();
  try {
    const auto surface = model.ground.kind == media::GroundKind::perfect ? geometry::Surface::perfect
                                                                         : geometry::Surface::none;
    (void)geometry::check_validity(model.structure, geometry::make_network(model.structure, surface), surface,
                                   kAnyWavelength);
    return false;
  } catch (const core::Error&) {
    return true;
  }
}

bool ideal_chokes(model::Model& model) {
  if (!model.outside || model.outside->chokes.empty() || needs_braid(model)) return false;
  for (const int choke : model.outside->chokes)
    model.structure.inserts[static_cast<std::size_t>(choke)].measured = {{0.0, {0.0, kStopping}}};
  return true;
}

bool ideal_coils(model::Model& model) {
  bool any = false;
  for (std::size_t i = 0; i < model.structure.inserts.size(); ++i) {
    geometry::Insert& insert = model.structure.inserts[i];
    if (is_choke(model, i) || !(insert.inductance > 0.0) || !std::isfinite(insert.q)) continue;
    insert.q = kInfinite;
    any = true;
  }
  return any;
}

bool ideal_wires(model::Model& model) {
  bool any = false;
  for (geometry::Wire& wire : model.structure.wires) {
    any = any || std::isfinite(wire.conductor.conductivity);
    wire.conductor = {kInfinite, 1.0};
  }
  return any;
}

bool reaches_into_soil(const model::Model& model) {
  return std::any_of(model.structure.wires.begin(), model.structure.wires.end(), [](const auto& wire) {
    return std::any_of(wire.path.begin(), wire.path.end(), [](const auto& p) { return p.z() < 0.0; });
  });
}

/// Of the same kind, so that wires in it stay where they are; or none at all.
bool ideal_ground(model::Model& model) {
  if (model.ground.kind != media::GroundKind::real) return false;
  const bool buried = reaches_into_soil(model);
  model.far_soil.reset();
  model.ground = media::Ground{};
  model.ground.kind = buried ? media::GroundKind::real : media::GroundKind::perfect;
  if (!buried) return true;
  const auto sea = media::soil("sea");
  model.ground.name = "sea";
  model.ground.relative_permittivity = sea->relative_permittivity;
  model.ground.conductivity = sea->conductivity;
  return true;
}

}  // namespace

std::vector<IdealModel> ideal_models(const model::Model& model) {
  const std::pair<const char*, const char*> words[] = {
      {"tuner", "a tuner without loss"},
      {"line", "a line without loss"},
      {"stub", "stubs without loss"},
      {"transformer", "a transformer without loss"},
      {"choke", "a choke that lets nothing through"},
      {"coils", "coils without loss"},
      {"wires", "wires without loss"},
      {"ground", reaches_into_soil(model) ? "sea water instead of the soil" : "perfect ground"}};
  constexpr bool (*kChanges[])(model::Model&) = {ideal_tuner,  ideal_lines, ideal_stubs, ideal_transformers,
                                                 ideal_chokes, ideal_coils, ideal_wires, ideal_ground};
  std::vector<IdealModel> ideals;
  for (std::size_t i = 0; i < std::size(words); ++i) {
    IdealModel ideal{words[i].first, words[i].second, model};
    if (kChanges[i](ideal.model)) ideals.push_back(std::move(ideal));
  }
  return ideals;
}

model::Feed lossless(const model::Feed& feed) {
  model::Model model;
  model.feed = feed;
  for (const auto change : {ideal_tuner, ideal_lines, ideal_stubs, ideal_transformers}) (void)change(model);
  return model.feed;
}

}  // namespace feldspar::study

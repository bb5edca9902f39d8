#include "study/ideal_parts.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <optional>
#include <utility>

#include "geometry/network.hpp"
#include "geometry/validity.hpp"
#include "media/soils.hpp"

namespace feldspar::study {
namespace {

using results::FrequencyResult;

constexpr double kInfinite = std::numeric_limits<double>::infinity();
constexpr double kAtFeedPoint = 0.05;  // m of braid before a choke that are no counterpoise
constexpr double kClear = 0.1;         // m
/// ohm, reactive. Against a cut braid the feed point of an end-fed wire changes by 1e-3 at most with a choke
/// up to 0.1 m long and 14 MHz; by up to 8 % with 0.6 m at 28.5 MHz, where the choke's own capacitance
/// counts.
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

/// Whether a choke sits at the feed point and the current has no other way back than the braid: none is left
/// when the braid begins a little further on.
bool needs_braid(const model::Model& model) {
  const geometry::Insert& choke = model.structure.inserts[static_cast<std::size_t>(model.outside->chokes[0])];
  if (choke.spans.front().from > kAtFeedPoint) return false;
  geometry::Structure apart{model.structure.wires, model.structure.ports, {}};
  geometry::Wire& braid = apart.wires[static_cast<std::size_t>(model.outside->wires.front())];
  braid.path.front() = geometry::point_at(braid, std::min(kClear, 0.5 * geometry::length(braid)));
  const auto surface =
      model.ground.kind == media::GroundKind::perfect ? geometry::Surface::perfect : geometry::Surface::none;
  return !geometry::has_return(apart.ports.front(), geometry::make_network(apart, surface));
}

bool ideal_chokes(model::Model& model) {
  if (!model.outside || model.outside->chokes.empty() || needs_braid(model)) return false;
  for (const int choke : model.outside->chokes)
    model.structure.inserts[static_cast<std::size_t>(choke)].law = [](core::Frequency) {
      return std::complex<double>{0.0, kStopping};
    };
  return true;
}

bool is_lossy_coil(const model::Model& model, std::size_t i) {
  const geometry::Insert& insert = model.structure.inserts[i];
  return !model::is_choke(model, static_cast<int>(i)) && !insert.law && insert.inductance > 0.0 &&
         std::isfinite(insert.q);
}

bool ideal_coils(model::Model& model) {
  bool any = false;
  for (std::size_t i = 0; i < model.structure.inserts.size(); ++i) {
    if (!is_lossy_coil(model, i)) continue;
    model.structure.inserts[i].q = kInfinite;
    any = true;
  }
  return any;
}

/// What inserts with a coil lose, their resistors included.
double lost_in_coils(const model::Model& model, const FrequencyResult& result) {
  double lost = 0.0;
  for (std::size_t i = 0; i < result.inserts.size(); ++i)
    if (is_lossy_coil(model, i)) lost += result.inserts[i].lost;
  return lost;
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
  using Model = model::Model;
  struct Part {
    const char* name;
    const char* made;
    bool (*change)(Model&);
    double (*lost)(const Model&, const FrequencyResult&);
  };
  const Part parts[] = {
      {"tuner", "a tuner without loss", ideal_tuner,
       [](const Model&, const FrequencyResult& r) { return r.power.tuner; }},
      {"line", "a line without loss", ideal_lines,
       [](const Model&, const FrequencyResult& r) { return r.power.line_matched + r.power.line_extra; }},
      {"stub", "stubs without loss", ideal_stubs,
       [](const Model&, const FrequencyResult& r) { return r.power.stub; }},
      {"transformer", "a transformer without loss", ideal_transformers,
       [](const Model&, const FrequencyResult& r) { return r.power.transformer; }},
      {"choke", "a choke that lets nothing through", ideal_chokes,
       [](const Model&, const FrequencyResult& r) { return r.power.choke; }},
      {"coils", "coils without loss", ideal_coils, lost_in_coils},
      {"wires", "wires without loss", ideal_wires,
       [](const Model&, const FrequencyResult& r) { return r.power.wires; }},
      {"ground", reaches_into_soil(model) ? "sea water instead of the soil" : "perfect ground", ideal_ground,
       [](const Model&, const FrequencyResult& r) { return r.power.ground; }}};
  std::vector<IdealModel> ideals;
  for (const Part& part : parts) {
    IdealModel ideal{part.name, part.made, part.lost, model};
    if (part.change(ideal.model)) ideals.push_back(std::move(ideal));
  }
  return ideals;
}

std::vector<circuit::FeedPart> without_loss(const std::vector<circuit::FeedPart>& parts) {
  model::Model model;
  model.feed.parts = parts;
  (void)ideal_lines(model);
  (void)ideal_transformers(model);
  return model.feed.parts;
}

}  // namespace feldspar::study

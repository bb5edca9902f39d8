#include "touch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <list>

#include "study/solve_model.hpp"
#include "study/touch.hpp"

namespace feldspar::app {
namespace {

struct End {
  model::LineEnd end;
  const char* word;  ///< in model files
};
constexpr End kEnds[] = {{model::LineEnd::open, "open"},
                         {model::LineEnd::operated, "operator"},
                         {model::LineEnd::earthed, "earthed"}};

/// Whether the wires can be computed at the outermost of the frequencies. @throws as solver::check
void check_wires(const model::Model& model, const std::vector<results::FrequencyResult*>& results) {
  const auto [lowest, highest] =
      std::minmax_element(results.begin(), results.end(),
                          [](const auto* a, const auto* b) { return a->frequency < b->frequency; });
  for (const results::FrequencyResult* result : {*lowest, *highest})
    (void)solver::check(model, core::Frequency{result->frequency}, {});
}

/// Why a stake cannot be had here; "" where it can.
std::string why_no_stake(const media::Ground& ground) {
  if (ground.kind == media::GroundKind::free_space) return "there is no earth in free space";
  if (ground.kind == media::GroundKind::real && ground.method == media::GroundMethod::plane_wave)
    return "plane-wave reflection does not know a stake in the soil; remove method = \"plane-wave\" from "
           "[ground]";
  return "";
}

/// The model with that end. @throws core::Error where there is none, or none that can be computed
model::Model other_model(const model::Model& model, const End& end, const WithEnd& with_end,
                         const std::vector<results::FrequencyResult*>& results) {
  const std::string no_stake = end.end == model::LineEnd::earthed ? why_no_stake(model.ground) : "";
  if (!no_stake.empty()) throw core::Error(core::ErrorKind::model, no_stake);
  model::Model other = with_end(end.word);
  check_wires(other, results);
  return other;
}

}  // namespace

void check_touch(const model::Model& model) {
  if (model.outside) return;
  throw core::Error(
      core::ErrorKind::usage,
      model.antenna
          ? "a known antenna has no wires that the outside of a line could join; describe its wires"
          : "the model has no outside of a line; add outside = { path = [[\"0 m\", \"0 m\", \"20 "
            "mm\"], [\"8 m\", \"0 m\", \"20 mm\"]], end = \"open\" } to its first coax line (kind = "
            "\"line\" in [[feed.parts]])",
      core::Place{"--touch", 0, 0, {}});
}

core::Warnings add_touch(const model::Model& model, const WithEnd& with_end,
                         const std::vector<results::FrequencyResult*>& results, const TouchOptions& options) {
  core::Warnings left_out;
  std::list<model::Model> models;  // stay where they are: the solvers refer to them
  std::vector<study::OtherEnd> others;
  for (const End& end : kEnds) {
    if (end.end == model.outside->end) continue;
    try {
      models.push_back(other_model(model, end, with_end, results));
    } catch (const core::Error& error) {
      left_out.push_back({"touch", fmt::format("the line's outside cannot be computed with end = \"{}\": {}",
                                               end.word, error.message())});
      continue;
    }
    others.push_back({end.end, study::solver_for(models.back(), options.accuracy)});
  }
  study::add_touch(results, model.outside->end, others, options.fields, options.threads);
  return left_out;
}

}  // namespace feldspar::app

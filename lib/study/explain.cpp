#include "study/explain.hpp"

#include <algorithm>
#include <cmath>

#include "circuit/feed.hpp"
#include "circuit/reflection.hpp"
#include "study/ideal_parts.hpp"
#include "study/solve_many.hpp"

namespace feldspar::study {
namespace {

/// W that come out at the far end: sky, or what a known antenna takes.
double delivered(const model::Model& model, const results::FrequencyResult& result) {
  return model.antenna ? result.power.antenna : result.power.sky;
}

std::optional<double> fed_wire(const model::Model& model, core::Frequency f) {
  if (model.structure.ports.empty()) return std::nullopt;
  const int wire = model.structure.ports.front().spans.front().wire;
  return geometry::length(model.structure.wires[static_cast<std::size_t>(wire)]) / core::wavelength(f);
}

/// Of all transformers together; empty where one is known by measurement only.
std::optional<double> impedance_ratio(const model::Feed& feed) {
  double ratio = 1.0;
  for (const circuit::FeedPart& part : feed.parts) {
    if (const auto* flat = std::get_if<circuit::Transformer>(&part)) ratio *= flat->impedance_ratio;
    if (const auto* core = std::get_if<circuit::CoreTransformer>(&part)) ratio *= core->impedance_ratio;
    if (circuit::loss_kind(part) == circuit::LossKind::transformer &&
        std::holds_alternative<circuit::MeasuredPart>(part))
      return std::nullopt;
  }
  return ratio;
}

void look_at_swr(const model::Model& model, results::Explanation& explanation) {
  const core::Frequency f{explanation.frequency};
  const double reference = model.feed.reference_resistance;
  const std::complex<double> z = explanation.feed_point;
  const bool plain =
      std::all_of(model.feed.parts.begin(), model.feed.parts.end(), [](const circuit::FeedPart& part) {
        const circuit::LossKind kind = circuit::loss_kind(part);
        return !std::holds_alternative<circuit::MeasuredPart>(part) &&
               (kind == circuit::LossKind::line || kind == circuit::LossKind::transformer);
      });
  if (plain && z.real() > 0.0)
    explanation.swr_without_loss =
        circuit::run_feed(without_loss(model.feed.parts), f, z, reference).swr_at_radio;
  explanation.ratio = impedance_ratio(model.feed);
  explanation.best_ratio = std::abs(z) / reference;
  explanation.swr_at_best_ratio = circuit::swr(z, std::abs(z));
  explanation.fed_wire = fed_wire(model, f);
}

}  // namespace

results::Explanation explain(const model::Model& model, const results::FrequencyResult& as_is,
                             const ModelSolve& solve, int threads) {
  results::Explanation explanation;
  explanation.frequency = as_is.frequency;
  explanation.power = as_is.power.radio;
  explanation.delivered = delivered(model, as_is);
  explanation.feed_point = as_is.ports.front().impedance;
  explanation.swr_at_radio = as_is.swr_at_radio;
  look_at_swr(model, explanation);

  const std::vector<IdealModel> ideals = ideal_models(model);
  std::vector<results::FrequencyResult> solved(ideals.size());
  run_all(ideals.size(), threads,
          [&](std::size_t i) { solved[i] = solve(ideals[i].model, core::Frequency{as_is.frequency}); });
  for (std::size_t i = 0; i < ideals.size(); ++i)
    explanation.ideals.push_back({ideals[i].part, ideals[i].made, ideals[i].lost(model, as_is),
                                  delivered(ideals[i].model, solved[i]), solved[i].swr_at_radio});
  std::stable_sort(explanation.ideals.begin(), explanation.ideals.end(),
                   [](const auto& a, const auto& b) { return a.delivered > b.delivered; });
  return explanation;
}

void explain_all(const model::Model& model, std::span<results::FrequencyResult* const> results,
                 const ModelSolve& solve, int threads) {
  run_all(results.size(), threads,
          [&](std::size_t i) { results[i]->explanation = explain(model, *results[i], solve, 1); });
}

}  // namespace feldspar::study

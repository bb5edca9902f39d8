#pragma once

#include <string>
#include <vector>

#include "model/model.hpp"
#include "results/result.hpp"

/// A rig with one of its parts made ideal.
namespace feldspar::study {

struct IdealModel {
  std::string part;  ///< as in the power budget
  std::string made;  ///< for people
  /// W lost in that part in a result of the rig as it is.
  double (*lost)(const model::Model& as_is, const results::FrequencyResult& result) = nullptr;
  model::Model model;
};

/// One model per part that can lose power, with that part made ideal and all else as it is: tuner, lines,
/// stubs and transformers without loss; chokes that let next to nothing through; coils without loss; wires
/// that conduct perfectly; perfect ground (sea water where wires reach into the soil). Measured parts cannot
/// be made ideal and are left out, and so is a choke at the feed point where the braid is the current's only
/// way back.
[[nodiscard]] std::vector<IdealModel> ideal_models(const model::Model& model);

/// Feed parts whose lines and transformers lose nothing, the others as they are.
[[nodiscard]] std::vector<circuit::FeedPart> without_loss(const std::vector<circuit::FeedPart>& parts);

}  // namespace feldspar::study

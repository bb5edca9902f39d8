#pragma once

#include <string>
#include <vector>

#include "model/model.hpp"

/// A rig with one of its parts made ideal.
namespace feldspar::study {

struct IdealModel {
  std::string part;  ///< as in the power budget
  std::string made;  ///< for people
  model::Model model;
};

/// One model per part that can lose power, with that part made ideal and all else as it is: tuner, lines,
/// stubs and transformers without loss; chokes that let next to nothing through; coils without loss; wires
/// that conduct perfectly; perfect ground (sea water where wires reach into the soil). Measured parts cannot
/// be made ideal and are left out, and so is a choke at the feed point where the braid is the current's only
/// way back.
[[nodiscard]] std::vector<IdealModel> ideal_models(const model::Model& model);

/// The feed without any loss of its own, measured parts excepted.
[[nodiscard]] model::Feed lossless(const model::Feed& feed);

}  // namespace feldspar::study

#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

/// Which keys each table of a model file may have (private to this module).
namespace feldspar::model::detail {

struct Schema;

/// A key that holds a table or a list of tables.
struct Child {
  std::string_view key;
  const Schema* schema;
  bool list = false;
  bool may_be_scalar = false;  ///< material = "copper" or material = { conductivity = … }
};

struct Schema {
  std::string_view title;  ///< "[ground]", for messages
  std::span<const std::string_view> keys;
  std::span<const Child> children = {};

  [[nodiscard]] bool allows(std::string_view key) const;
  [[nodiscard]] const Child* child(std::string_view key) const;
  [[nodiscard]] std::vector<std::string> names() const;
};

extern const Schema kTop, kStudy, kStudyRange, kSample, kParameter, kSite, kGround, kFarSoil, kSoilRow, kWire,
    kMaterial, kInsulation, kCopies, kInsert, kCoil, kAntenna, kPort, kFeed, kPart, kTransformer, kCore,
    kLine, kOutside, kStub, kTuner, kTwoPort, kChoke;

}  // namespace feldspar::model::detail

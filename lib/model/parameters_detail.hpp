#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "model/expression.hpp"
#include "model/family.hpp"
#include "model/model.hpp"
#include "model/node.hpp"

/// The symbol table of one instance (private to this module).
namespace feldspar::model::detail {

/// Parameters as the file declares them, with the values they take in this instance. A default may use other
/// parameters; each is evaluated when it is first asked for. Dimensions follow from the defaults.
class Parameters {
 public:
  /// @param declared  the [parameters] table or null; must outlive this object
  /// @param changed   new values by name
  Parameters(const Node* declared, std::map<std::string, Node> changed);
  Parameters(const Parameters&) = delete;
  Parameters& operator=(const Parameters&) = delete;

  /// Evaluates and checks every parameter, also those that nothing uses.
  [[nodiscard]] std::vector<ParameterValue> values();
  [[nodiscard]] std::vector<ParameterDescription> descriptions();
  /// For expressions; refers to this object.
  [[nodiscard]] const Scope& scope() const { return scope_; }

 private:
  struct Slot {
    const Entry* entry = nullptr;
    enum class State { untouched, running, done } state = State::untouched;
    Value value;
  };
  [[nodiscard]] Value value_of(Slot& slot);
  [[nodiscard]] Value evaluate_slot(const Slot& slot);

  std::vector<Slot> slots_;  // in the file's order
  std::map<std::string, Node> changed_;
  Scope scope_;
  int depth_ = 0;
};

}  // namespace feldspar::model::detail

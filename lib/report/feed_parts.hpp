#pragma once

#include <string>
#include <string_view>

#include "circuit/feed.hpp"
#include "model/model.hpp"
#include "report/terminal.hpp"
#include "results/result.hpp"

/// The parts between antenna and radio in words.
namespace feldspar::report {

/// As `kind` in a model file: "transformer", "line", …
[[nodiscard]] std::string_view part_kind(const circuit::FeedPart& part);

/// Short, for a table: "49:1 transformer", "10 m RG-58".
[[nodiscard]] std::string part_name(const circuit::FeedPart& part);

/// What was assumed of it, as a sentence.
[[nodiscard]] std::string describe_part(const circuit::FeedPart& part);

/// What was assumed of the outside of the line; "" when it is left out without a line.
[[nodiscard]] std::string describe_outside(const model::Model& model);

/// Each part's load, loss, heat, voltage and current; "" without parts.
[[nodiscard]] std::string parts_text(const model::Model& model, const results::FrequencyResult& result,
                                     bool colour);

/// The current on the outside of the line; "" where it is left out.
[[nodiscard]] std::string braid_text(const model::Model& model, const results::FrequencyResult& result);

}  // namespace feldspar::report

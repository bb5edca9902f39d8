#pragma once

#include <span>

#include "model/model.hpp"
#include "results/result.hpp"
#include "study/solve_many.hpp"

/// Is the line part of the antenna? What the radio sees with other things at the radio's end of its outside.
namespace feldspar::study {

/// The same rig with another end of the line's outside.
struct OtherEnd {
  model::LineEnd end = model::LineEnd::open;
  SolveFunction solve;
};

/// Puts results::Touch into every result: its own numbers under `own`, and what each of the others gives at
/// its frequency.
/// @param results  with one port or more; fields are there when `fields` is true
/// @param fields   asks for the current at the radio as well
/// @throws what the others' solves throw
void add_touch(std::span<results::FrequencyResult* const> results, model::LineEnd own,
               std::span<const OtherEnd> others, bool fields, int threads);

}  // namespace feldspar::study

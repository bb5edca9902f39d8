#include "study/touch.hpp"

#include <vector>

namespace feldspar::study {
namespace {

std::optional<results::TouchEnd>& place_of(model::LineEnd end, results::Touch& touch) {
  switch (end) {
    case model::LineEnd::operated:
      return touch.operated;
    case model::LineEnd::earthed:
      return touch.earthed;
    case model::LineEnd::open:
      break;
  }
  return touch.open;
}

results::TouchEnd touch_end(const results::FrequencyResult& result, bool fields) {
  results::TouchEnd end{result.ports.at(0).impedance,
                        result.swr_without_tuner.value_or(result.swr_at_radio),
                        result.impedance_error_relative,
                        result.radio_error_relative,
                        {}};
  if (fields && result.braid) end.current_at_radio = result.braid->at_radio;
  return end;
}

}  // namespace

void add_touch(std::span<results::FrequencyResult* const> results, model::LineEnd own,
               std::span<const OtherEnd> others, bool fields, int threads) {
  std::vector<SolveRequest> requests;
  for (results::FrequencyResult* result : results) {
    requests.push_back({core::Frequency{result->frequency}, fields});
    place_of(own, result->touch.emplace()) = touch_end(*result, fields);
  }
  for (const OtherEnd& other : others) {
    const std::vector<results::FrequencyResult> solved = solve_many(requests, other.solve, threads);
    for (std::size_t i = 0; i < results.size(); ++i)
      place_of(other.end, *results[i]->touch) = touch_end(solved[i], fields);
  }
}

}  // namespace feldspar::study

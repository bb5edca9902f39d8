#include "study/touch.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "antennas.hpp"
#include "core/error.hpp"

using namespace feldspar;
using model::LineEnd;

namespace {

/// A port of which the impedance tells the frequency and the end. Source: made up.
study::SolveFunction fake(double ohm, std::atomic<int>& calls) {
  return [ohm, &calls](core::Frequency f, bool fields) {
    ++calls;
    results::FrequencyResult result;
    result.frequency = f.si;
    result.ports = {{"feed", {ohm, f.si / 1e6}}};
    result.swr_at_radio = 1.0 + ohm / 100.0;
    result.impedance_error_relative = 1e-3;
    result.radio_error_relative = 2e-3;
    if (fields) result.braid = results::BraidCurrent{ohm / 1000.0, 1.0, 1.0, 1.0};
    return result;
  };
}

struct Rig {
  std::atomic<int> calls = 0;
  std::vector<results::FrequencyResult> results;
  std::vector<results::FrequencyResult*> list;

  explicit Rig(bool fields) {
    const study::SolveFunction own = fake(20.0, calls);
    for (const double f : {7.1e6, 14.2e6, 28.5e6}) results.push_back(own(core::Frequency{f}, fields));
    for (results::FrequencyResult& result : results) list.push_back(&result);
    calls = 0;
  }
};

}  // namespace

TEST_CASE("add_touch: every end in its place, its own result not solved again") {
  struct Row {
    LineEnd own;
    std::vector<LineEnd> others;
  };
  const Row rows[] = {{LineEnd::open, {LineEnd::operated, LineEnd::earthed}},
                      {LineEnd::operated, {LineEnd::earthed, LineEnd::open}},
                      {LineEnd::earthed, {LineEnd::open, LineEnd::operated}},
                      {LineEnd::open, {LineEnd::operated}},
                      {LineEnd::open, {}}};
  const auto ohm_of = [](LineEnd end) { return 30.0 + 10.0 * static_cast<int>(end); };
  for (const Row& row : rows) {
    for (const bool fields : {true, false}) {
      Rig rig(fields);
      std::vector<study::OtherEnd> others;
      for (const LineEnd end : row.others) others.push_back({end, fake(ohm_of(end), rig.calls)});
      study::add_touch(rig.list, row.own, others, fields, 2);
      CHECK(rig.calls == static_cast<int>(3 * row.others.size()));
      for (const results::FrequencyResult& result : rig.results) {
        REQUIRE(result.touch);
        const auto& ends = {std::pair{LineEnd::open, result.touch->open},
                            std::pair{LineEnd::operated, result.touch->operated},
                            std::pair{LineEnd::earthed, result.touch->earthed}};
        for (const auto& [end, found] : ends) {
          const bool asked =
              end == row.own || std::find(row.others.begin(), row.others.end(), end) != row.others.end();
          REQUIRE(found.has_value() == asked);
          if (!asked) continue;
          const double ohm = end == row.own ? 20.0 : ohm_of(end);
          CHECK(found->impedance == std::complex<double>(ohm, result.frequency / 1e6));
          CHECK(found->swr_at_radio == 1.0 + ohm / 100.0);
          CHECK(found->impedance_error_relative == 1e-3);
          CHECK(found->radio_error_relative == 2e-3);
          CHECK(found->current_at_radio == (fields ? std::optional(ohm / 1000.0) : std::nullopt));
        }
      }
    }
  }
}

TEST_CASE("add_touch: a tuner does not hide what an end changes") {
  Rig rig(false);
  rig.results[1].swr_without_tuner = 7.0;
  study::add_touch(rig.list, LineEnd::open, {}, false, 1);
  CHECK(rig.results[0].touch->open->swr_at_radio == rig.results[0].swr_at_radio);
  CHECK(rig.results[1].touch->open->swr_at_radio == 7.0);
}

TEST_CASE("add_touch: another end's complaint is passed on") {
  Rig rig(false);
  const study::OtherEnd bad{LineEnd::earthed, [](core::Frequency, bool) -> results::FrequencyResult {
                              throw core::Error(core::ErrorKind::geometry, "no room for a stake");
                            }};
  CHECK_THROWS_AS(study::add_touch(rig.list, LineEnd::open, {&bad, 1}, false, 1), core::Error);
}

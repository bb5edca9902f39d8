#include <doctest/doctest.h>

#include <algorithm>
#include <atomic>
#include <numeric>
#include <set>

#include "core/error.hpp"
#include "io/document.hpp"
#include "io/model_file.hpp"
#include "study/run_sweep.hpp"
#include "study/sweep_case.hpp"
#include "study/sweep_plan.hpp"

using namespace feldspar;
using results::CaseRecord;
using results::CaseStatus;

namespace {

study::SweepPlan plan_of(const std::string& text) {
  return {model::read_study(io::parse_document(text, "study.toml")), [](const std::string& name) {
            return study::NamedFamily{name, io::load_family(name), io::builtin_text(name)};
          }};
}

std::vector<std::size_t> up_to(std::size_t count) {
  std::vector<std::size_t> list(count);
  std::iota(list.begin(), list.end(), std::size_t{0});
  return list;
}

}  // namespace

TEST_CASE("a plan counts its cases, makes each rig and says what it is of") {
  const study::SweepPlan plan = plan_of(R"(
model = "whip-ground-radials"
frequencies = ["7.1 MHz", "14.2 MHz"]
only = "radial_count * radial_length <= 40 m"
[axes]
radial_count = [4, 8]
radial_length = { from = "2 m", to = "8 m", points = 4 }
[fixed]
whip_length = "radial_length + 1 m"
)");
  CHECK(plan.layout().count() == 8);
  CHECK(plan.layout().name(6) == "radial_count 8, radial_length 6 m");
  const model::Model rig = plan.model(5);  // 8 radials of 4 m
  CHECK(rig.structure.wires.size() == 9);
  CHECK(rig.parameters[0].quantity.si == doctest::Approx(5.0));
  CHECK(plan.wanted(rig));
  CHECK_FALSE(plan.wanted(plan.model(6)));
  const std::string identity = plan.identity("feldspar 1");
  for (const char* line :
       {"program: feldspar 1\n", "model whip-ground-radials: ", "fixed whip_length: radial_length + 1 m\n",
        "only: radial_count * radial_length <= 40 m\n", "frequencies, Hz: 7100000 14200000\n",
        "axis radial_length, m: 2 | 4 | 6 | 8\n"})
    CHECK(identity.find(line) != std::string::npos);
}

TEST_CASE("shares hold every case once, and about equally much") {
  const study::SweepPlan plan = plan_of(R"(
model = "whip-ground-radials"
frequencies = ["7.1 MHz"]
[axes]
radial_length = ["2 m", "3 m", "4 m", "5 m", "6 m"]
radial_count = [2, 4, 8, 64]
)");
  for (const std::size_t shares : {1U, 3U, 4U}) {
    const auto parts = study::share_out(plan, shares, 2);
    REQUIRE(parts.size() == shares);
    std::set<std::size_t> seen;
    std::vector<double> load;
    for (const auto& part : parts) {
      CHECK(std::is_sorted(part.begin(), part.end()));
      double sum = 0.0;
      for (const std::size_t index : part) {
        CHECK(seen.insert(index).second);
        sum += study::case_size(plan, index).cost;
      }
      load.push_back(sum);
    }
    CHECK(seen.size() == plan.layout().count());
    CHECK(*std::max_element(load.begin(), load.end()) < 1.2 * *std::min_element(load.begin(), load.end()));
    CHECK(parts == study::share_out(plan, shares, 1));
  }
  CHECK_THROWS_AS((void)plan_of("model = \"dipole\"\n[axes]\nlenght = [1]\n"), core::Error);
}

TEST_CASE("a case's number is the same whenever it runs, and its faults are its own") {
  const study::SweepPlan plan = plan_of(R"(
model = "whip-ground-radials"
frequencies = ["7.1 MHz"]
[axes]
radial_count = [0, 4]
)");
  const CaseRecord failed = study::run_case(plan, 0);
  CHECK(failed.status == CaseStatus::failed);
  CHECK(failed.message.find("nowhere to return") != std::string::npos);
  CHECK(failed.values.empty());
  const CaseRecord done = study::run_case(plan, 1);
  CHECK(done.status == CaseStatus::done);
  CHECK(done.values.size() == plan.layout().values());
  CHECK(study::run_case(plan, 1).values[0] == done.values[0]);
}

TEST_CASE("run_sweep: every case once on any number of threads, one put at a time") {
  for (const int threads : {1, 2, 5}) {
    std::atomic<int> inside{0};
    std::multiset<std::size_t> put;
    int ticks = 0;
    study::SweepHooks hooks;
    hooks.run = [](std::size_t index) {
      return CaseRecord{index, index % 10 == 0 ? CaseStatus::failed : CaseStatus::done, "", {}};
    };
    hooks.put = [&](CaseRecord&& record) {
      CHECK(++inside == 1);
      put.insert(record.index);
      --inside;
    };
    hooks.tick = [&](const study::SweepProgress& progress) {
      CHECK(progress.done == put.size());
      ++ticks;
    };
    hooks.stop = [] { return false; };
    const std::vector<std::size_t> cases = up_to(1000);
    const study::SweepProgress progress = study::run_sweep(cases, threads, hooks);
    CHECK(std::vector<std::size_t>(put.begin(), put.end()) == cases);
    CHECK(progress.done == 1000);
    CHECK(progress.failed == 100);
    CHECK(ticks >= 1);
  }
}

TEST_CASE("run_sweep stops when asked, and when its results find no place") {
  const std::vector<std::size_t> cases = up_to(1000);
  study::SweepHooks hooks;
  std::atomic<int> put{0};
  hooks.run = [](std::size_t index) { return CaseRecord{index, CaseStatus::done, "", {}}; };
  hooks.put = [&](CaseRecord&&) { ++put; };
  hooks.tick = [](const study::SweepProgress&) {};
  hooks.stop = [&] { return put >= 10; };
  const study::SweepProgress progress = study::run_sweep(cases, 2, hooks);
  CHECK(progress.done >= 10);
  CHECK(progress.done <= 12);

  hooks.stop = [] { return false; };
  put = 0;
  hooks.put = [&](CaseRecord&&) {
    if (++put == 5) throw core::Error(core::ErrorKind::storage, "the disk is full");
  };
  CHECK_THROWS_WITH_AS((void)study::run_sweep(cases, 2, hooks), doctest::Contains("the disk is full"),
                       core::Error);
  CHECK(put == 5);
}

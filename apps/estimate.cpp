#include "estimate.hpp"

#include <fmt/format.h>
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numeric>
#include <vector>

#include "progress.hpp"
#include "study/sweep_case.hpp"

namespace feldspar::app {
namespace {

constexpr std::size_t kLookedAt = 100;  // cases whose unknowns are counted

struct Seen {
  std::size_t index = 0;
  study::CaseSize size;
};

/// Cases spread over the study, cheap ones first.
std::vector<Seen> look_at(const study::SweepPlan& plan) {
  const std::size_t count = plan.layout().count();
  const std::size_t looks = std::min(count, kLookedAt);
  std::vector<Seen> seen;
  // a step prime to the number of cases visits all axes alike
  std::size_t step = static_cast<std::size_t>(static_cast<double>(count) * 0.6180339887) | 1U;
  while (std::gcd(step, count) != 1) step += 2;
  for (std::size_t i = 0; i < looks; ++i) {
    const std::size_t index = i * step % count;
    seen.push_back({index, study::case_size(plan, index)});
  }
  std::sort(seen.begin(), seen.end(), [](const Seen& a, const Seen& b) { return a.size.cost < b.size.cost; });
  return seen;
}

double seconds_of(const study::SweepPlan& plan, std::size_t index) {
  const auto start = std::chrono::steady_clock::now();
  (void)study::run_case(plan, index);
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// Peak of the program's memory so far, bytes.
double peak_memory() {
  rusage usage = {};
  ::getrusage(RUSAGE_SELF, &usage);
  return 1024.0 * static_cast<double>(usage.ru_maxrss);
}

/// Mean time of a case, s: three are run, the others lie between them by their cost.
double mean_seconds(const study::SweepPlan& plan, const std::vector<Seen>& seen) {
  const Seen& small = seen.front();
  const Seen& middle = seen[seen.size() / 2];
  const Seen& large = seen.back();
  (void)seconds_of(plan, small.index);  // the first run of anything is slow
  const double times[] = {seconds_of(plan, small.index), seconds_of(plan, middle.index),
                          seconds_of(plan, large.index)};
  double sum = 0.0;
  for (const Seen& one : seen) {
    const bool lower = one.size.cost <= middle.size.cost;
    const double from = (lower ? small : middle).size.cost;
    const double to = (lower ? middle : large).size.cost;
    const double t = to == from ? 0.5 : (one.size.cost - from) / (to - from);
    sum += times[lower ? 0 : 1] * (1.0 - t) + times[lower ? 1 : 2] * t;
  }
  return sum / static_cast<double>(seen.size());
}

std::string size_text(double bytes) {
  if (bytes < 1e6) return fmt::format("{:.0f} kB", std::ceil(bytes / 1e3));
  return bytes < 1e9 ? fmt::format("{:.1f} MB", bytes / 1e6) : fmt::format("{:.1f} GB", bytes / 1e9);
}

}  // namespace

std::string estimate_text(const study::SweepPlan& plan, const CommandLine& line) {
  const results::SweepLayout& layout = plan.layout();
  std::string text = plan.study().title.empty() ? "" : plan.study().title + "\n";
  for (const results::Dimension& dimension : layout.cases)
    for (const results::Coordinate& coordinate : dimension.coordinates)
      text += fmt::format("  {}: {} value{}, {} to {}\n", coordinate.name, coordinate.size(),
                          coordinate.size() == 1 ? "" : "s", coordinate.text(0),
                          coordinate.text(coordinate.size() - 1));
  const std::size_t count = layout.count();
  text += fmt::format("Cases        {}\n", count);
  text += layout.by_bands() ? fmt::format("Frequencies  {} bands, 3 each\n", layout.spectrum[0].size)
                            : fmt::format("Frequencies  {}\n", layout.frequencies.size());
  std::vector<Seen> seen = look_at(plan);
  const std::size_t looked = seen.size();
  std::erase_if(seen, [](const Seen& one) { return !one.size.runs; });
  if (seen.size() < looked)
    text += fmt::format("Left out     about {:.0f} %, by a condition or because they cannot be made\n",
                        100.0 * static_cast<double>(looked - seen.size()) / static_cast<double>(looked));
  if (seen.empty()) return text + "None of the cases that were looked at can be solved.\n";
  const auto [least, most] = std::minmax_element(seen.begin(), seen.end(), [](const Seen& a, const Seen& b) {
    return a.size.unknowns < b.size.unknowns;
  });
  text += fmt::format("Unknowns     {} to {}\n", least->size.unknowns, most->size.unknowns);
  const double share = static_cast<double>(seen.size()) / static_cast<double>(looked);
  const double before = peak_memory();
  const double seconds = mean_seconds(plan, seen) * static_cast<double>(count) * share / line.threads;
  constexpr double kPerCase = 3 * sizeof(std::size_t);  // its place in the journal and in two lists
  constexpr double kFiles = 9e6;  // HDF5 and what it drags in, with its buffers: measured
  const double memory =
      before + line.threads * (peak_memory() - before) + kPerCase * static_cast<double>(count) + kFiles;
  const double values = static_cast<double>(count) * static_cast<double>(layout.values()) * sizeof(double);
  text += fmt::format("Time         about {}, {} case{} at a time (three were tried)\n",
                      duration_text(seconds), line.threads, line.threads == 1 ? "" : "s");
  text += fmt::format("Memory       about {}\n", size_text(memory));
  text += fmt::format("File         at most {}, as much again while it runs\n", size_text(values + 200e3));
  return text;
}

}  // namespace feldspar::app

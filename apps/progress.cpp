#include "progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace feldspar::app {

namespace {

constexpr std::size_t kBar = 24;
constexpr double kBetweenLines = 30.0;  // s, where there is no terminal

std::string rest_text(const study::SweepProgress& progress) {
  if (progress.done == 0 || progress.seconds <= 0.0) return "";
  const double rate = static_cast<double>(progress.done) / progress.seconds;
  const double rest = static_cast<double>(progress.total - progress.done) / rate;
  return fmt::format("  {:.3g}/s  {} left", rate, duration_text(rest));
}

std::string failed_text(const study::SweepProgress& progress) {
  return progress.failed == 0 ? "" : fmt::format("  {} failed", progress.failed);
}

}  // namespace

std::string duration_text(double seconds) {
  const auto whole = static_cast<long long>(std::ceil(std::min(seconds, 1e12)));
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {} s", whole / 60, whole % 60);
  return fmt::format("{} h {} min", whole / 3600, whole % 3600 / 60);
}

ProgressLine::ProgressLine() : terminal_(::isatty(STDERR_FILENO) == 1), next_line_(kBetweenLines) {}

void ProgressLine::show(const study::SweepProgress& progress) {
  if (terminal_) {
    const std::size_t full = progress.total == 0 ? kBar : kBar * progress.done / progress.total;
    fmt::print(stderr, "\r[{}{}] {}/{}{}{}   ", std::string(full, '='), std::string(kBar - full, '.'),
               progress.done, progress.total, rest_text(progress), failed_text(progress));
    std::fflush(stderr);
  } else if (progress.seconds >= next_line_) {
    next_line_ = progress.seconds + kBetweenLines;
    fmt::print(stderr, "feldspar: {} of {} cases{}{}\n", progress.done, progress.total, rest_text(progress),
               failed_text(progress));
  }
}

void ProgressLine::finish(const study::SweepProgress& progress) {
  if (terminal_) {
    show(progress);
    fmt::print(stderr, "\n");
  }
}

}  // namespace feldspar::app

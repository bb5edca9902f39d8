#pragma once

#include <string>

#include "study/run_sweep.hpp"

namespace feldspar::app {

/// How far a sweep is, on standard error: a bar that moves on a terminal, a line now and then elsewhere.
class ProgressLine {
 public:
  ProgressLine();
  void show(const study::SweepProgress& progress);
  /// The last line stays.
  void finish(const study::SweepProgress& progress);

 private:
  bool terminal_;
  double next_line_ = 0.0;  // seconds since the start
};

/// "12 s", "3 min 20 s", "2 h 5 min"
[[nodiscard]] std::string duration_text(double seconds);

}  // namespace feldspar::app

#pragma once

#include <map>
#include <string>
#include <vector>

#include "decision/wish.hpp"
#include "report/terminal.hpp"
#include "results/sweep.hpp"

/// A finished sweep as text and as CSV.
namespace feldspar::report {

/// What is read of a sweep's file.
struct SweepView {
  std::string title;
  std::string about;
  std::string program;
  std::string share;  ///< "2/8"; empty for the whole
  results::SweepLayout layout;
  std::vector<results::CaseStatus> status;             ///< of each case
  std::map<std::string, std::vector<double>> columns;  ///< by quantity; the cases' dimensions first
  struct Failure {
    std::size_t index = 0;
    std::string message;
  };
  std::vector<Failure> failures;  ///< the first few
};

/// Which part of it: an index on an axis, or all of it; the rest of the spectrum's first dimension likewise.
struct SweepSlice {
  std::vector<int> along;             ///< for each dimension of the cases; -1: all
  std::vector<std::size_t> spectrum;  ///< bands or frequencies, rising
};

/// Axes, counts, failures, and from where to where each quantity goes.
[[nodiscard]] std::string sweep_text(const SweepView& view, const TerminalOptions& options = {});

/// One axis from value to value, a table for each band or frequency; of dimensions that the slice leaves
/// open, their first value. Steps are in dB of gain_from_radio; the first one from which on all are below
/// kSmallStep is marked.
/// @param dimension index of the axis' dimension
[[nodiscard]] std::string along_text(const SweepView& view, const SweepSlice& slice, std::size_t dimension,
                                     const TerminalOptions& options = {});
inline constexpr double kSmallStep = 0.5;  // dB

/// The cases that come nearest to a wish, over the slice's bands or frequencies.
[[nodiscard]] std::string best_text(const SweepView& view, const SweepSlice& slice,
                                    const decision::Wish& wish, std::size_t limit,
                                    const TerminalOptions& options = {});

/// Every frequency of every case of the slice, a line each; names end in their units.
[[nodiscard]] std::string sweep_csv(const SweepView& view, const SweepSlice& slice);

}  // namespace feldspar::report

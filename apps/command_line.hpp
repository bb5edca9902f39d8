#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/quantity.hpp"
#include "model/family.hpp"
#include "report/touchstone.hpp"
#include "solver/solve.hpp"

/// What the user typed, checked word by word.
namespace feldspar::app {

enum class Format { text, json, csv, touchstone };

/// One command with its options; those that a command does not have stay at their defaults.
struct CommandLine {
  std::string typed;    ///< all of it, for the record
  std::string command;  ///< "bands", "solve", …; empty when `answer` is set
  std::string answer;   ///< of --help and --version

  std::string model;                         ///< path or built-in name of what the command takes; may be
                                             ///< empty for "models"
  std::vector<std::string> inputs;           ///< of "gather", "report" and "bands"
  std::vector<model::Setting> settings;      ///< of --set, or of --at for "show", in order
  std::vector<core::Frequency> frequencies;  ///< for touchstone in rising order, each once
  std::optional<Format> format;
  std::optional<report::Plane> plane;  ///< with touchstone only
  std::string output;                  ///< file; empty: standard output
  int threads = 1;
  std::optional<int> region;
  std::string bands;  ///< as typed; empty: all
  solver::Accuracy accuracy = solver::Accuracy::normal;
  bool every_frequency = false;  ///< no interpolation between solves
  bool lying_heights = false;
  bool touch = false;  ///< not with lying_heights or touchstone
  bool wide = false;   ///< with text only
  bool explain = false;

  bool dry_run = false;  ///< "sweep": this and the next three
  bool extend = false;
  int share = 1;  ///< from 1 to `shares`
  int shares = 1;
  std::optional<double> distance;      ///< "pattern": m; this and the next four
  std::optional<double> layer;         ///< m
  std::vector<double> elevations_deg;  ///< as asked for
  double sphere_step_deg = 5.0;        ///< divides 90
  bool ascii = false;                  ///< no braille, no blocks

  std::vector<std::string> versus;  ///< "report" and "bands": "name=value" of further rigs; also the next
  bool soil_band = false;
  std::string svg_folder;  ///< "report": of still plots; empty: none

  std::string along;  ///< "show": an axis; this and the next two
  std::string best;
  int limit = 10;
};

/// @throws core::Error{usage} that names what is wrong and, where there is one, the nearest right word
[[nodiscard]] CommandLine parse_command_line(const std::vector<std::string>& arguments);

}  // namespace feldspar::app

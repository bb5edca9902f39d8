#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/model.hpp"
#include "report/sweep.hpp"
#include "results/band_table.hpp"

/// A page to look at: one HTML file that needs no network.
namespace feldspar::report {

/// How far the SWR moves over something that is not known well, on the frequencies of BandTable::curve.
struct Ribbon {
  std::string label;  ///< "dry sand to wet"
  std::vector<double> lowest;
  std::vector<double> highest;
};

/// One rig on the page.
struct Rig {
  std::string label;  ///< in keys of plots: "whip-ground-radials, radial_count=8"
  model::Model model;
  results::BandTable table;  ///< with its curve; middles of bands with their view and their currents
  std::string text;          ///< of the model file
  std::optional<Ribbon> ribbon;
};

struct PageOptions {
  std::string version;       ///< of the program
  std::string command_line;  ///< that made the page
};

/// The page of one rig, or of several for comparison: the first one is the user's own.
/// @param rigs 1 to 8   @throws core::Error{usage} otherwise
[[nodiscard]] std::string page_html(const std::vector<Rig>& rigs, const PageOptions& options);

/// A still plot as a file of its own.
struct Picture {
  std::string name;  ///< "swr", for swr.svg
  std::string svg;
};
/// Every plot of the page.
[[nodiscard]] std::vector<Picture> pictures(const std::vector<Rig>& rigs);

/// The page of a finished sweep: any quantity along any axis, from where to where each goes, the first cases.
[[nodiscard]] std::string sweep_page_html(const SweepView& view, const PageOptions& options);
[[nodiscard]] std::vector<Picture> sweep_pictures(const SweepView& view);

}  // namespace feldspar::report

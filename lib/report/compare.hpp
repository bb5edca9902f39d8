#pragma once

#include <string>
#include <vector>

#include "report/page.hpp"
#include "report/terminal.hpp"

/// Rigs side by side in a terminal.
namespace feldspar::report {

/// Settings that differ, and for each band in whose middle a printed digit differs SWR, share of the sky and
/// gains of every rig. @param rigs at least two, the user's own first
[[nodiscard]] std::string compare_text(const std::vector<Rig>& rigs, const TerminalOptions& options = {});

/// One rig's table over a named soil.
struct SoilTable {
  std::string soil;
  results::BandTable table;
};

/// From where to where SWR, share of the sky and gain go over the soils; the rig's own value beside.
[[nodiscard]] std::string soils_text(const results::BandTable& own, const std::vector<SoilTable>& soils,
                                     const TerminalOptions& options = {});

}  // namespace feldspar::report

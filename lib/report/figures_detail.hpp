#pragma once

#include <string>
#include <vector>

#include "report/page.hpp"
#include "report/svg_detail.hpp"

/// The plots of a page and what they say in words (private to this module).
namespace feldspar::report::detail {

struct Figure {
  std::string name;     ///< data-plot of the page, and of the file
  std::string heading;  ///< "SWR at the radio over frequency"
  std::string words;    ///< its main figures
  Svg svg;
};

[[nodiscard]] Figure swr_figure(const std::vector<Rig>& rigs);
[[nodiscard]] Figure impedance_figure(const std::vector<Rig>& rigs);
[[nodiscard]] Figure smith_figure(const std::vector<Rig>& rigs);
[[nodiscard]] Figure power_figure(const std::vector<Rig>& rigs);
/// @param band  index of a row of the first rig's table, which the others share
[[nodiscard]] Figure elevation_figure(const std::vector<Rig>& rigs, std::size_t band);
[[nodiscard]] Figure azimuth_figure(const std::vector<Rig>& rigs, std::size_t band);
[[nodiscard]] Figure drawing_figure(const std::vector<Rig>& rigs, std::size_t band);

/// The band on which most of the first rig's power reaches the sky.
[[nodiscard]] std::size_t best_band(const std::vector<Rig>& rigs);

/// The row of a band, or null where the table lacks it.
[[nodiscard]] const results::BandRow* row_of(const results::BandTable& table, const std::string& band);

/// Shares of the radio's power, percent, in the order of the page's bars.
struct PowerShares {
  double sky = 0.0;
  double ground = 0.0;
  double wires = 0.0;
  double coils = 0.0;
  double transformer = 0.0;
  double choke = 0.0;
  double line = 0.0;
  double tuner = 0.0;
  double other = 0.0;  ///< stubs, measured parts, an antenna known by its impedance, what is unaccounted for
};
struct SharePart {
  const char* key;
  const char* word;
  double PowerShares::*percent;
};
inline constexpr SharePart kShareParts[] = {{"sky", "sky", &PowerShares::sky},
                                            {"ground", "ground", &PowerShares::ground},
                                            {"wires", "wires", &PowerShares::wires},
                                            {"coils", "coils", &PowerShares::coils},
                                            {"transformer", "transformer", &PowerShares::transformer},
                                            {"choke", "choke", &PowerShares::choke},
                                            {"line", "line", &PowerShares::line},
                                            {"tuner", "tuner", &PowerShares::tuner},
                                            {"other", "other", &PowerShares::other}};
[[nodiscard]] PowerShares power_shares(const results::PowerBudget& power);

}  // namespace feldspar::report::detail

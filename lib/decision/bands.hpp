#pragma once

#include <string>
#include <string_view>
#include <vector>

/// Amateur bands from 160 m to 2 m in the three ITU regions.
namespace feldspar::decision {

/// One band in one region. National rules always override.
struct Band {
  std::string_view name;    ///< "40m"
  double lower = 0.0;       ///< Hz
  double upper = 0.0;       ///< Hz
  std::string_view status;  ///< "primary", "secondary", "shared" (primary with other services), or a sentence
  std::string_view note;    ///< what an operator should know, or empty
  std::string_view source;  ///< where the edges come from
};

/// Mean of the edges, Hz.
[[nodiscard]] double middle(const Band& band) noexcept;

/// All bands of a region in rising frequency: ITU Radio Regulations, Article 5 (edition of 2020 with the 50
/// MHz outcome of the 2019 conference). @param region 1, 2 or 3   @throws core::Error{usage}
[[nodiscard]] const std::vector<Band>& bands(int region);

/// "160m" ... "2m", in rising frequency.
[[nodiscard]] std::vector<std::string> band_names();

/// One band by name; "40m", "40 M" and "40" are the same. @throws core::Error{usage} with the nearest band
/// when the name or the region is not known
[[nodiscard]] const Band& band(std::string_view name, int region);

/// Several by a list, "40m,20m", in rising frequency, each once. @throws core::Error{usage} as band(), and
/// for an empty list
[[nodiscard]] std::vector<Band> select_bands(std::string_view list, int region);

}  // namespace feldspar::decision

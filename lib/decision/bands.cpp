#include "decision/bands.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <limits>
#include <optional>

#include "core/error.hpp"

namespace feldspar::decision {
namespace {

struct Edges {
  double lower;  // kHz
  double upper;  // kHz
  std::string_view status;
};

struct Row {
  std::string_view name;
  double metres;
  std::array<Edges, 3> region;
  std::string_view note;
  std::string_view source;
};

constexpr std::string_view kQuoted = "ITU Radio Regulations, Article 5 (2020), quoted";
constexpr std::string_view kMemory = "ITU Radio Regulations, Article 5 (2020), from memory";

/// The same edges and status in all three regions.
constexpr std::array<Edges, 3> everywhere(double lower, double upper, std::string_view status) {
  return {{{lower, upper, status}, {lower, upper, status}, {lower, upper, status}}};
}

// Source of every row: ITU Radio Regulations, Article 5, edition of 2020 with the 50 MHz outcome of the 2019
// conference (in force 1 January 2021). "quoted" was seen in a reproduction of the Table, "from memory" was
// not re-read.
constexpr Row kRows[] = {
    {"160m",
     160.0,
     {{{1810, 1850, "primary"}, {1800, 2000, "primary to 1850 kHz, shared above"}, {1800, 2000, "shared"}}},
     "Many Region 1 administrations add 1850 to 2000 kHz at low power by footnote.",
     kMemory},
    {"80m",
     80.0,
     {{{3500, 3800, "shared"}, {3500, 4000, "primary to 3750 kHz, shared above"}, {3500, 3900, "shared"}}},
     "",
     kQuoted},
    {"60m", 60.0, everywhere(5351.5, 5366.5, "secondary"),
     "At most 15 W e.i.r.p. (20 or 25 W in parts of Region 2), No. 5.133B.", kMemory},
    {"40m", 40.0, {{{7000, 7200, "primary"}, {7000, 7300, "primary"}, {7000, 7200, "primary"}}}, "", kMemory},
    {"30m", 30.0, everywhere(10100, 10150, "secondary"), "", kMemory},
    {"20m", 20.0, everywhere(14000, 14350, "primary"), "", kMemory},
    {"17m", 17.0, everywhere(18068, 18168, "primary"), "", kMemory},
    {"15m", 15.0, everywhere(21000, 21450, "primary"), "", kMemory},
    {"12m", 12.0, everywhere(24890, 24990, "primary"), "", kMemory},
    {"10m", 10.0, everywhere(28000, 29700, "primary"), "", kMemory},
    {"6m",
     6.0,
     {{{50000, 52000, "secondary"}, {50000, 54000, "primary"}, {50000, 54000, "primary"}}},
     "Region 1: many states have a primary footnote allocation of 50 to 50.5, 52 or 54 MHz; the Russian "
     "Federation 50.08 to 50.28 MHz, secondary.",
     "ITU Radio Regulations, Article 5 (2020), quoted (Region 1), from memory (2 and 3)"},
    {"2m",
     2.0,
     {{{144000, 146000, "primary"}, {144000, 148000, "primary"}, {144000, 148000, "primary"}}},
     "",
     kMemory},
};

std::vector<Band> make(std::size_t region) {
  std::vector<Band> out;
  for (const Row& row : kRows) {
    const Edges& edges = row.region[region];
    out.push_back({row.name, edges.lower * 1e3, edges.upper * 1e3, edges.status, row.note, row.source});
  }
  return out;
}

/// Small letters, no spaces or hyphens, no final "m".
std::string plain(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (std::isspace(static_cast<unsigned char>(c)) || c == '-' || c == '_') continue;
    out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  if (!out.empty() && out.back() == 'm') out.pop_back();
  return out;
}

/// The number a name begins with, letters o and l read as digits; a wavelength in metres.
std::optional<double> metres_of(std::string_view name) {
  std::string digits = plain(name);
  std::replace(digits.begin(), digits.end(), 'o', '0');
  std::replace(digits.begin(), digits.end(), 'l', '1');
  double value = 0.0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (error != std::errc{} || end != digits.data() + digits.size() || !(value > 0.0)) return std::nullopt;
  return value;
}

[[noreturn]] void refuse(std::string_view name) {
  if (const std::optional<double> metres = metres_of(name)) {
    const Row* nearest = nullptr;
    double least = std::log(2.0);  // an octave away is no misprint
    for (const Row& row : kRows) {
      const double distance = std::abs(std::log(*metres / row.metres));
      if (distance < least) {
        least = distance;
        nearest = &row;
      }
    }
    if (nearest != nullptr) {
      throw core::Error(core::ErrorKind::usage,
                        fmt::format("there is no band '{}'; did you mean '{}'?", name, nearest->name));
    }
  }
  throw core::Error(core::ErrorKind::usage,
                    fmt::format("there is no band '{}'; known are {}", name, fmt::join(band_names(), ", ")));
}

}  // namespace

double middle(const Band& band) noexcept {
  return 0.5 * (band.lower + band.upper);
}

const std::vector<Band>& bands(int region) {
  static const std::array<std::vector<Band>, 3> all = {make(0), make(1), make(2)};
  if (region < 1 || region > 3) {
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("there is no ITU region {}; 1 is Europe, Africa and northern Asia, 2 the Americas, "
                    "3 the rest of Asia and Oceania",
                    region));
  }
  return all[static_cast<std::size_t>(region - 1)];
}

std::vector<std::string> band_names() {
  std::vector<std::string> names;
  for (const Row& row : kRows) names.emplace_back(row.name);
  return names;
}

const Band& band(std::string_view name, int region) {
  const std::vector<Band>& all = bands(region);
  const std::string wanted = plain(name);
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const Band& b) { return plain(b.name) == wanted; });
  if (found == all.end()) refuse(name);
  return *found;
}

std::vector<Band> select_bands(std::string_view list, int region) {
  std::vector<Band> chosen;
  while (true) {
    const std::size_t comma = list.find(',');
    const Band& one = band(list.substr(0, comma), region);
    const bool known =
        std::any_of(chosen.begin(), chosen.end(), [&](const Band& b) { return b.name == one.name; });
    if (!known) chosen.push_back(one);
    if (comma == std::string_view::npos) break;
    list.remove_prefix(comma + 1);
  }
  std::sort(chosen.begin(), chosen.end(), [](const Band& a, const Band& b) { return a.lower < b.lower; });
  return chosen;
}

}  // namespace feldspar::decision

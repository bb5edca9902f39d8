#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/constants.hpp"
#include "report/bands_cells.hpp"
#include "report/figures_detail.hpp"
#include "report/number.hpp"

namespace feldspar::report::detail {
namespace {

constexpr double kToRadians = core::kPi / 180.0;
constexpr double kSpan = 30.0;  // dB from the rim to the middle

/// The largest gain of all rigs in a band; empty when none radiates.
std::optional<double> rim_of(const std::vector<Rig>& rigs, const std::string& band) {
  std::optional<double> rim;
  for (const Rig& rig : rigs) {
    const results::BandRow* row = row_of(rig.table, band);
    if (row && row->at_middle.view) rim = std::max(rim.value_or(-1e300), row->at_middle.view->gain_dbi);
  }
  return rim;
}

double share(double gain_dbi, double rim) {
  return std::clamp((gain_dbi - rim + kSpan) / kSpan, 0.0, 1.0);
}

/// Circles every 10 dB, the rim with its gain.
void draw_rings(Svg& svg, Spot middle, double radius, bool half) {
  for (const double part : {1.0 / 3.0, 2.0 / 3.0, 1.0}) {
    std::vector<Spot> ring;
    for (int i = 0; i <= (half ? 90 : 180); ++i) {
      const double angle = 2.0 * i * kToRadians;
      ring.push_back(
          {middle.x + radius * part * std::cos(angle), middle.y - radius * part * std::sin(angle)});
    }
    svg.curve(ring, part == 1.0 ? "axis" : "grid");
  }
}

std::string gains_by_elevation(const results::FrequencyResult& result) {
  std::vector<std::string> parts;
  for (const results::GainAt& at : result.gain_at_elevation)
    parts.push_back(
        fmt::format("{} at {:.0f}", format_gain(at.gain_dbi, power_error(result)), at.elevation_deg));
  return fmt::format("{} deg", fmt::join(parts, ", "));
}

}  // namespace

Figure elevation_figure(const std::vector<Rig>& rigs, std::size_t band) {
  constexpr double kWidth = 560.0;
  constexpr double kHeight = 320.0;
  const std::string& name = rigs.front().table.bands[band].name;
  Figure figure{"elevation", "Elevation, " + name, "", Svg(kWidth, kHeight)};
  const std::optional<double> rim = rim_of(rigs, name);
  const bool whole = rigs.front().model.ground.kind == media::GroundKind::free_space;
  const Spot middle{0.5 * kWidth, whole ? 0.5 * kHeight : kHeight - 34.0};
  const double radius = whole ? 0.5 * kHeight - 24.0 : 250.0;
  draw_rings(figure.svg, middle, radius, !whole);
  for (const double angle : {0.0, 30.0, 60.0, 90.0, 120.0, 150.0, 180.0})
    figure.svg.line(
        middle,
        {middle.x + radius * std::cos(angle * kToRadians), middle.y - radius * std::sin(angle * kToRadians)},
        "grid");
  for (const double angle : {30.0, 60.0})
    figure.svg.text({middle.x + (radius + 6.0) * std::cos(angle * kToRadians),
                     middle.y - (radius + 6.0) * std::sin(angle * kToRadians)},
                    fmt::format("{:g}°", angle));
  for (std::size_t i = rigs.size(); i-- > 0;) {
    const results::BandRow* row = row_of(rigs[i].table, name);
    if (!row || !row->at_middle.view || !rim) continue;
    const results::PatternView& view = *row->at_middle.view;
    std::vector<Spot> spots;
    for (std::size_t k = 0; k < view.elevation_cut.gains.size(); ++k) {
      const double angle = view.elevation_cut.angle_deg[k] * kToRadians;
      const double r = radius * share(view.elevation_cut.gains[k].total_dbi, *rim);
      spots.push_back({middle.x + r * std::cos(angle), middle.y - r * std::sin(angle)});
    }
    figure.svg.curve(spots, fmt::format("curve rig-{}", i % 8));
  }
  if (rim)
    figure.svg.text({middle.x + 6.0, middle.y - radius - 6.0},
                    fmt::format("rim {} dBi", format_signed(*rim, 0.1)));
  for (const Rig& rig : rigs) {
    const results::BandRow* row = row_of(rig.table, name);
    if (!row || !row->at_middle.view) continue;
    const results::PatternView& view = *row->at_middle.view;
    if (&rig == &rigs.front()) {
      figure.svg.text({kWidth - 4.0, kHeight - 8.0}, format_bearing(view.bearing_deg) + "°", "end");
      figure.svg.text({4.0, kHeight - 8.0}, format_bearing(view.bearing_deg + 180.0) + "°");
    }
    figure.words += (figure.words.empty() ? "" : " ") +
                    fmt::format("{} on {}: {} dBi at most, {} deg up; by elevation {}.", rig.label, name,
                                format_gain(view.gain_dbi, power_error(row->at_middle)),
                                format_number(view.elevation_deg, 1.0), gains_by_elevation(row->at_middle));
  }
  if (figure.words.empty()) figure.words = "No pattern: what radiates is not known.";
  return figure;
}

Figure azimuth_figure(const std::vector<Rig>& rigs, std::size_t band) {
  constexpr double kSize = 420.0;
  const std::string& name = rigs.front().table.bands[band].name;
  Figure figure{"azimuth", "Bearings, " + name, "", Svg(kSize, kSize)};
  const Spot middle{0.5 * kSize, 0.5 * kSize};
  const double radius = 0.5 * kSize - 26.0;
  const auto place = [&](double bearing, double r) {
    return Spot{middle.x + r * std::sin(bearing * kToRadians), middle.y - r * std::cos(bearing * kToRadians)};
  };
  draw_rings(figure.svg, middle, radius, false);
  constexpr const char* kLetters[] = {"N", "E", "S", "W"};
  for (int i = 0; i < 12; ++i) figure.svg.line(middle, place(30.0 * i, radius), "grid");
  for (int i = 0; i < 4; ++i) {
    const Spot at = place(90.0 * i, radius + 14.0);
    figure.svg.text({at.x, at.y + 5.0}, kLetters[i], "middle", "letter");
  }
  double rim = -std::numeric_limits<double>::infinity();
  for (const Rig& rig : rigs)
    if (const results::BandRow* row = row_of(rig.table, name); row && row->at_middle.view)
      rim = std::max(rim, row->at_middle.view->level.gain_dbi);
  for (std::size_t i = rigs.size(); i-- > 0;) {
    const results::BandRow* row = row_of(rigs[i].table, name);
    if (!row || !row->at_middle.view) continue;
    const results::Cut& cut = row->at_middle.view->level.cut;
    std::vector<Spot> spots;
    for (std::size_t k = 0; k < cut.gains.size(); ++k)
      spots.push_back(place(cut.angle_deg[k], radius * share(cut.gains[k].total_dbi, rim)));
    spots.push_back(spots.front());
    figure.svg.curve(spots, fmt::format("curve rig-{}", i % 8));
  }
  for (const Rig& rig : rigs) {
    const results::BandRow* row = row_of(rig.table, name);
    if (!row || !row->at_middle.view) continue;
    const results::PatternView::Level& level = row->at_middle.view->level;
    figure.words +=
        (figure.words.empty() ? "" : " ") +
        (level.round
             ? fmt::format("{} on {}, {} deg up: {} dBi, all round alike within 1.5 dB.", rig.label, name,
                           format_number(level.elevation_deg, 1.0),
                           format_gain(level.gain_dbi, power_error(row->at_middle)))
             : fmt::format("{} on {}, {} deg up: {} dBi toward {} deg, weakest toward {} deg, {} dB "
                           "down.",
                           rig.label, name, format_number(level.elevation_deg, 1.0),
                           format_gain(level.gain_dbi, power_error(row->at_middle)),
                           format_bearing(level.bearing_deg), format_bearing(level.null_bearing_deg),
                           level.null_depth_db > 40.0 ? ">40" : format_number(level.null_depth_db, 0.1)));
  }
  if (figure.words.empty()) figure.words = "No pattern: what radiates is not known.";
  return figure;
}

}  // namespace feldspar::report::detail

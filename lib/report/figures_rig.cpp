#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/constants.hpp"
#include "decision/advice.hpp"
#include "report/bands_cells.hpp"
#include "report/figures_detail.hpp"
#include "report/number.hpp"

namespace feldspar::report::detail {
namespace {

using geometry::Vec3;

/// Wires from the south-west and a little above, in true proportion: x to the right, y to the back, z up.
class Camera {
 public:
  Camera(const std::vector<Rig>& rigs, double width, double height) {
    Vec3 low = Vec3::Constant(1e300);
    Vec3 high = Vec3::Constant(-1e300);
    for (const Rig& rig : rigs)
      for (const geometry::Wire& wire : rig.model.structure.wires)
        for (const Vec3& point : wire.path) {
          low = low.cwiseMin(point);
          high = high.cwiseMax(point);
        }
    low.z() = std::min(low.z(), 0.0);
    Spot least{1e300, 1e300};
    Spot most{-1e300, -1e300};
    for (int corner = 0; corner < 8; ++corner) {
      const Spot at = turned({corner & 1 ? high.x() : low.x(), corner & 2 ? high.y() : low.y(),
                              corner & 4 ? high.z() : low.z()});
      least = {std::min(least.x, at.x), std::min(least.y, at.y)};
      most = {std::max(most.x, at.x), std::max(most.y, at.y)};
    }
    constexpr double kMargin = 40.0;
    scale_ = std::min((width - 2.0 * kMargin) / std::max(most.x - least.x, 0.1),
                      (height - 2.0 * kMargin) / std::max(most.y - least.y, 0.1));
    shift_ = {0.5 * width - 0.5 * scale_ * (least.x + most.x),
              0.5 * height - 0.5 * scale_ * (least.y + most.y)};
    low_ = low;
    high_ = high;
  }

  [[nodiscard]] Spot operator()(const Vec3& point) const {
    const Spot at = turned(point);
    return {shift_.x + scale_ * at.x, shift_.y + scale_ * at.y};
  }
  [[nodiscard]] const Vec3& low() const { return low_; }
  [[nodiscard]] const Vec3& high() const { return high_; }

 private:
  static Spot turned(const Vec3& p) {
    constexpr double kTurn = 30.0 * core::kPi / 180.0;
    constexpr double kTilt = 20.0 * core::kPi / 180.0;
    const double across = p.x() * std::cos(kTurn) - p.y() * std::sin(kTurn);
    const double away = p.x() * std::sin(kTurn) + p.y() * std::cos(kTurn);
    return {across, -(p.z() * std::cos(kTilt) + away * std::sin(kTilt))};
  }

  double scale_ = 1.0;
  Spot shift_;
  Vec3 low_;
  Vec3 high_;
};

void draw_ground(Svg& svg, const Camera& camera) {
  const Vec3 low = camera.low();
  const Vec3 high = camera.high();
  const double margin = 0.6;  // m
  const auto corner = [&](double x, double y) { return camera({x, y, 0.0}); };
  svg.area({corner(low.x() - margin, low.y() - margin), corner(high.x() + margin, low.y() - margin),
            corner(high.x() + margin, high.y() + margin), corner(low.x() - margin, high.y() + margin)},
           "band");
}

/// One metre along the ground, at the front corner.
void draw_scale(Svg& svg, const Camera& camera) {
  const Vec3 from(camera.low().x() - 0.6, camera.low().y() - 0.6, 0.0);
  const Spot a = camera(from);
  const Spot b = camera(from + Vec3(1.0, 0.0, 0.0));
  svg.line({a.x, a.y + 14.0}, {b.x, b.y + 14.0}, "zero", 2.0);
  svg.text({a.x, a.y + 30.0}, "1 m");
}

/// Relative to the largest on any wire of the rig in that band; 1 without currents.
std::vector<double> thickness_along(const results::FrequencyResult& result, const std::string& wire) {
  double largest = 0.0;
  for (const results::WireCurrent& each : result.currents)
    for (const std::complex<double>& current : each.current) largest = std::max(largest, std::abs(current));
  for (const results::WireCurrent& each : result.currents) {
    if (each.wire != wire || !(largest > 0.0)) continue;
    std::vector<double> shares;
    for (const std::complex<double>& current : each.current) shares.push_back(std::abs(current) / largest);
    return shares;
  }
  return {};
}

void draw_wire(Svg& svg, const Camera& camera, const geometry::Wire& wire, const std::vector<double>& shares,
               const std::string& css) {
  for (std::size_t i = 0; i + 1 < wire.path.size(); ++i)
    svg.line(camera(wire.path[i]), camera(wire.path[i + 1]), "wire " + css, 1.2);
  const double length = geometry::length(wire);
  for (std::size_t i = 0; i + 1 < shares.size(); ++i) {
    const double step = length / static_cast<double>(shares.size() - 1);
    const double from = step * static_cast<double>(i);
    svg.line(camera(geometry::point_at(wire, from)), camera(geometry::point_at(wire, from + step)),
             "wire " + css, 1.2 + 7.0 * 0.5 * (shares[i] + shares[i + 1]));
  }
}

void draw_heights(Svg& svg, const Camera& camera, const Rig& rig) {
  std::vector<Spot> taken;
  for (const geometry::Wire& wire : rig.model.structure.wires)
    for (const Vec3& point : wire.path) {
      if (point.z() < 0.5) continue;
      const Spot at = camera(point);
      const bool crowded = std::any_of(taken.begin(), taken.end(), [&](const Spot& other) {
        return std::abs(other.x - at.x) < 48.0 && std::abs(other.y - at.y) < 18.0;
      });
      if (crowded) continue;
      taken.push_back(at);
      svg.text({at.x + 8.0, at.y - 6.0}, fmt::format("{:.1f} m", point.z()));
    }
}

}  // namespace

const results::BandRow* row_of(const results::BandTable& table, const std::string& band) {
  for (const results::BandRow& row : table.bands)
    if (row.name == band) return &row;
  return nullptr;
}

std::size_t best_band(const std::vector<Rig>& rigs) {
  const std::vector<results::BandRow>& rows = rigs.front().table.bands;
  const auto best = std::max_element(rows.begin(), rows.end(), [](const auto& a, const auto& b) {
    return sky_share(a.at_middle) < sky_share(b.at_middle);
  });
  return static_cast<std::size_t>(best - rows.begin());
}

PowerShares power_shares(const results::PowerBudget& power) {
  PowerShares shares;
  if (!(power.radio > 0.0)) return shares;
  const double scale = 100.0 / power.radio;
  shares.sky = scale * power.sky;
  shares.ground = scale * power.ground;
  shares.wires = scale * power.wires;
  shares.coils = scale * power.coils;
  shares.transformer = scale * power.transformer;
  shares.choke = scale * power.choke;
  shares.line = scale * (power.line_matched + power.line_extra);
  shares.tuner = scale * power.tuner;
  shares.other = scale * (power.stub + power.two_port + power.antenna + power.unaccounted);
  return shares;
}

Figure power_figure(const std::vector<Rig>& rigs) {
  constexpr double kWidth = 720.0;
  constexpr double kLeft = 56.0;
  constexpr double kBar = 16.0;
  constexpr double kKey = 44.0;  // above the bars
  const std::vector<results::BandRow>& rows = rigs.front().table.bands;
  const double group = kBar * static_cast<double>(rigs.size()) + 8.0;
  const double height = kKey + group * static_cast<double>(rows.size()) + 26.0;
  Figure figure{"power", "Where the radio's power goes, percent", "", Svg(kWidth, height)};
  const Axis x{0.0, 100.0, kLeft, kWidth - 12.0};
  for (const double percent : {0.0, 25.0, 50.0, 75.0, 100.0}) {
    figure.svg.line({x(percent), kKey - 4.0}, {x(percent), height - 22.0}, "grid");
    figure.svg.text({x(percent), height - 6.0}, fmt::format("{:g} %", percent),
                    percent < 100.0 ? "middle" : "end");
  }
  double at = kLeft;
  for (const SharePart& part : kShareParts) {
    const bool used = std::any_of(rigs.begin(), rigs.end(), [&](const Rig& rig) {
      return std::any_of(rig.table.bands.begin(), rig.table.bands.end(), [&](const results::BandRow& row) {
        return power_shares(row.at_middle.power).*part.percent >= 0.05;
      });
    });
    if (!used) continue;
    figure.svg.box({at, 8.0}, 12.0, 12.0, fmt::format("part-{}", part.key));
    figure.svg.text({at + 17.0, 19.0}, part.word);
    at += 30.0 + 8.0 * static_cast<double>(std::string_view(part.word).size());
  }
  for (std::size_t b = 0; b < rows.size(); ++b) {
    const double top = kKey + group * static_cast<double>(b);
    figure.svg.text({kLeft - 8.0, top + 0.5 * (group - 8.0) + 5.0}, rows[b].name, "end");
    for (std::size_t i = 0; i < rigs.size(); ++i) {
      const results::BandRow* row = row_of(rigs[i].table, rows[b].name);
      if (!row) continue;
      const PowerShares shares = power_shares(row->at_middle.power);
      double from = 0.0;
      for (const SharePart& part : kShareParts) {
        const double percent = std::clamp(shares.*part.percent, 0.0, 100.0 - from);
        if (percent < 0.01) continue;
        figure.svg.box({x(from), top + kBar * static_cast<double>(i)}, x(from + percent) - x(from),
                       kBar - 2.0, fmt::format("part-{}", part.key));
        from += percent;
      }
    }
  }
  for (const Rig& rig : rigs) {
    std::vector<std::string> parts;
    for (const results::BandRow& row : rig.table.bands)
      parts.push_back(
          fmt::format("{} {} %", row.name,
                      format_percent(sky_share(row.at_middle),
                                     share_error(sky_share(row.at_middle), power_error(row.at_middle)))));
    figure.words += (figure.words.empty() ? "" : " ") +
                    fmt::format("{}: of the radio's power reaches the {}: {}.", rig.label,
                                rig.model.antenna ? "antenna" : "sky", fmt::join(parts, ", "));
  }
  return figure;
}

Figure drawing_figure(const std::vector<Rig>& rigs, std::size_t band) {
  constexpr double kWidth = 720.0;
  constexpr double kHeight = 440.0;
  Figure figure{"drawing", "The rig", "", Svg(kWidth, kHeight)};
  const std::string& name = rigs.front().table.bands[band].name;
  const Camera camera(rigs, kWidth, kHeight);
  if (rigs.front().model.ground.kind != media::GroundKind::free_space) draw_ground(figure.svg, camera);
  for (std::size_t i = rigs.size(); i-- > 0;) {
    const std::string css = fmt::format("rig-{}", i % 8);
    const results::BandRow* row = row_of(rigs[i].table, name);
    for (const geometry::Wire& wire : rigs[i].model.structure.wires)
      draw_wire(figure.svg, camera, wire,
                row ? thickness_along(row->at_middle, wire.name) : std::vector<double>(), css);
    if (row && row->at_middle.feed_point) {
      const results::FeedPointVoltage& port = *row->at_middle.feed_point;
      figure.svg.circle(camera({port.x, port.y, port.z}), 6.0, "dot " + css);
    }
  }
  draw_heights(figure.svg, camera, rigs.front());
  draw_scale(figure.svg, camera);
  figure.words = fmt::format(
      "True proportion; the thickness of a wire is the size of the current on {}, the round mark the feed "
      "point.",
      name);
  return figure;
}

}  // namespace feldspar::report::detail

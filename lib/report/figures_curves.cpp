#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/bands_words.hpp"
#include "report/figures_detail.hpp"
#include "report/number.hpp"

namespace feldspar::report::detail {
namespace {

using results::CurvePoint;

constexpr double kWidth = 720.0;
constexpr double kHeight = 360.0;
constexpr double kLeft = 52.0;
constexpr double kRight = 12.0;
constexpr double kTop = 26.0;
constexpr double kBottom = 34.0;

std::string colour(std::size_t rig) {
  return fmt::format("rig-{}", rig % 8);
}

Axis frequency_axis(const Rig& rig) {
  return {rig.table.sweep_lower, rig.table.sweep_upper, kLeft, kWidth - kRight, true};
}

/// Bands as strips with their names, and megahertz along the foot.
void draw_frequencies(Svg& svg, const Rig& rig, const Axis& x) {
  for (const results::BandRow& row : rig.table.bands) {
    if (row.upper > x.to || row.lower < x.from) continue;
    const double left = x(row.lower);
    const double width = std::max(x(row.upper) - left, 2.0);
    svg.box({left, kTop}, width, kHeight - kTop - kBottom, "band");
    svg.text({left + 0.5 * width, kTop - 8.0}, row.name, "middle");
  }
  for (const double mhz : {2.0, 3.0, 5.0, 7.0, 10.0, 14.0, 20.0, 30.0, 50.0}) {
    if (mhz * 1e6 < x.from || mhz * 1e6 > x.to) continue;
    svg.line({x(mhz * 1e6), kHeight - kBottom}, {x(mhz * 1e6), kHeight - kBottom + 5.0}, "axis");
    svg.text({x(mhz * 1e6), kHeight - kBottom + 20.0}, fmt::format("{:g}", mhz), "middle");
  }
  svg.text({kWidth - kRight, kHeight - 2.0}, "MHz", "end");
  svg.line({kLeft, kHeight - kBottom}, {kWidth - kRight, kHeight - kBottom}, "axis");
}

std::vector<Spot> spots_of(const Rig& rig, const Axis& x, const Axis& y, double (*value)(const CurvePoint&)) {
  std::vector<Spot> spots;
  const double low = std::min(y.from, y.to);
  const double high = std::max(y.from, y.to);
  for (const CurvePoint& point : rig.table.curve)
    if (point.frequency >= x.from && point.frequency <= x.to)
      spots.push_back({x(point.frequency), y(std::clamp(value(point), low, high))});
  return spots;
}

void draw_ribbon(Svg& svg, const Rig& rig, const std::string& css, const Axis& x, const Axis& y) {
  if (!rig.ribbon) return;
  std::vector<Spot> outline;
  std::vector<Spot> back;
  for (std::size_t i = 0; i < rig.table.curve.size(); ++i) {
    const double f = rig.table.curve[i].frequency;
    if (f < x.from || f > x.to) continue;
    outline.push_back({x(f), y(std::clamp(rig.ribbon->highest[i], y.from, y.to))});
    back.push_back({x(f), y(std::clamp(rig.ribbon->lowest[i], y.from, y.to))});
  }
  outline.insert(outline.end(), back.rbegin(), back.rend());
  svg.area(outline, "ribbon " + css);
}

/// A scale that is even up to `knee` and logarithmic beyond, so that thousands of ohms leave room for tens.
double squeezed(double ohms) {
  constexpr double kKnee = 50.0;  // ohm
  return std::asinh(ohms / kKnee);
}

std::string lowest_words(const Rig& rig) {
  std::vector<std::string> parts;
  for (const results::BandRow& row : rig.table.bands)
    parts.push_back(
        fmt::format("{} {}", row.name, format_swr(row.lowest.swr, row.at_middle.radio_error_relative)));
  return fmt::format("lowest SWR inside each band: {}", fmt::join(parts, ", "));
}

}  // namespace

Figure swr_figure(const std::vector<Rig>& rigs) {
  Figure figure{"swr", "SWR at the radio", "", Svg(kWidth, kHeight)};
  const Axis x = frequency_axis(rigs.front());
  const Axis y{1.0, 20.0, kHeight - kBottom, kTop, true};
  draw_frequencies(figure.svg, rigs.front(), x);
  for (const double swr : {1.0, 1.5, 2.0, 3.0, 5.0, 10.0, 20.0}) {
    const bool limit = swr == 2.0 || swr == 3.0 || swr == 10.0;
    figure.svg.line({kLeft, y(swr)}, {kWidth - kRight, y(swr)}, limit ? "axis" : "grid");
    figure.svg.text({kLeft - 8.0, y(swr) + 5.0}, fmt::format("{:g}", swr), "end");
  }
  for (std::size_t i = 0; i < rigs.size(); ++i) draw_ribbon(figure.svg, rigs[i], colour(i), x, y);
  for (std::size_t i = rigs.size(); i-- > 0;)
    figure.svg.curve(spots_of(rigs[i], x, y, [](const CurvePoint& p) { return p.swr_at_radio; }),
                     "curve " + colour(i));
  for (const Rig& rig : rigs)
    figure.words += (figure.words.empty() ? "" : " ") +
                    fmt::format("{}: {}. {}", rig.label, lowest_words(rig), dips_sentence(rig.table));
  if (rigs.front().ribbon)
    figure.words += fmt::format(" The shade is what it does over soils from {}.", rigs.front().ribbon->label);
  return figure;
}

Figure impedance_figure(const std::vector<Rig>& rigs) {
  Figure figure{"impedance", "R and X at the feed point", "", Svg(kWidth, kHeight)};
  const Axis x = frequency_axis(rigs.front());
  const Axis squeeze{squeezed(-5000.0), squeezed(5000.0), kHeight - kBottom, kTop};
  draw_frequencies(figure.svg, rigs.front(), x);
  for (const double ohms : {-5000.0, -1000.0, -200.0, -50.0, 0.0, 50.0, 200.0, 1000.0, 5000.0}) {
    const double at = squeeze(squeezed(ohms));
    figure.svg.line({kLeft, at}, {kWidth - kRight, at}, ohms == 0.0 ? "zero" : "grid");
    figure.svg.text({kLeft - 8.0, at + 5.0}, fmt::format("{:g}", ohms), "end");
  }
  figure.svg.text({2.0, kTop - 8.0}, "ohm");
  for (std::size_t i = rigs.size(); i-- > 0;) {
    figure.svg.curve(
        spots_of(rigs[i], x, squeeze, [](const CurvePoint& p) { return squeezed(p.port_impedance.real()); }),
        "curve " + colour(2 * i));
    figure.svg.curve(
        spots_of(rigs[i], x, squeeze, [](const CurvePoint& p) { return squeezed(p.port_impedance.imag()); }),
        "curve " + colour(2 * i + 1));
  }
  for (const Rig& rig : rigs) {
    std::vector<std::string> parts;
    for (const results::BandRow& row : rig.table.bands)
      parts.push_back(fmt::format("{} {}", row.name, format_impedance(row.at_middle.ports.at(0).impedance)));
    figure.words += (figure.words.empty() ? "" : " ") +
                    fmt::format("{}, ohm in the middle of each band: {}.", rig.label, fmt::join(parts, ", "));
  }
  figure.words += " The scale is even up to 50 ohm and squeezed beyond.";
  return figure;
}

Figure smith_figure(const std::vector<Rig>& rigs) {
  constexpr double kSize = 420.0;
  Figure figure{"smith", "Smith chart at the radio", "", Svg(kSize, kSize)};
  const Spot middle{0.5 * kSize, 0.5 * kSize};
  const double radius = 0.5 * kSize - 10.0;
  const auto place = [&](std::complex<double> gamma) {
    return Spot{middle.x + radius * gamma.real(), middle.y - radius * gamma.imag()};
  };
  // Circles of constant r: middle r / (r + 1), radius 1 / (r + 1).
  for (const double r : {0.0, 0.2, 0.5, 1.0, 2.0, 5.0})
    figure.svg.circle(place({r / (r + 1.0), 0.0}), radius / (r + 1.0), r == 0.0 ? "axis" : "grid");
  // Arcs of constant x, as curves of r from 0 on.
  for (const double reactance : {0.2, 0.5, 1.0, 2.0, 5.0})
    for (const double sign : {1.0, -1.0}) {
      std::vector<Spot> arc;
      for (int i = 0; i <= 40; ++i) {
        const double r = std::tan(0.5 * 3.14159 * i / 41.0);
        const std::complex<double> z(r, sign * reactance);
        arc.push_back(place((z - 1.0) / (z + 1.0)));
      }
      figure.svg.curve(arc, "grid");
    }
  figure.svg.line(place({-1.0, 0.0}), place({1.0, 0.0}), "axis");
  for (std::size_t i = rigs.size(); i-- > 0;) {
    const double reference = rigs[i].model.feed.reference_resistance;
    std::vector<Spot> spots;
    for (const CurvePoint& point : rigs[i].table.curve) {
      const bool in_band = std::any_of(
          rigs[i].table.bands.begin(), rigs[i].table.bands.end(),
          [&](const auto& row) { return point.frequency >= row.lower && point.frequency <= row.upper; });
      const std::complex<double> z = point.radio_impedance / reference;
      // Between the bands it would be a tangle; a gap ends a stretch.
      spots.push_back(in_band ? place((z - 1.0) / (z + 1.0)) : Spot{NAN, NAN});
    }
    figure.svg.curve(spots, "curve " + colour(i));
  }
  for (const Rig& rig : rigs)
    figure.words +=
        (figure.words.empty() ? "" : " ") +
        fmt::format(
            "{}: impedance at the radio, {:g} ohm in the middle; the still picture shows the bands only.",
            rig.label, rig.model.feed.reference_resistance);
  return figure;
}

}  // namespace feldspar::report::detail

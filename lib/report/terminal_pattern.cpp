#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "core/constants.hpp"
#include "decision/hop.hpp"
#include "report/assumptions.hpp"
#include "report/bands_cells.hpp"
#include "report/number.hpp"
#include "report/pattern.hpp"
#include "report/text_table.hpp"

namespace feldspar::report {
namespace {

using results::Cut;
using results::FrequencyResult;
using results::Gains;
using results::PatternView;

constexpr double kToDegrees = 180.0 / core::kPi;
constexpr double kSpan = 30.0;  // dB from the middle of a picture to its rim

/// Gain at an angle of a cut that has it; -infinity otherwise.
Gains gains_at(const Cut& cut, double angle_deg) {
  for (std::size_t i = 0; i < cut.angle_deg.size(); ++i)
    if (std::abs(cut.angle_deg[i] - angle_deg) < 1e-6) return cut.gains[i];
  constexpr double kNone = -std::numeric_limits<double>::infinity();
  return {kNone, kNone, kNone};
}

double radius(double gain_dbi, double maximum_dbi) {
  return std::clamp((gain_dbi - maximum_dbi + kSpan) / kSpan, 0.0, 1.0);
}

/// The cut through the maximum seen from the side: a half disc over ground, a whole one in free space.
std::string side_picture(const PatternView& view, const PictureOptions& options) {
  const bool whole = view.elevation_cut.angle_deg.front() < 0.0;
  const int columns = std::clamp(options.width - 24, 20, 64);
  const int half_rows = columns / 4;  // a character is about twice as high as wide
  Canvas canvas(columns, whole ? 2 * half_rows : half_rows + 1, options.strokes);
  const double reach = 0.5 * canvas.width() - 1.0;
  const double down = canvas.dots_down_per_across();
  const double middle_x = 0.5 * (canvas.width() - 1);
  const double middle_y = whole ? 0.5 * (canvas.height() - 1) : reach * down;
  const auto place = [&](double angle_deg, double share) {
    const double angle = angle_deg / kToDegrees;
    return std::pair{middle_x + reach * share * std::cos(angle),
                     middle_y - reach * down * share * std::sin(angle)};
  };
  for (double angle = view.elevation_cut.angle_deg.front(); angle <= 180.0; angle += 5.0) {
    const auto [x, y] = place(angle, 1.0);
    canvas.dot(x, y);
  }
  if (!whole) canvas.line(0.0, middle_y, canvas.width() - 1.0, middle_y);
  const Cut& cut = view.elevation_cut;
  for (std::size_t i = 0; i + 1 < cut.angle_deg.size(); ++i) {
    const auto [x0, y0] = place(cut.angle_deg[i], radius(cut.gains[i].total_dbi, view.gain_dbi));
    const auto [x1, y1] = place(cut.angle_deg[i + 1], radius(cut.gains[i + 1].total_dbi, view.gain_dbi));
    canvas.line(x0, y0, x1, y1);
  }
  return canvas.render() + fmt::format("{:<{}}{:>{}}\n",
                                       fmt::format("{} deg", format_bearing(view.bearing_deg + 180.0)),
                                       columns / 2, fmt::format("{} deg", format_bearing(view.bearing_deg)),
                                       columns - columns / 2);
}

std::string kilometres(double metres) {
  const double km = metres / 1e3;
  return format_number(km, km < 99.5 ? 1.0 : 10.0);
}

std::string elevation_table(const PatternView& view, const FrequencyResult& result, double layer,
                            bool colour) {
  const double error = power_error(result);
  TextTable table({{"elevation\ndeg", Align::right},
                   {fmt::format("toward {}\ndBi", format_bearing(view.bearing_deg)), Align::decimal},
                   {"vertical\ndBi", Align::decimal},
                   {"horizontal\ndBi", Align::decimal},
                   {fmt::format("behind, {}\ndBi", format_bearing(view.bearing_deg + 180.0)), Align::decimal},
                   {"hop\nkm", Align::right}});
  for (int elevation = 0; elevation <= 90; elevation += 10) {
    const Gains front = gains_at(view.elevation_cut, elevation);
    const Gains back = gains_at(view.elevation_cut, 180.0 - elevation);
    table.add_row({{std::to_string(elevation)},
                   {format_gain(front.total_dbi, error)},
                   {format_gain(front.vertical_dbi, error)},
                   {format_gain(front.horizontal_dbi, error)},
                   {format_gain(back.total_dbi, error)},
                   {elevation == 90 ? "0" : kilometres(decision::hop_distance(elevation, layer))}});
  }
  return table.render(colour);
}

std::string bearing_table(const PatternView& view, const FrequencyResult& result, bool colour) {
  const double error = power_error(result);
  TextTable table({{"bearing\ndeg", Align::right},
                   {"total\ndBi", Align::decimal},
                   {"vertical\ndBi", Align::decimal},
                   {"horizontal\ndBi", Align::decimal}});
  for (int bearing = 0; bearing < 360; bearing += 30) {
    const Gains gains = gains_at(view.level.cut, bearing);
    table.add_row({{std::to_string(bearing)},
                   {format_gain(gains.total_dbi, error)},
                   {format_gain(gains.vertical_dbi, error)},
                   {format_gain(gains.horizontal_dbi, error)}});
  }
  return table.render(colour);
}

std::string degrees(double value) {
  return format_number(value, 1.0);
}

/// "front to back 0.3 dB, ..." each as a sentence of its own.
std::string figures(const PatternView& view) {
  std::string text;
  if (view.elevation_beam) {
    const results::Beam& beam = *view.elevation_beam;
    const bool cut = beam.from_deg <= 0.0 && view.elevation_cut.angle_deg.front() >= 0.0;
    text +=
        wrap(fmt::format("Half power (-3 dB) upright: {} to {} deg{}, {} deg wide{}.", degrees(beam.from_deg),
                         degrees(beam.to_deg), beam.to_deg > 90.0 ? " (beyond 90: behind)" : "",
                         degrees(beam.to_deg - beam.from_deg), cut ? ", cut off by the horizon" : ""));
  } else {
    text += wrap("Upright it never falls by half (-3 dB).");
  }
  return text;
}

std::string level_figures(const results::PatternView::Level& level) {
  if (level.round) return wrap("All round alike within 1.5 dB: which way it is turned does not matter.");
  std::string text;
  if (level.beam)
    text += wrap(fmt::format("Half power (-3 dB): from {} to {} deg, {} deg wide.",
                             format_bearing(level.beam->from_deg), format_bearing(level.beam->to_deg),
                             degrees(level.beam->to_deg - level.beam->from_deg)));
  else
    text += wrap("It never falls by half (-3 dB).");
  constexpr double kIgnore = 2.0;  // dB, common practice (no source): nobody hears it
  const auto decibels = [](double value) { return value > 40.0 ? ">40" : format_number(value, 0.1); };
  return text +
         wrap(fmt::format("Front to back {} dB, front to side {} dB; weakest toward {} deg, {} dB down{}.",
                          decibels(level.front_to_back_db), decibels(level.front_to_side_db),
                          format_bearing(level.null_bearing_deg), decibels(level.null_depth_db),
                          level.null_depth_db < kIgnore ? ": too little to matter" : ""));
}

std::string hop_text(const PatternReport& report, const FrequencyResult& result) {
  if (!report.hop) return "";
  const Hop& hop = *report.hop;
  const std::string way =
      fmt::format("{} km by one hop at {} km", kilometres(hop.distance), kilometres(report.layer));
  if (!hop.elevation_deg) return wrap(way + ": beyond the horizon; it takes two hops or a higher layer.");
  const double gain = result.view->at_elevations.back().gain_dbi;
  return wrap(fmt::format("{} leaves at {} deg: {} dBi there, {} dB below the maximum.", way,
                          degrees(*hop.elevation_deg), format_gain(gain, power_error(result)),
                          format_number(result.view->gain_dbi - gain, 0.1)));
}

std::string headline(const FrequencyResult& result) {
  const PatternView& view = *result.view;
  return fmt::format("{}: {} dBi at most, {} deg up, {}", format_frequency(result.frequency),
                     format_gain(view.gain_dbi, power_error(result)), degrees(view.elevation_deg),
                     view.elevation_deg > 85.0 ? std::string("overhead")
                     : view.level.round        ? std::string("all round")
                                        : fmt::format("toward {} deg", format_bearing(view.bearing_deg)));
}

std::string one_frequency(const FrequencyResult& result, const PatternReport& report,
                          const PictureOptions& options) {
  const bool colour = options.colour;
  if (!result.view)
    return '\n' +
           paint(format_frequency(result.frequency) + ": nothing is radiated", Colour::strong, colour) + '\n';
  const PatternView& view = *result.view;
  std::string text = '\n' + paint(headline(result), Colour::strong, colour) + '\n';
  text += hop_text(report, result);
  for (const results::GainAtElevation& at : view.at_elevations) {
    const bool is_hop = report.hop && report.hop->elevation_deg && &at == &view.at_elevations.back();
    if (!is_hop)
      text += wrap(fmt::format("At {:.4g} deg: {} dBi.", at.elevation_deg,
                               format_gain(at.gain_dbi, power_error(result))));
  }
  text += "\nFrom the side, through the maximum (rim: the maximum; middle: 30 dB below it)\n";
  text += side_picture(view, options);
  text += '\n' + elevation_table(view, result, report.layer, colour);
  text += figures(view);
  text += fmt::format("\nOver the bearings, {} deg up\n", degrees(view.level.elevation_deg));
  if (!view.level.round) text += bearing_table(view, result, colour);
  text += level_figures(view.level);
  for (const core::Warning& warning : result.warnings)
    text += paint(wrap("Warning: " + warning.text), Colour::poor, colour);
  return text;
}

}  // namespace

std::string pattern_text(const model::Model& model, const PatternReport& report,
                         const PictureOptions& options) {
  std::string text = paint(model.title, Colour::strong, options.colour) + '\n';
  const std::string parameters = describe_parameters(model);
  text += wrap(model.name + (parameters.empty() ? "" : ": " + parameters));
  text += wrap(describe_ground(model.ground));
  if (model.far_soil) text += wrap(describe_far_soil(*model.far_soil));
  for (const FrequencyResult& result : report.results) text += one_frequency(result, report, options);
  text += '\n' + paint("What was assumed", Colour::strong, options.colour) + '\n';
  text += wrap(
      "- Gain after IEEE Std 145: losses of wires and ground count, those of line and mismatch do "
      "not. Bearings are true.");
  text +=
      wrap(fmt::format("- Hop: one reflection by a mirror {} km up over a round earth. Whether the "
                       "ionosphere reflects, and at what height, it decides itself.",
                       kilometres(report.layer)));
  text += wrap("- Flat, open country: no hills, houses or trees.");
  return text + '\n' + caution();
}

}  // namespace feldspar::report

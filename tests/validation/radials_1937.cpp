#include "radials_1937.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>

namespace feldspar::validation {

namespace {

constexpr double kShort = 0.137;
constexpr double kMiddle = 0.274;
constexpr double kLong = 0.411;
constexpr double kFoot = 0.3048;
constexpr double kMast = 20.8;            // m
constexpr double kMastRadius = 31.75e-3;  // 2.5 inch tubing
constexpr double kDepth = 0.15;
constexpr double kWireRadius = 1.63e-3;
constexpr double kPerfect = 194.9039;  // mV/m, quarter-wave monopole on a perfect plane (derived)

Measured table(int count, double wavelengths, double field) {
  return {Reading::mast_75_degrees, count, wavelengths, field};
}
Measured shortfall(int count, double db) {
  return {Reading::quarter_wave_shortfall, count, kLong, kPerfect * std::pow(10.0, -db / 20.0)};
}
Measured quarter(int count, double wavelengths, double field) {
  return {Reading::quarter_wave_field, count, wavelengths, field};
}

}  // namespace

std::span<const Measured> measured_1937() {
  static const std::array<Measured, 23> figures = {
      table(2, kShort, 115),    table(2, kMiddle, 115),    table(2, kLong, 119),      table(15, kShort, 144),
      table(15, kMiddle, 152),  table(15, kLong, 157),     table(30, kShort, 145),    table(30, kMiddle, 161),
      table(30, kLong, 170),    table(60, kShort, 150),    table(60, kMiddle, 176),   table(60, kLong, 181),
      table(113, kShort, 150),  table(113, kMiddle, 179),  table(113, kLong, 190),    shortfall(15, 2.0),
      shortfall(30, 1.3),       shortfall(60, 0.7),        shortfall(113, 0.2),       quarter(60, kLong, 185),
      quarter(113, kLong, 192), quarter(60, kMiddle, 175), quarter(113, kMiddle, 180)};
  return figures;
}

RadialScreen screen_of(const Measured& figure) {
  const double quarter_wave = 0.25 * core::wavelength(kRadialsFrequency);
  const double feet = figure.wavelengths < 0.2 ? 45.0 : figure.wavelengths < 0.35 ? 90.0 : 135.0;
  return {figure.reading == Reading::mast_75_degrees ? kMast : quarter_wave,
          kMastRadius,
          -kDepth,
          figure.count,
          feet * kFoot,
          kWireRadius,
          kMastRadius};
}

double Compared::error_db() const {
  return 20.0 * std::log10(field / measured.field);
}

std::vector<Compared> compare_1937(const media::Ground& soil, int most, bool launching) {
  const Site site(soil, kRadialsFrequency, 135.0 * kFoot, 0.25 * core::wavelength(kRadialsFrequency), kDepth);
  std::map<std::tuple<double, int, double>, Compared> known;  // several figures show the same antenna
  std::vector<Compared> result;
  for (const Measured& figure : measured_1937()) {
    if (figure.count > most) continue;
    const RadialScreen screen = screen_of(figure);
    const auto key = std::make_tuple(screen.mast_height, screen.count, screen.radial_length);
    auto found = known.find(key);
    if (found == known.end()) {
      const Site::Answer answer = site.solve(screen);
      Compared c;
      c.field = 1e3 * unattenuated_field(answer, kRadialsFrequency, kInput, kMile);
      c.launching = launching ? launching_factor(answer, soil, kRadialsFrequency) : 1.0;
      c.impedance = answer.impedance;
      found = known.emplace(key, c).first;
    }
    result.push_back(found->second);
    result.back().measured = figure;
  }
  return result;
}

}  // namespace feldspar::validation

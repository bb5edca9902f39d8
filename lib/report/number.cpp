#include "report/number.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace feldspar::report {

double digit_unit(double error, double finest) {
  if (!(error > 0.0) || !std::isfinite(error)) return finest;
  constexpr double kRounding = 1e-9;  // log10 of an exact power of ten must not land just above it
  return std::max(finest, std::pow(10.0, std::ceil(std::log10(error / 3.0) - kRounding)));
}

std::string format_number(double value, double unit) {
  if (!std::isfinite(value)) return "-";
  const int decimals = std::max(0, static_cast<int>(std::lround(-std::log10(unit))));
  double rounded = std::round(value / unit) * unit;
  if (rounded == 0.0) rounded = 0.0;  // no minus sign
  std::string text = fmt::format("{:.{}f}", rounded, decimals);
  if (text.find_first_of("123456789") == std::string::npos && text.front() == '-') text.erase(0, 1);
  return text;
}

std::string format_signed(double value, double unit) {
  const std::string text = format_number(value, unit);
  return text.front() == '-' ? text : "+" + text;
}

std::string format_swr(double swr, double impedance_error_relative) {
  constexpr double kHighest = 99.0;
  if (!(swr <= kHighest)) return ">99";
  const double finest = swr < 2.0 ? 0.01 : swr < 10.0 ? 0.1 : 1.0;
  return format_number(swr, digit_unit(0.5 * impedance_error_relative * (swr * swr + 1.0), finest));
}

std::string format_gain(double gain_dbi, double power_error_relative) {
  constexpr double kNull = -40.0;
  constexpr double kDbPerRelative = 4.342944819;  // 10 / ln 10
  if (gain_dbi < kNull) return "<-40";
  return format_signed(gain_dbi, digit_unit(kDbPerRelative * power_error_relative, 0.1));
}

double share_error(double share, double relative) {
  const double inside = std::clamp(share, 0.0, 1.0);  // extra line loss may be negative
  return relative * inside * (1.0 - inside);
}

std::string format_error(double relative) {
  constexpr double kLeast = 0.1;
  if (!std::isfinite(relative)) return "unknown";
  if (100.0 * relative < kLeast) return "below 0.1 %";
  const double percent = 100.0 * relative;
  return format_number(percent, std::pow(10.0, std::floor(std::log10(percent)))) + " %";
}

std::string format_percent(double fraction, double error) {
  const double percent = 100.0 * fraction;
  if (percent > 0.0 && percent < 0.05) return "<0.1";
  const double finest = std::abs(percent) < 9.95 ? 0.1 : 1.0;
  return format_number(percent, digit_unit(100.0 * error, finest));
}

std::string format_frequency(double frequency) {
  std::string text = fmt::format("{:.6f}", frequency / 1e6);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.push_back('0');
  return text + " MHz";
}

std::string format_digits(double value, int digits) {
  if (value == 0.0 || !std::isfinite(value)) return format_number(value, 1.0);
  return format_number(value, std::pow(10.0, std::floor(std::log10(std::abs(value))) - (digits - 1)));
}

std::string format_tenths(double value) {
  return format_number(value, std::abs(value) < 9.95 ? 0.1 : 1.0);
}

std::string format_ratio(double ratio, int digits) {
  const double step = ratio >= 1.0 ? ratio : 1.0 / ratio;
  const double unit = std::pow(10.0, std::floor(std::log10(step)) - (digits - 1));
  const double rounded = std::round(step / unit) * unit;
  return ratio >= 1.0 ? fmt::format("{:g}:1", rounded) : fmt::format("1:{:g}", rounded);
}

std::string format_impedance(std::complex<double> z) {
  const auto unit = [](double value) {
    return std::pow(10.0, std::floor(std::log10(std::max(std::abs(value), 1.0))) - 2.0);
  };
  const double finest = std::max(unit(z.real()), unit(z.imag()));
  return fmt::format("{} {} j{}", format_number(z.real(), finest), z.imag() < 0.0 ? "-" : "+",
                     format_number(std::abs(z.imag()), finest));
}

std::string format_bearing(double degrees) {
  const double rounded = std::round(degrees);
  return fmt::format("{:.0f}", rounded - 360.0 * std::floor(rounded / 360.0));
}

namespace {

struct FeetAndInches {
  double feet = 0.0;
  double inches = 0.0;
};

FeetAndInches feet_and_inches(double length) {
  constexpr double kInch = 0.0254;
  const double inches = std::round(length / kInch);
  const double feet = std::floor(inches / 12.0);
  return {feet, inches - 12.0 * feet};
}

std::string metres(double length) {
  return length < 0.0995 ? fmt::format("{:.3g} mm", length * 1e3) : fmt::format("{:.2f} m", length);
}

}  // namespace

std::string format_length(double length) {
  if (length < 0.0) return '-' + format_length(-length);
  const auto [feet, inches] = feet_and_inches(length);
  if (feet == 0.0 && inches == 0.0) return metres(length);
  if (feet == 0.0) return fmt::format("{} ({:.0f} in)", metres(length), inches);
  if (inches == 0.0) return fmt::format("{} ({:.0f} ft)", metres(length), feet);
  return fmt::format("{} ({:.0f} ft {:.0f} in)", metres(length), feet, inches);
}

std::string format_length_briefly(double length) {
  if (length < 0.0) return '-' + format_length_briefly(-length);
  const auto [feet, inches] = feet_and_inches(length);
  if (feet == 0.0 && inches == 0.0) return metres(length);
  if (feet == 0.0) return fmt::format("{} ({:.0f}\")", metres(length), inches);
  return fmt::format("{} ({:.0f}'{:.0f}\")", metres(length), feet, inches);
}

}  // namespace feldspar::report

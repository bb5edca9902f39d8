#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "circuit/touchstone.hpp"
#include "core/constants.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {

namespace {

using Numbers = TouchstoneFormat::Numbers;
using Unit = TouchstoneFormat::Unit;

struct UnitWord {
  const char* word;
  double hertz;
};

UnitWord unit_word(Unit unit) {
  switch (unit) {
    case Unit::hz:
      return {"Hz", 1.0};
    case Unit::khz:
      return {"kHz", 1e3};
    case Unit::ghz:
      return {"GHz", 1e9};
    case Unit::mhz:
      break;
  }
  return {"MHz", 1e6};
}

const char* numbers_word(Numbers numbers) {
  switch (numbers) {
    case Numbers::magnitude_angle:
      return "MA";
    case Numbers::decibel_angle:
      return "DB";
    case Numbers::real_imaginary:
      break;
  }
  return "RI";
}

/// As many digits as it takes to read the same double.
std::string pair(Complex value, Numbers numbers) {
  if (numbers == Numbers::real_imaginary) return fmt::format(" {} {}", value.real(), value.imag());
  const double magnitude = std::abs(value);
  const double degrees = std::arg(value) * 180.0 / core::kPi;
  if (numbers == Numbers::magnitude_angle) return fmt::format(" {} {}", magnitude, degrees);
  constexpr double kNothing = -400.0;  // dB: zero has no decibels
  return fmt::format(" {} {}", magnitude > 0.0 ? std::max(20.0 * std::log10(magnitude), kNothing) : kNothing,
                     degrees);
}

void check(const NetworkData& data, const TouchstoneFormat& format) {
  const auto need = [](bool holds, const char* message) {
    if (!holds) throw core::Error(core::ErrorKind::usage, message);
  };
  need(format.version == 1 || format.version == 2, "a Touchstone file is of version 1 or 2");
  need(data.ports == 1 || data.ports == 2, "only one- and two-ports are written as Touchstone files");
  need(!data.s.empty(), "a Touchstone file needs at least one frequency");
  need(data.s.size() == data.frequencies.size(), "a Touchstone file needs one row for each frequency");
  for (int i = 0; i < data.ports; ++i) {
    const double reference = data.reference[static_cast<std::size_t>(i)];
    need(reference > 0.0 && std::isfinite(reference), "a reference resistance must be above zero");
  }
  double last = -1.0;
  for (const double f : data.frequencies) {
    need(f >= 0.0 && std::isfinite(f), "the frequencies of a Touchstone file must be zero or above");
    need(f > last, "the frequencies of a Touchstone file must rise");
    last = f;
  }
  for (const auto& row : data.s)
    for (const Complex& value : row)
      need(std::isfinite(value.real()) && std::isfinite(value.imag()),
           "a Touchstone file needs finite values");
}

/// A comment may hold anything but the end of its line; other bytes than printable ASCII become '?'.
std::string comment(const std::string& text) {
  std::string clean = text;
  std::replace_if(
      clean.begin(), clean.end(), [](char c) { return c < 0x20 || c >= 0x7f; }, '?');
  return "! " + clean + '\n';
}

std::string head(const NetworkData& data, const TouchstoneFormat& format) {
  const bool two = data.ports == 2;
  const bool differ = two && data.reference[0] != data.reference[1];
  std::string text;
  if (format.version == 2) text += "[Version] 2.0\n";
  for (const std::string& line : format.comments) text += comment(line);
  text += fmt::format("# {} S {} R {}", unit_word(format.unit).word, numbers_word(format.numbers),
                      data.reference[0]);
  if (format.version == 1) return text + (differ ? fmt::format(" {}\n", data.reference[1]) : "\n");
  text += fmt::format("\n[Number of Ports] {}\n", data.ports);
  if (two) text += "[Two-Port Data Order] 21_12\n";
  text += fmt::format("[Number of Frequencies] {}\n[Reference] {}", data.s.size(), data.reference[0]);
  if (two) text += fmt::format(" {}", data.reference[1]);
  return text + "\n[Network Data]\n";
}

}  // namespace

std::string write_touchstone(const NetworkData& data, const TouchstoneFormat& format) {
  check(data, format);
  std::string text = head(data, format);
  const double hertz = unit_word(format.unit).hertz;
  for (std::size_t i = 0; i < data.s.size(); ++i) {
    text += fmt::format("{}", data.frequencies[i] / hertz);
    const auto& s = data.s[i];
    text += pair(s[0], format.numbers);
    if (data.ports == 2)
      text += pair(s[2], format.numbers) + pair(s[1], format.numbers) + pair(s[3], format.numbers);
    text += '\n';
  }
  if (format.version == 2) text += "[End]\n";
  return text;
}

}  // namespace feldspar::circuit

#pragma once

#include <doctest/doctest.h>

#include <sstream>
#include <string>

/// What every text for a terminal must be.
namespace text_checks {

/// ASCII, no colour, no blanks at line ends, 80 columns unless `wide`.
inline void check_shape(const std::string& text, bool wide = false) {
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) {
    CAPTURE(line);
    if (!wide) CHECK(line.size() <= 80);
    CHECK((line.empty() || line.back() != ' '));
    CHECK(line.find('\033') == std::string::npos);
    for (const char c : line) CHECK(static_cast<unsigned char>(c) < 128);
  }
  CHECK(text.back() == '\n');
}

/// Whether a text says something, wherever its lines are broken.
inline bool has(const std::string& text, const std::string& part) {
  std::istringstream words(text);
  std::string line;
  for (std::string word; words >> word;) line += (line.empty() ? "" : " ") + word;
  const bool found = line.find(part) != std::string::npos;
  if (!found) MESSAGE("missing: " << part << "\nin:\n" << text);
  return found;
}

}  // namespace text_checks

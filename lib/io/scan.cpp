#include <fmt/format.h>

#include "io/scan_detail.hpp"

namespace feldspar::io::detail {

namespace {

constexpr int kMostDots = 20;

struct Scanner {
  std::string_view text;
  std::size_t at = 0;
  int line = 1;
  std::size_t line_start = 0;

  [[nodiscard]] bool done() const { return at >= text.size(); }
  void step() {
    if (text[at] == '\n') {
      ++line;
      line_start = at + 1;
    }
    ++at;
  }
  [[nodiscard]] ScanProblem problem(std::string message) const {
    return {line, static_cast<int>(at - line_start) + 1, std::move(message)};
  }

  /// Stands on a quote; leaves behind its string. An unfinished string ends at the end of line or text: the
  /// parser will complain.
  void skip_string() {
    const char quote = text[at];
    const std::string three(3, quote);
    const bool long_string = text.substr(at, 3) == three;
    for (int i = 0; i < (long_string ? 3 : 1); ++i) step();
    while (!done()) {
      if (quote == '"' && text[at] == '\\') {
        step();
        if (!done()) step();
      } else if (long_string && text.substr(at, 3) == three) {
        for (int i = 0; i < 3; ++i) step();
        while (!done() && text[at] == quote) step();  // up to two quotes may stand before the closing ones
        return;
      } else if (!long_string && (text[at] == quote || text[at] == '\n')) {
        step();
        return;
      } else {
        step();
      }
    }
  }
};

}  // namespace

std::optional<ScanProblem> scan(std::string_view text) {
  Scanner scanner{text};
  int dots = 0;  // in the key that is being read
  while (!scanner.done()) {
    const char c = text[scanner.at];
    if (c == '"' || c == '\'') {
      scanner.skip_string();
      continue;
    }
    if (c == '#') {
      while (!scanner.done() && text[scanner.at] != '\n') scanner.step();
      continue;
    }
    if (static_cast<unsigned char>(c) >= 0x80)
      return scanner.problem(
          "a letter outside ASCII may stand only in quotes or in a comment; put the key or value in quotes");
    if (c == '.') ++dots;
    if (c == '\n' || c == ',' || c == '=' || c == '[' || c == ']' || c == '{' || c == '}') dots = 0;
    if (dots > kMostDots)
      return scanner.problem(fmt::format("a key may have at most {} parts", kMostDots + 1));
    scanner.step();
  }
  return std::nullopt;
}

}  // namespace feldspar::io::detail

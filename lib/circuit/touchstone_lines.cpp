#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdlib>

#include "circuit/touchstone_lines_detail.hpp"
#include "core/error.hpp"

namespace feldspar::circuit::detail {

namespace {

constexpr std::string_view kBlank = " \t\f\v\r";
constexpr char kEndOfFile = '\x1a';  // closes texts of old systems

bool printable(char c) {
  return c >= 0x20 && c < 0x7f;
}

/// No text holds other control characters than these.
bool of_text(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return byte >= 0x20 ? byte != 0x7f : c == '\n' || kBlank.find(c) != std::string_view::npos;
}

void add_words(std::string_view text, std::size_t at, std::vector<Word>& words) {
  while ((at = text.find_first_not_of(kBlank, at)) != std::string_view::npos) {
    const std::size_t end = std::min(text.find_first_of(kBlank, at), text.size());
    words.push_back({text.substr(at, end - at), static_cast<int>(at) + 1});
    at = end;
  }
}

std::string single_spaced(std::string_view text) {
  std::vector<Word> words;
  add_words(text, 0, words);
  std::string joined;
  for (const Word& word : words) joined += (joined.empty() ? "" : " ") + small_letters(word.text);
  return joined;
}

}  // namespace

void Complaints::fail(int line, int column, const std::string& message) const {
  throw core::Error(core::ErrorKind::model, message, {file_, line, column, {}});
}

void Complaints::fail(const TextLine& line, const std::string& message) const {
  fail(line.number, line.column, message);
}

std::string small_letters(std::string_view text) {
  std::string small(text);
  for (char& c : small)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return small;
}

std::string shown(std::string_view word) {
  constexpr std::size_t kLongest = 40;
  std::string text(word.substr(0, kLongest));
  std::replace_if(
      text.begin(), text.end(), [](char c) { return !printable(c); }, '?');
  return word.size() > kLongest ? text + "..." : text;
}

Lines::Lines(std::string_view text, const Complaints& complaints) : rest_(text), complaints_(complaints) {
  if (rest_.substr(0, 3) == "\xEF\xBB\xBF") rest_.remove_prefix(3);
  while (!rest_.empty() && rest_.back() == kEndOfFile) rest_.remove_suffix(1);
  int line = 1;
  std::size_t start = 0;
  for (std::size_t i = 0; i < rest_.size(); ++i) {
    if (!of_text(rest_[i]))
      complaints.fail(
          line, static_cast<int>(i - start) + 1,
          fmt::format("expected a Touchstone file, which is plain text, found the byte {}; is this "
                      "the right file?",
                      static_cast<unsigned char>(rest_[i])));
    const bool lone_return = rest_[i] == '\r' && (i + 1 == rest_.size() || rest_[i + 1] != '\n');
    if (rest_[i] != '\n' && !lone_return) continue;
    ++line;
    start = i + 1;
  }
}

bool Lines::take_text(std::string_view& text) {
  if (rest_.empty()) return false;
  const std::size_t end = std::min(rest_.find_first_of("\r\n"), rest_.size());
  text = rest_.substr(0, end);
  rest_.remove_prefix(end);
  rest_.remove_prefix(rest_.substr(0, 2) == "\r\n" ? 2 : std::min<std::size_t>(1, rest_.size()));
  ++number_;
  return true;
}

TextLine Lines::split(std::string_view text) const {
  TextLine line;
  line.number = number_;
  text = text.substr(0, text.find('!'));
  std::size_t at = text.find_first_not_of(kBlank);
  if (at == std::string_view::npos) return line;
  line.column = static_cast<int>(at) + 1;
  if (text[at] == '#') {
    line.option = true;
    ++at;
  } else if (text[at] == '[') {
    const std::size_t close = text.find(']', at);
    if (close == std::string_view::npos) complaints_.fail(line, "expected a ] that closes the keyword");
    line.keyword = single_spaced(text.substr(at + 1, close - at - 1));
    if (line.keyword.empty()) complaints_.fail(line, "expected a keyword between [ and ]");
    at = close + 1;
  }
  add_words(text, at, line.words);
  return line;
}

const TextLine* Lines::peek() {
  std::string_view text;
  while (!current_) {
    if (!take_text(text)) return nullptr;
    TextLine line = split(text);
    if (line.column > 0) current_ = std::move(line);
  }
  return &*current_;
}

bool Lines::skip_past(std::string_view keyword) {
  current_.reset();
  std::string_view text;
  while (take_text(text)) {
    const std::size_t open = text.find_first_not_of(kBlank);
    if (open == std::string_view::npos || text[open] != '[') continue;
    const std::size_t close = text.find(']', open);
    if (close != std::string_view::npos && single_spaced(text.substr(open + 1, close - open - 1)) == keyword)
      return true;
  }
  return false;
}

double number(const TextLine& line, const Word& word, const Complaints& complaints) {
  std::string_view text = word.text;
  if (text.front() == '+') text.remove_prefix(1);
  double value = 0.0;
  const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool whole = stop == text.data() + text.size() && !text.empty();
  if (whole && error == std::errc::result_out_of_range)
    value = std::strtod(std::string(text).c_str(), nullptr);
  if (!whole || (error != std::errc{} && error != std::errc::result_out_of_range)) {
    const bool comma = text.find(',') != std::string_view::npos;
    complaints.fail(line.number, word.column,
                    fmt::format("expected a number, found '{}'{}", shown(word.text),
                                comma ? "; write a point for the decimals and spaces between numbers" : ""));
  }
  if (!std::isfinite(value))
    complaints.fail(line.number, word.column,
                    fmt::format("expected a finite number, found '{}'; leave out rows that were not measured",
                                shown(word.text)));
  return value;
}

}  // namespace feldspar::circuit::detail

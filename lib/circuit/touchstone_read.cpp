#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "circuit/touchstone.hpp"
#include "circuit/touchstone_lines_detail.hpp"
#include "circuit/touchstone_parameters_detail.hpp"
#include "core/constants.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {

namespace {

using detail::Complaints;
using detail::Lines;
using detail::Matrix;
using detail::normalised;
using detail::number;
using detail::scattering_of;
using detail::shown;
using detail::small_letters;
using detail::TextLine;
using detail::Word;

constexpr std::string_view kOptionExample = "'# MHz S RI R 50'";
constexpr std::string_view kOnlyTwo = "only one- and two-ports are read";

enum class Order { port_2_first, port_1_first };  // 21 before 12, or 12 before 21
enum class Shape { full, lower, upper };

/// What stands above the rows.
struct Head {
  bool version_2 = false;
  int ports = 0;
  double unit = 1e9;  // Hz
  char parameter = 's';
  std::string numbers = "ma";
  std::array<double, 2> reference{50.0, 50.0};
  std::optional<Order> order;
  Shape shape = Shape::full;
  std::optional<int> rows;
  std::optional<int> noise_rows;

  [[nodiscard]] int pairs() const { return ports == 1 ? 1 : shape == Shape::full ? 4 : 3; }
  [[nodiscard]] int values() const { return 1 + 2 * pairs(); }
};

std::string megahertz(double f) {
  return fmt::format("{:.10g} MHz", f / 1e6);
}

class Reader {
 public:
  Reader(std::string_view text, const std::string& file, int wanted)
      : complaints_(file), lines_(text, complaints_), wanted_(wanted) {
    data_.name = file;
  }

  [[nodiscard]] NetworkData read() {
    const TextLine* first = lines_.peek();
    if (!first)
      complaints_.fail(1, 1, "expected Touchstone data, found nothing; the file is empty or all comments");
    if (first->keyword == "version")
      read_version_2();
    else
      read_version_1();
    data_.ports = head_.ports;
    data_.reference = head_.reference;
    return std::move(data_);
  }

 private:
  // What both versions share.
  void read_option_line(const TextLine& line);
  void read_references(const TextLine& line, std::size_t from, std::size_t most);
  void need_reference(const TextLine& line, const Word& word, double value) const;
  void check_parameter(const TextLine& line) const;
  [[nodiscard]] bool read_row();
  [[nodiscard]] std::vector<double> row_values(int first_line);
  void check_rising(const TextLine& line, const Word& word, double f) const;
  [[nodiscard]] Complex complex_of(double first, double second) const;
  void store(int line, double f, const std::vector<double>& values);
  [[nodiscard]] const TextLine& need_line(const char* what);

  void read_version_1();
  [[nodiscard]] bool at_noise();
  void skip_noise_lines(bool to_the_end);

  void read_version_2();
  void read_head();
  void read_keyword(const TextLine& line);
  void read_keyword_of_counts(const TextLine& line);
  void read_reference_list();
  void check_head(const TextLine& network_data) const;
  void read_rows_and_end();
  [[nodiscard]] const Word& only_word(const TextLine& line, const char* example) const;
  [[nodiscard]] int count(const TextLine& line, int least) const;

  Complaints complaints_;
  Lines lines_;
  int wanted_;
  Head head_;
  bool option_seen_ = false;
  bool references_seen_ = false;
  std::vector<std::string> seen_;  // keywords
  NetworkData data_;
};

const TextLine& Reader::need_line(const char* what) {
  const TextLine* line = lines_.peek();
  if (!line)
    complaints_.fail(lines_.last_number(), 1, fmt::format("expected {}, found the end of the file", what));
  return *line;
}

void Reader::need_reference(const TextLine& line, const Word& word, double value) const {
  if (!(value > 0.0))
    complaints_.fail(line.number, word.column,
                     fmt::format("expected a reference resistance above zero, found '{}'", shown(word.text)));
}

/// "R 50" or "R 50 75" from word `from` on.
void Reader::read_references(const TextLine& line, std::size_t from, std::size_t most) {
  if (line.words.size() <= from)
    complaints_.fail(line, "expected a reference resistance after R, as in R 50, found the end of the line");
  for (std::size_t i = from; i < line.words.size() && i < from + most; ++i) {
    const double value = number(line, line.words[i], complaints_);
    need_reference(line, line.words[i], value);
    if (i == from) head_.reference.fill(value);
    head_.reference[i - from] = value;
  }
}

void Reader::read_option_line(const TextLine& line) {
  option_seen_ = true;
  bool unit = false, parameter = false, numbers = false, reference = false;
  const auto once = [&](const Word& word, bool& seen) {
    if (seen)
      complaints_.fail(
          line.number, word.column,
          fmt::format("the option line says this twice; remove '{}' or the other", shown(word.text)));
    seen = true;
  };
  constexpr std::pair<std::string_view, double> kUnits[] = {
      {"hz", 1.0}, {"khz", 1e3}, {"mhz", 1e6}, {"ghz", 1e9}};
  for (std::size_t i = 0; i < line.words.size(); ++i) {
    const Word& word = line.words[i];
    const std::string small = small_letters(word.text);
    const auto* known =
        std::find_if(std::begin(kUnits), std::end(kUnits), [&](const auto& u) { return u.first == small; });
    if (known != std::end(kUnits)) {
      once(word, unit);
      head_.unit = known->second;
    } else if (small.size() == 1 && std::string_view("syzhg").find(small[0]) != std::string_view::npos) {
      once(word, parameter);
      head_.parameter = small[0];
    } else if (small == "ri" || small == "ma" || small == "db") {
      once(word, numbers);
      head_.numbers = small;
    } else if (small == "r") {
      once(word, reference);
      const auto is_number = [&](std::size_t k) {
        return k < line.words.size() &&
               std::string_view("+-.0123456789").find(line.words[k].text[0]) != std::string_view::npos;
      };
      const bool two = head_.ports == 2 && is_number(i + 2);  // version 1.1
      read_references(line, i + 1, two ? 2 : 1);
      i += two ? 2 : 1;
    } else {
      complaints_.fail(
          line.number, word.column,
          fmt::format("expected a unit (Hz, kHz, MHz, GHz), a parameter (S, Y, Z, H, G), a format (DB, MA, "
                      "RI) or R with a resistance, found '{}'; the line should look like {}",
                      shown(word.text), kOptionExample));
    }
  }
  if (head_.ports > 0) check_parameter(line);
}

void Reader::check_parameter(const TextLine& line) const {
  if (head_.ports == 1 && (head_.parameter == 'h' || head_.parameter == 'g'))
    complaints_.fail(line, "expected S, Y or Z parameters of a one-port; H and G need two ports");
}

Complex Reader::complex_of(double first, double second) const {
  if (head_.numbers == "ri") return {first, second};
  const double magnitude = head_.numbers == "db" ? std::pow(10.0, first / 20.0) : first;
  const double angle = second * core::kPi / 180.0;
  return {magnitude * std::cos(angle), magnitude * std::sin(angle)};
}

void Reader::check_rising(const TextLine& line, const Word& word, double f) const {
  if (f < 0.0)
    complaints_.fail(line.number, word.column,
                     fmt::format("expected a frequency of zero or above, found '{}'", shown(word.text)));
  if (!data_.frequencies.empty() && !(f > data_.frequencies.back()))
    complaints_.fail(
        line.number, word.column,
        fmt::format("expected a frequency above {}, that of the row before, found {}; sort the rows and "
                    "keep one of each frequency",
                    megahertz(data_.frequencies.back()), megahertz(f)));
}

/// The values of a row that begins on this line, from as many lines as they take.
std::vector<double> Reader::row_values(int first_line) {
  const auto needed = static_cast<std::size_t>(head_.values());
  std::vector<double> values;
  while (values.size() < needed) {
    const TextLine* line = lines_.peek();
    const auto row = [&] {
      return fmt::format("expected {} values in a row (a frequency and {} pair{})", needed, head_.pairs(),
                         head_.pairs() == 1 ? "" : "s");
    };
    if (!line || !line->keyword.empty() || line->option)
      complaints_.fail(first_line, 1,
                       fmt::format("{}, found {} and then {}; the file may be cut off", row(), values.size(),
                                   line ? "no more numbers" : "the end of the file"));
    const bool whole_pairs = (line->words.size() % 2 == 0) == !values.empty();
    if (!whole_pairs || values.size() + line->words.size() > needed) {
      const std::string more =
          values.empty() ? "" : fmt::format(" and on line {} {} more", line->number, line->words.size());
      complaints_.fail(first_line, 1,
                       fmt::format("{}, found {}{}; is it a file of {}-port data?", row(),
                                   values.empty() ? line->words.size() : values.size(), more,
                                   head_.ports == 1 ? "one" : "two"));
    }
    for (const Word& word : line->words) {
      const double value = number(*line, word, complaints_);
      if (values.empty()) check_rising(*line, word, value * head_.unit);
      values.push_back(value);
    }
    lines_.next();
  }
  return values;
}

void Reader::store(int line, double f, const std::vector<double>& values) {
  const auto pair = [&](std::size_t i) { return complex_of(values[1 + 2 * i], values[2 + 2 * i]); };
  Matrix m{};
  if (head_.ports == 1) {
    m[0] = pair(0);
  } else if (head_.shape == Shape::full) {
    m = {pair(0), pair(1), pair(2), pair(3)};
    if (head_.order == Order::port_2_first) std::swap(m[1], m[2]);
  } else {
    m = {pair(0), pair(1), pair(1), pair(2)};
  }
  if (head_.version_2 && head_.parameter != 's') m = normalised(head_.parameter, m, head_.reference);
  if (head_.ports == 1 && head_.parameter != 's') m[3] = 1.0;  // something that has an S
  Matrix s = scattering_of(head_.parameter, m);
  if (head_.ports == 1) s[1] = s[2] = s[3] = 0.0;
  for (const Complex& entry : s)
    if (!std::isfinite(entry.real()) || !std::isfinite(entry.imag()))
      complaints_.fail(line, 1,
                       "expected a network that has scattering parameters, found values without any");
  data_.frequencies.push_back(f);
  data_.s.push_back(s);
}

/// False where no row begins.
bool Reader::read_row() {
  const TextLine* line = lines_.peek();
  while (line && line->option && !head_.version_2) {  // option lines after the first are without meaning
    lines_.next();
    line = lines_.peek();
  }
  if (!line || !line->keyword.empty()) return false;
  const int first_line = line->number;
  if (line->option)
    complaints_.fail(*line, "expected a row of numbers, found a second option line; remove it");
  const std::vector<double> values = row_values(first_line);
  store(first_line, values[0] * head_.unit, values);
  return true;
}

void Reader::read_version_1() {
  head_.order = Order::port_2_first;
  head_.ports = wanted_;
  if (head_.ports == 0)
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("the number of ports is not known: end the file's name in .s1p or .s2p, or write version "
                    "2.0 with [Number of Ports] ({})",
                    kOnlyTwo),
        {data_.name, 0, 0, {}});
  const TextLine& first = *lines_.peek();
  if (!first.option)
    complaints_.fail(
        first.number, first.column,
        fmt::format("expected an option line such as {} before anything else, found {}; is this a Touchstone "
                    "file?",
                    kOptionExample,
                    first.keyword.empty() ? fmt::format("'{}'", shown(first.words[0].text))
                                          : fmt::format("[{}]", shown(first.keyword))));
  read_option_line(first);
  lines_.next();
  while (!at_noise() && read_row()) {
  }
  if (at_noise()) skip_noise_lines(true);
  if (const TextLine* line = lines_.peek())
    complaints_.fail(
        *line,
        fmt::format("expected a row of numbers, found [{}]; keywords belong to version 2, which begins "
                    "with [Version] 2.0",
                    shown(line->keyword)));
  if (data_.s.empty())
    complaints_.fail(lines_.last_number(), 1, "expected rows of numbers after the option line, found none");
}

/// In version 1 rows of five values begin where the frequency no longer rises.
bool Reader::at_noise() {
  const TextLine* line = lines_.peek();
  constexpr std::size_t kNoiseValues = 5;
  if (!line || !line->keyword.empty() || line->option || head_.ports != 2) return false;
  if (data_.frequencies.empty() || line->words.size() != kNoiseValues) return false;
  const double f = number(*line, line->words[0], complaints_) * head_.unit;
  return f >= 0.0 && f <= data_.frequencies.back();
}

/// Frequency, least noise figure, source reflection (two), resistance: five values a line.
void Reader::skip_noise_lines(bool to_the_end) {
  constexpr std::size_t kNoiseValues = 5;
  int lines = 0;
  int last = lines_.last_number();
  for (const TextLine* line = lines_.peek(); line && line->keyword.empty() && !line->option;
       line = lines_.peek()) {
    if (line->words.size() != kNoiseValues)
      complaints_.fail(
          *line,
          fmt::format("expected five values in a row of noise data, which begin where the frequency no "
                      "longer rises, found {}; if there are none, sort the rows by frequency",
                      line->words.size()));
    for (const Word& word : line->words) (void)number(*line, word, complaints_);
    last = line->number;
    ++lines;
    lines_.next();
  }
  if (!to_the_end && lines != head_.noise_rows.value_or(lines))
    complaints_.fail(last, 1,
                     fmt::format("expected {} rows of noise data, found {}", *head_.noise_rows, lines));
}

const Word& Reader::only_word(const TextLine& line, const char* example) const {
  if (line.words.size() != 1)
    complaints_.fail(line, fmt::format("expected one value after [{}], such as {}, found {}", line.keyword,
                                       example, line.words.size()));
  return line.words.front();
}

int Reader::count(const TextLine& line, int least) const {
  const Word& word = only_word(line, "2");
  const double value = number(line, word, complaints_);
  constexpr double kMost = 1e8;
  if (!(value >= least && value <= kMost) || value != std::floor(value))
    complaints_.fail(line.number, word.column,
                     fmt::format("expected a whole number from {} up, found '{}'", least, shown(word.text)));
  return static_cast<int>(value);
}

void Reader::read_keyword_of_counts(const TextLine& line) {
  if (line.keyword == "number of ports") {
    head_.ports = count(line, 1);
    if (head_.ports > 2) complaints_.fail(line, fmt::format("{}, found {} ports", kOnlyTwo, head_.ports));
    if (wanted_ != 0 && head_.ports != wanted_)
      complaints_.fail(line, fmt::format("expected a {}-port here, found a {}-port",
                                         wanted_ == 1 ? "one" : "two", head_.ports == 1 ? "one" : "two"));
  } else if (line.keyword == "number of frequencies") {
    head_.rows = count(line, 1);
  } else {
    head_.noise_rows = count(line, 1);
  }
}

/// [Reference] and its values, which may stand on the lines below it.
void Reader::read_reference_list() {
  if (head_.ports == 0) complaints_.fail(*lines_.peek(), "expected [Number of Ports] before [Reference]");
  const int at = lines_.peek()->number;
  int found = 0;
  bool first = true;
  while (found < head_.ports) {
    const TextLine& line = need_line("the values of [Reference]");
    if (!first && (!line.keyword.empty() || line.option))
      complaints_.fail(at, 1,
                       fmt::format("expected {} value{} of [Reference], one for each port, found {}",
                                   head_.ports, head_.ports == 1 ? "" : "s", found));
    for (const Word& word : line.words) {
      if (found == head_.ports)
        complaints_.fail(line.number, word.column,
                         fmt::format("expected {} value{} of [Reference], found more", head_.ports,
                                     head_.ports == 1 ? "" : "s"));
      const double value = number(line, word, complaints_);
      need_reference(line, word, value);
      head_.reference[static_cast<std::size_t>(found++)] = value;
    }
    first = false;
    lines_.next();
  }
  if (head_.ports == 1) head_.reference[1] = head_.reference[0];
}

void Reader::read_keyword(const TextLine& line) {
  if (std::find(seen_.begin(), seen_.end(), line.keyword) != seen_.end())
    complaints_.fail(line, fmt::format("[{}] stands here for the second time; remove one", line.keyword));
  seen_.push_back(line.keyword);
  if (line.keyword == "reference") return read_reference_list();
  if (line.keyword == "begin information") {
    const int at = line.number;
    if (!lines_.skip_past("end information"))
      complaints_.fail(at, 1,
                       "expected [End Information] after [Begin Information], found the end of the file");
    return;
  }
  if (line.keyword == "number of ports" || line.keyword == "number of frequencies" ||
      line.keyword == "number of noise frequencies") {
    read_keyword_of_counts(line);
  } else if (line.keyword == "two-port data order") {
    const Word& word = only_word(line, "21_12");
    if (word.text != "21_12" && word.text != "12_21")
      complaints_.fail(line.number, word.column,
                       fmt::format("expected 21_12 or 12_21, found '{}'", shown(word.text)));
    head_.order = word.text == "21_12" ? Order::port_2_first : Order::port_1_first;
  } else if (line.keyword == "matrix format") {
    const Word& word = only_word(line, "Full");
    const std::string shape = small_letters(word.text);
    if (shape != "full" && shape != "lower" && shape != "upper")
      complaints_.fail(line.number, word.column,
                       fmt::format("expected Full, Lower or Upper, found '{}'", shown(word.text)));
    head_.shape = shape == "full" ? Shape::full : shape == "lower" ? Shape::lower : Shape::upper;
  } else if (line.keyword == "mixed-mode order") {
    complaints_.fail(line, "expected single-ended data; mixed modes are not read, convert them first");
  } else {
    complaints_.fail(
        line, fmt::format("expected a keyword of Touchstone 2, such as [Number of Ports] or [Network Data], "
                          "found [{}]",
                          shown(line.keyword)));
  }
  lines_.next();
}

void Reader::check_head(const TextLine& network_data) const {
  const auto need = [&](bool there, std::string_view what) {
    if (!there) complaints_.fail(network_data, fmt::format("expected {} before [Network Data]", what));
  };
  need(option_seen_, fmt::format("an option line such as {}", kOptionExample));
  need(head_.ports > 0, "[Number of Ports]");
  need(head_.rows.has_value(), "[Number of Frequencies]");
  check_parameter(network_data);
  if (head_.ports == 2 && head_.shape == Shape::full)
    need(head_.order.has_value(), "[Two-Port Data Order] 21_12 or 12_21, which tells S21 from S12,");
  if (head_.ports == 2 && head_.shape != Shape::full && (head_.parameter == 'h' || head_.parameter == 'g'))
    complaints_.fail(network_data,
                     "expected [Matrix Format] Full with H or G parameters, which are not symmetric");
}

void Reader::read_head() {
  for (;;) {
    const TextLine& line = need_line("[Network Data]");
    if (line.keyword == "network data") return;
    if (line.option) {
      if (!option_seen_) read_option_line(line);
      lines_.next();
    } else if (line.keyword.empty()) {
      complaints_.fail(line,
                       fmt::format("expected a keyword or the option line before [Network Data], found '{}'",
                                   shown(line.words[0].text)));
    } else {
      read_keyword(line);
    }
  }
}

void Reader::read_rows_and_end() {
  const int wanted = *head_.rows;
  while (const TextLine* line = lines_.peek()) {
    if (line->keyword.empty() && static_cast<int>(data_.s.size()) == wanted)
      complaints_.fail(*line,
                       fmt::format("expected {} rows as [Number of Frequencies] says, found more", wanted));
    if (!read_row()) break;
  }
  const TextLine& after = need_line("[End]");
  if (static_cast<int>(data_.s.size()) < wanted)
    complaints_.fail(
        after,
        fmt::format("expected {} rows as [Number of Frequencies] says, found {}; the file may be cut off",
                    wanted, data_.s.size()));
  if (after.keyword == "noise data") {
    lines_.next();
    skip_noise_lines(false);
  }
  const TextLine& end = need_line("[End]");
  if (end.keyword != "end")
    complaints_.fail(end, fmt::format("expected [End], found [{}]", shown(end.keyword)));
  lines_.next();
  if (const TextLine* more = lines_.peek())
    complaints_.fail(*more, "expected nothing after [End], found more; split the file");
}

void Reader::read_version_2() {
  const TextLine version = *lines_.peek();
  const Word& word = only_word(version, "2.0");
  if (word.text != "2.0" && word.text != "2.1")
    complaints_.fail(version.number, word.column,
                     fmt::format("expected version 2.0 or 2.1, found '{}'; version 1 files have no [Version]",
                                 shown(word.text)));
  head_.version_2 = true;
  lines_.next();
  read_head();
  check_head(*lines_.peek());
  lines_.next();
  read_rows_and_end();
}

}  // namespace

int touchstone_ports(std::string_view file_name) {
  const std::string name = small_letters(file_name);
  const std::size_t dot = name.rfind('.');
  if (dot == std::string::npos) return 0;
  const std::string_view end = std::string_view(name).substr(dot + 1);
  const bool counted =
      end.size() >= 3 && end.front() == 's' && end.back() == 'p' &&
      end.substr(1, end.size() - 2).find_first_not_of("0123456789") == std::string_view::npos;
  if (!counted) return 0;
  if (end == "s1p") return 1;
  if (end == "s2p") return 2;
  throw core::Error(core::ErrorKind::usage,
                    fmt::format("{}; write the two ports that matter into an .s2p file", kOnlyTwo),
                    {std::string(file_name), 0, 0, {}});
}

NetworkData read_touchstone(std::string_view text, const std::string& file_name, int ports) {
  const int named = touchstone_ports(file_name);
  if (ports != 0 && named != 0 && ports != named)
    throw core::Error(core::ErrorKind::usage,
                      fmt::format("expected a file of a {}-port, found one of a {}-port by its name",
                                  ports == 1 ? "one" : "two", named == 1 ? "one" : "two"),
                      {file_name, 0, 0, {}});
  return Reader(text, file_name, ports != 0 ? ports : named).read();
}

}  // namespace feldspar::circuit

#include "io/document.hpp"

#include <fmt/format.h>

// Header-only toml++ 3.3 aborts on the input "[."; the shared library reports it
// (tests/io/test_document.cpp).
#include <toml++/toml.h>
static_assert(!TOML_HEADER_ONLY, "link toml++ as a shared library: TOML_HEADER_ONLY=0, TOML_SHARED_LIB=1");

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>

#include "io/scan_detail.hpp"

namespace feldspar::io {

namespace {

using model::Entry;
using model::Node;

// What a person writes stays far below; together they bound the memory that a text of kLargestFile can ask
// for.
constexpr std::size_t kMostValues = 200000;
constexpr std::size_t kLongestKey = 400;  // with everything above it: "wires.slope.path.2.3"

core::Place place_of(const toml::source_region& source, const std::string& file, std::string key) {
  return {file, static_cast<int>(source.begin.line), static_cast<int>(source.begin.column), std::move(key)};
}

/// Columns from a string's quote to its first character, or -1 where a place inside cannot be told.
int text_offset(const toml::node& node, const std::vector<std::string_view>& lines) {
  const auto line = static_cast<std::size_t>(node.source().begin.line);
  const auto column = static_cast<std::size_t>(node.source().begin.column);
  if (line < 1 || line > lines.size() || column < 1 || column > lines[line - 1].size()) return -1;
  const std::string_view text = lines[line - 1];
  const bool ascii =
      std::all_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; });
  const std::string_view rest = text.substr(column - 1);
  if (!ascii || rest.substr(0, 3) == "\"\"\"" || rest.substr(0, 3) == "'''") return -1;
  if (rest[0] == '"' && rest.find('\\') != std::string_view::npos) return -1;  // escapes shift what follows
  return rest[0] == '"' || rest[0] == '\'' ? 1 : -1;
}

class Converter {
 public:
  Converter(std::string_view text, std::string file) : file_(std::move(file)) {
    while (!text.empty()) {
      const std::size_t end = std::min(text.find('\n'), text.size());
      lines_.push_back(text.substr(0, end));
      text.remove_prefix(std::min(end + 1, text.size()));
    }
  }

  [[nodiscard]] Node convert(const toml::node& source, const std::string& key) {
    Node node;
    node.place = place_of(source.source(), file_, key.substr(0, kLongestKey));
    if (key.size() > kLongestKey)
      refuse("expected shorter keys or fewer tables inside one another", node.place);
    if (++values_ > kMostValues)
      refuse(fmt::format("expected at most {} values, found more", kMostValues), node.place);
    if (const auto* table = source.as_table()) {
      node.value = entries(*table, key);
    } else if (const auto* array = source.as_array()) {
      node.value = elements(*array, key);
    } else if (const auto* text = source.as_string()) {
      node.value = text->get();
      node.text_offset = text_offset(source, lines_);
    } else if (const auto* whole = source.as_integer()) {
      node.value = whole->get();
    } else if (const auto* number = source.as_floating_point()) {
      node.value = number->get();
    } else if (const auto* flag = source.as_boolean()) {
      node.value = flag->get();
    } else {
      refuse("expected a text, number, list or table, found a date or time; put it in quotes", node.place);
    }
    return node;
  }

 private:
  [[noreturn]] static void refuse(const std::string& message, const core::Place& place) {
    throw core::Error(core::ErrorKind::model, message, place);
  }

  [[nodiscard]] model::Table entries(const toml::table& table, const std::string& key) {
    model::Table list;
    for (const auto& [name, value] : table) {
      Entry entry;
      entry.key = std::string(name.str());
      const std::string full = key.empty() ? entry.key : key + "." + entry.key;
      entry.node = convert(value, full);
      entry.place = place_of(name.source(), file_, full);
      list.push_back(std::move(entry));
    }
    // toml++ sorts by name; people expect the order they wrote
    std::stable_sort(list.begin(), list.end(), [](const Entry& a, const Entry& b) {
      return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
    });
    return list;
  }

  [[nodiscard]] model::Array elements(const toml::array& array, const std::string& key) {
    model::Array list;
    for (const toml::node& value : array) {
      std::string segment = fmt::to_string(list.size() + 1);
      if (const auto* table = value.as_table())
        if (const auto name = (*table)["name"].value<std::string>();
            name && !name->empty() && name->size() <= 60)
          segment = *name;
      list.push_back(convert(value, fmt::format("{}.{}", key, segment)));
    }
    return list;
  }

  std::string file_;
  std::vector<std::string_view> lines_;
  std::size_t values_ = 0;
};

}  // namespace

model::Node parse_document(std::string_view text, const std::string& file) {
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  if (text.size() > kLargestFile)
    throw core::Error(core::ErrorKind::model,
                      fmt::format("expected a text of at most {} bytes, found {}", kLargestFile, text.size()),
                      {file, 0, 0, {}});
  if (const auto problem = detail::scan(text))
    throw core::Error(core::ErrorKind::model, problem->message, {file, problem->line, problem->column, {}});
  try {
    const toml::table table = toml::parse(text, std::string_view(file));
    Node root = Converter(text, file).convert(table, {});
    root.place = {file, 0, 0, {}};
    return root;
  } catch (const toml::parse_error& error) {
    throw core::Error(core::ErrorKind::model, fmt::format("this is not valid TOML: {}", error.description()),
                      place_of(error.source(), file, {}));
  }
}

std::string read_text(const std::string& path, std::size_t largest) {
  const core::Place place{path, 0, 0, {}};
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored))
    throw core::Error(core::ErrorKind::usage, "expected a file, found a folder", place);
  errno = 0;
  std::ifstream stream(path, std::ios::binary);
  if (!stream)
    throw core::Error(core::ErrorKind::usage,
                      fmt::format("the file cannot be opened ({})", std::strerror(errno)), place);
  std::string text(largest + 1, '\0');  // one more than is allowed tells a longer file, without its size
  stream.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(stream.gcount()));
  if (stream.bad()) throw core::Error(core::ErrorKind::usage, "the file cannot be read", place);
  if (text.size() > largest)
    throw core::Error(core::ErrorKind::usage,
                      fmt::format("expected a file of at most {} bytes, found more", largest), place);
  return text;
}

}  // namespace feldspar::io

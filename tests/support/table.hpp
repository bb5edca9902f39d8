#pragma once

#include <fstream>
#include <map>
#include <stdexcept>
#include <string>
#include <vector>

/// Check values from tests/data: CSV with `#` comment lines on top, then a line of column names.
namespace feldspar::testing {

class Row {
 public:
  Row(const std::map<std::string, std::size_t>& columns, std::vector<std::string> fields)
      : columns_(&columns), fields_(std::move(fields)) {}
  [[nodiscard]] const std::string& text(const std::string& column) const {
    return fields_.at(columns_->at(column));
  }
  [[nodiscard]] double number(const std::string& column) const { return std::stod(text(column)); }

 private:
  const std::map<std::string, std::size_t>* columns_;
  std::vector<std::string> fields_;
};

/// Throws when the file is missing or holds fewer than `least` rows, so that no test passes on an empty
/// table.
class Table {
 public:
  Table(const std::string& name, std::size_t least) {
    std::ifstream in(std::string(FELDSPAR_TEST_DATA) + "/" + name);
    if (!in) throw std::runtime_error("cannot read " + name);
    for (std::string line; std::getline(in, line);) {
      if (line.empty() || line.front() == '#') continue;
      std::vector<std::string> fields = split(line);
      if (columns_.empty()) {
        for (std::size_t i = 0; i < fields.size(); ++i) columns_[fields[i]] = i;
      } else {
        rows_.emplace_back(columns_, std::move(fields));
      }
    }
    if (rows_.size() < least) throw std::runtime_error(name + " is shorter than expected");
  }
  Table(const Table&) = delete;
  Table& operator=(const Table&) = delete;
  [[nodiscard]] auto begin() const { return rows_.begin(); }
  [[nodiscard]] auto end() const { return rows_.end(); }

 private:
  static std::vector<std::string> split(const std::string& line) {
    std::vector<std::string> fields(1);
    bool quoted = false;
    for (const char c : line) {
      if (c == '"') {
        quoted = !quoted;
      } else if (c == ',' && !quoted) {
        fields.emplace_back();
      } else if (c != '\r') {
        fields.back() += c;
      }
    }
    return fields;
  }

  std::map<std::string, std::size_t> columns_;
  std::vector<Row> rows_;
};

}  // namespace feldspar::testing

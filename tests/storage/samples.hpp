#pragma once

#include <cmath>
#include <filesystem>
#include <string>

#include "results/sweep.hpp"
#include "storage/case_source.hpp"

/// A made-up sweep: two axes, two bands; every value tells where it belongs.
namespace samples {

using namespace feldspar;

/// A folder of its own that goes with the test.
class Folder {
 public:
  Folder() {
    std::string name = (std::filesystem::temp_directory_path() / "feldspar-storage-XXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  ~Folder() { std::filesystem::remove_all(path_); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  [[nodiscard]] std::string file(const std::string& name) const { return (path_ / name).string(); }
  [[nodiscard]] std::size_t count() const {
    return static_cast<std::size_t>(std::distance(std::filesystem::directory_iterator(path_), {}));
  }

 private:
  std::filesystem::path path_;
};

inline results::SweepLayout layout(std::size_t heights = 7) {
  results::SweepLayout layout;
  results::Coordinate height{"height", "m", "of the wire", {}, {}};
  for (std::size_t i = 0; i < heights; ++i) height.numbers.push_back(3.0 + static_cast<double>(i));
  layout.cases = {{"height", heights, {height}},
                  {"ground.soil", 2, {{"ground.soil", "", "soil", {}, {"poor", "rich"}}}}};
  layout.spectrum = {{"band", 2, {{"band", "", "band", {}, {"40m", "20m"}}}},
                     {"edge", 3, {{"edge", "", "edge", {}, {"lower", "middle", "upper"}}}}};
  layout.frequencies = {7.0e6, 7.1e6, 7.2e6, 14.0e6, 14.175e6, 14.35e6};
  results::set_quantities(layout, {true, false, false}, {});
  return layout;
}

inline results::CaseRecord record(const results::SweepLayout& layout, std::size_t index) {
  results::CaseRecord record{index, results::CaseStatus::done, "", {}};
  for (std::size_t i = 0; i < layout.values(); ++i)
    record.values.push_back(i == 3 ? std::nan("")
                                   : 1000.0 * static_cast<double>(index) + static_cast<double>(i) / 7.0);
  if (index == 5) record = {index, results::CaseStatus::failed, "no way back for the current", {}};
  if (index == 6) record = {index, results::CaseStatus::left_out, "", {}};
  return record;
}

/// All cases but those from `missing` on.
class Made : public storage::CaseSource {
 public:
  Made(const results::SweepLayout& layout, std::size_t missing) : layout_(layout), missing_(missing) {}
  [[nodiscard]] results::CaseRecord read(std::size_t index) override {
    ++asked;
    if (index >= missing_) return {index, results::CaseStatus::missing, "", {}};
    return record(layout_, index);
  }
  int asked = 0;

 private:
  const results::SweepLayout& layout_;
  std::size_t missing_;
};

/// Equal to the last bit, NaN included.
inline bool same(const std::vector<double>& a, const std::vector<double>& b) {
  return a.size() == b.size() && std::equal(a.begin(), a.end(), b.begin(), [](double x, double y) {
           return (std::isnan(x) && std::isnan(y)) || x == y;
         });
}

inline bool same(const results::CaseRecord& a, const results::CaseRecord& b) {
  return a.index == b.index && a.status == b.status && a.message == b.message && same(a.values, b.values);
}

}  // namespace samples

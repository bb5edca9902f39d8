#pragma once

#include <cstddef>
#include <limits>
#include <string>
#include <vector>

#include "report/number.hpp"
#include "report/sweep.hpp"

/// Looking things up in a sweep (private to this module).
namespace feldspar::report {

/// One quantity of a sweep by case and place in the spectrum.
class Values {
 public:
  Values(const SweepView& view, const std::string& name) : view_(view) {
    const auto found = view.columns.find(name);
    for (const results::Quantity& quantity : view.layout.quantities)
      if (quantity.name == name && found != view.columns.end()) {
        values_ = &found->second;
        quantity_ = &quantity;
        each_ = view.layout.values(quantity);
      }
  }

  [[nodiscard]] bool there() const { return values_ != nullptr; }
  /// At a band or frequency; `edge` of the three of a band.
  [[nodiscard]] double at(std::size_t index, std::size_t place, std::size_t edge = 1) const {
    if (!values_) return std::numeric_limits<double>::quiet_NaN();
    const std::size_t first = index * each_;
    switch (quantity_->extent) {
      case results::Extent::one:
        return (*values_)[first];
      case results::Extent::each_band:
        return (*values_)[first + place];
      default:
        return (*values_)[first + (view_.layout.by_bands() ? 3 * place + edge : place)];
    }
  }
  /// All values over some bands or frequencies.
  [[nodiscard]] std::vector<double> over(std::size_t index, const std::vector<std::size_t>& places) const {
    std::vector<double> list;
    const bool edges =
        quantity_ && quantity_->extent == results::Extent::each_frequency && view_.layout.by_bands();
    for (const std::size_t place : places)
      for (std::size_t edge = edges ? 0 : 1; edge < (edges ? 3U : 2U); ++edge)
        list.push_back(at(index, place, edge));
    return list;
  }

 private:
  const SweepView& view_;
  const std::vector<double>* values_ = nullptr;
  const results::Quantity* quantity_ = nullptr;
  std::size_t each_ = 1;
};

/// Name of a band, or a frequency as people write it.
[[nodiscard]] inline std::string place_name(const SweepView& view, std::size_t place) {
  return view.layout.by_bands() ? view.layout.spectrum[0].coordinates[0].words[place]
                                : format_frequency(view.layout.frequencies[place]);
}

/// Whether a case belongs to a slice.
[[nodiscard]] inline bool inside(const results::SweepLayout& layout, const SweepSlice& slice,
                                 std::size_t index) {
  const std::vector<std::size_t> along = layout.split(index);
  for (std::size_t d = 0; d < along.size(); ++d)
    if (slice.along[d] >= 0 && static_cast<std::size_t>(slice.along[d]) != along[d]) return false;
  return true;
}

}  // namespace feldspar::report

#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "results/band_table.hpp"
#include "results/result.hpp"

/// What a sweep leaves behind: many cases on axes, each with the same quantities over frequency. Plain
/// values.
namespace feldspar::results {

/// Values along a dimension: numbers, or words where `numbers` is empty.
struct Coordinate {
  std::string name;
  std::string units;  ///< "m", "Hz", "S/m", "deg"; empty for words and plain numbers
  std::string long_name;
  std::vector<double> numbers;
  std::vector<std::string> words;
  [[nodiscard]] std::size_t size() const { return words.empty() ? numbers.size() : words.size(); }
  /// The i-th one as a person writes it: "8 m", "dry sand".
  [[nodiscard]] std::string text(std::size_t i) const;
};

/// One dimension; the coordinate of its name first, others that move together with it after.
struct Dimension {
  std::string name;
  std::size_t size = 0;
  std::vector<Coordinate> coordinates;
};

/// How many values a quantity has in one case.
enum class Extent { one, each_band, each_frequency, each_direction, each_place };

struct Quantity {
  std::string name;   ///< "swr_at_radio"
  std::string units;  ///< "ohm", "W", "dB", "deg", "1" for ratios
  std::string long_name;
  Extent extent = Extent::each_frequency;
};

struct SweepLayout {
  std::vector<Dimension> cases;       ///< slowest first; the last one's index runs fastest
  std::vector<Dimension> spectrum;    ///< "frequency"; or "band" and "edge" (lower, middle, upper)
  std::vector<double> frequencies;    ///< Hz, over `spectrum`, its last index fastest
  std::vector<Dimension> directions;  ///< "elevation" and "bearing", with patterns
  std::vector<Dimension> places;      ///< "wire" and "position" along it, with currents
  std::vector<Quantity> quantities;

  [[nodiscard]] std::size_t count() const;  ///< of cases
  [[nodiscard]] bool by_bands() const { return spectrum.size() == 2; }
  /// Dimensions of a quantity besides those of the cases.
  [[nodiscard]] std::vector<const Dimension*> within(Extent extent) const;
  [[nodiscard]] std::size_t values(const Quantity& quantity) const;  ///< in one case
  [[nodiscard]] std::size_t values() const;                          ///< of all quantities in one case
  /// Index along each dimension of a case.
  [[nodiscard]] std::vector<std::size_t> split(std::size_t index) const;
  /// The reverse.
  [[nodiscard]] std::size_t join(const std::vector<std::size_t>& along) const;
  /// "radial_count 4, ground.soil dry sand"
  [[nodiscard]] std::string name(std::size_t index) const;
};

enum class CaseStatus : std::uint8_t {
  done,
  failed,    ///< its message says why
  left_out,  ///< does not meet the study's conditions
  missing    ///< not run yet
};
[[nodiscard]] const char* word(CaseStatus status) noexcept;

/// One case. `values` are those of all quantities, one after another; NaN where there is none; empty unless
/// done.
struct CaseRecord {
  std::size_t index = 0;
  CaseStatus status = CaseStatus::missing;
  std::string message;
  std::vector<double> values;
};

/// Where the cases of one layout are found in another whose axes have more values.
class CaseMap {
 public:
  /// @param before its axes' names are those of `now`
  CaseMap(const SweepLayout& before, const SweepLayout& now);
  /// Whether every case of `before` is one of `now`.
  [[nodiscard]] bool complete() const { return complete_; }
  /// Index in `before`, or its count() where there is none.
  [[nodiscard]] std::size_t before(std::size_t index) const;

 private:
  SweepLayout before_, now_;  // cases only
  std::vector<std::vector<std::size_t>>
      places_;  // of each value of each dimension; the size where there is none
  bool complete_ = true;
};

/// Besides the values of the port.
struct SweepKeep {
  bool power = false;     ///< where the watts go
  bool patterns = false;  ///< gain in all directions
  bool currents = false;  ///< along each wire
};

/// Sets the quantities that are kept, with directions and places. @param wires names, copies without their
/// numbers
void set_quantities(SweepLayout& layout, const SweepKeep& keep, const std::vector<std::string>& wires);

/// "radial" of "radial (1)"; empty for the other copies.
[[nodiscard]] std::string first_copy(const std::string& wire);

/// Values of a case in the order of `layout.quantities`.
/// @param total_wire m  @param table its bands by name; those of the layout that it lacks stay NaN
[[nodiscard]] std::vector<double> sweep_values(const SweepLayout& layout, const BandTable& table,
                                               double total_wire);
/// @param results one for each frequency of the layout
[[nodiscard]] std::vector<double> sweep_values(const SweepLayout& layout,
                                               const std::vector<FrequencyResult>& results,
                                               double total_wire);

}  // namespace feldspar::results

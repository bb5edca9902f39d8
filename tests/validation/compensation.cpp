#include "compensation.hpp"

#include <cmath>
#include <map>
#include <stdexcept>

#include "../support/structures.hpp"
#include "../support/table.hpp"
#include "radial_screen.hpp"

namespace feldspar::validation {

namespace {

constexpr double kMastRadius = 30e-3;  // m, as in the file's header
constexpr double kWireRadius = 1e-3;
constexpr double kDepth = 10e-3;

media::Ground named_soil(const std::string& name) {
  static const std::map<std::string, media::SoilConstants> soils = {{"very_poor", {5.0, 1e-3}},
                                                                    {"poor", {13.0, 2e-3}},
                                                                    {"average", {13.0, 5e-3}},
                                                                    {"very_good", {20.0, 30.3e-3}}};
  const auto found = soils.find(name);
  if (found == soils.end()) throw std::runtime_error("unknown soil " + name);
  return testing::soil(found->second.relative_permittivity, found->second.conductivity);
}

std::complex<double> over_perfect_plane(double height, core::Frequency f) {
  testing::Structure mast;
  mast.wires = {testing::straight({0.0, 0.0, 0.0}, {0.0, 0.0, height}, kMastRadius)};
  mast.ports = {{"feed", {{0, 0.0, kMastRadius}}, {}}};
  return testing::impedance(mast, testing::perfect_ground(), {}, f);
}

}  // namespace

const std::vector<CompensationRow>& compensation_rows() {
  static const std::vector<CompensationRow> rows = [] {
    std::vector<CompensationRow> result;
    for (const testing::Row& row : testing::Table("published/radials_compensation.csv", 900))
      result.push_back({core::Frequency{row.number("frequency_hz")},
                        row.text("soil"),
                        row.number("monopole_height_wavelengths"),
                        row.number("radial_length_wavelengths"),
                        static_cast<int>(row.number("radial_count")),
                        row.number("perfect_ground_resistance_ohm"),
                        {row.number("delta_resistance_ohm"), row.number("delta_reactance_ohm")}});
    return result;
  }();
  return rows;
}

CompensationResult compensation(const CompensationRow& row) {
  const double wavelength = core::wavelength(row.frequency);
  const media::Ground soil = named_soil(row.soil);
  const Site site(soil, row.frequency, row.radial * wavelength, row.height * wavelength, kDepth);
  const std::complex<double> perfect = over_perfect_plane(row.height * wavelength, row.frequency);
  const Site::Answer answer = site.solve({row.height * wavelength, kMastRadius, -kDepth, row.count,
                                          row.radial * wavelength, kWireRadius, kMastRadius});
  const double n2 = std::abs(media::complex_permittivity(soil, row.frequency));
  CompensationResult result;
  result.change = answer.impedance - perfect;
  result.perfect_resistance = perfect.real();
  result.second_order = row.perfect_resistance / n2;
  result.allowed =
      result.second_order + std::abs(perfect.real() / row.perfect_resistance - 1.0) * std::abs(row.change);
  return result;
}

}  // namespace feldspar::validation

#pragma once

#include <complex>
#include <string>
#include <vector>

#include "core/quantity.hpp"
#include "media/ground.hpp"

/// Base impedance over radials against tests/data/published/radials_compensation.csv, whose theory knows
/// radials in the surface only: here they lie 10 mm below it.
namespace feldspar::validation {

struct CompensationRow {
  core::Frequency frequency;
  std::string soil;
  double height = 0.0;  ///< of the mast, wavelengths
  double radial = 0.0;  ///< wavelengths
  int count = 0;
  double perfect_resistance = 0.0;  ///< ohm, thin mast on a perfect plane
  std::complex<double> change;      ///< ohm, against the perfect plane
};
[[nodiscard]] const std::vector<CompensationRow>& compensation_rows();

struct CompensationResult {
  std::complex<double> change;      ///< ohm, computed against the perfect plane
  double perfect_resistance = 0.0;  ///< ohm, computed
  double second_order = 0.0;        ///< R0 / |n|^2, ohm
  double allowed = 0.0;             ///< ohm, what a first-order theory leaves out, see the test
};
[[nodiscard]] CompensationResult compensation(const CompensationRow& row);

}  // namespace feldspar::validation

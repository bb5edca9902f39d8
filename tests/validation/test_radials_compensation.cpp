#include <doctest/doctest.h>

#include <cmath>
#include <complex>

#include "../support/structures.hpp"
#include "../support/table.hpp"
#include "compensation.hpp"

// What a screen of radials over soil changes in the base resistance of a mast, against the compensation
// theorem. Source: radials_compensation.csv (Monteath, Proc. IEE 98 IV (1951) 23; Wait & Pope, Appl. Sci.
// Res. B4 (1954) 177).
namespace feldspar::validation {

TEST_CASE("radials against the compensation theorem: the difference is of second order") {
  // The theorem keeps the first order in the soil's surface impedance, 1/|n| of that of air, and puts a
  // sinusoidal current on an infinitely thin mast. Left out are therefore terms of the size R0 / |n|^2, and
  // the real current's deviation from a sinusoid, for which |R / R0 - 1| over a perfect plane is a measure.
  // Both come from the theory alone: nothing is fitted.
  int compared = 0;
  for (const CompensationRow& row : compensation_rows()) {
    const bool few = row.count == 60 && (row.radial == 0.25 || row.radial == 0.411);
    const bool many = row.count == 113 && row.radial == 0.25 && row.soil != "very_poor";
    if (row.frequency.si != 3e6 || !(few || many)) continue;
    const CompensationResult result = compensation(row);
    CAPTURE(row.soil);
    CAPTURE(row.height);
    CAPTURE(row.radial);
    CAPTURE(row.count);
    CAPTURE(result.change.real());
    CHECK(std::abs(result.change.real() - row.change.real()) <= result.allowed);
    ++compared;
  }
  CHECK(compared == 22);
}

TEST_CASE("radials against the compensation theorem: on good soil a few per cent remain") {
  // A mast of an eighth of a wave on soil of 20 and 30.3 mS/m: R0 / |n|^2 is 0.04 ohm.
  for (const CompensationRow& row : compensation_rows()) {
    if (row.frequency.si != 3e6 || row.soil != "very_good" || row.height != 0.125 || row.count != 60)
      continue;
    CAPTURE(row.radial);
    const CompensationResult result = compensation(row);
    CHECK(std::abs(result.change.real() - row.change.real()) <= result.second_order);
  }
}

}  // namespace feldspar::validation

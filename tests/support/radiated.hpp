#pragma once

#include <optional>

#include "fields/gain.hpp"
#include "fields/power.hpp"
#include "structures.hpp"

/// Radiation of an antenna fed at its first port with 1 V.
namespace feldspar::testing {

struct Radiated {
  fields::Pattern pattern;
  core::Power accepted;  ///< V conj(I) / 2

  [[nodiscard]] double efficiency() const { return fields::sky_power(pattern) / accepted.si; }
  [[nodiscard]] fields::GainMaximum maximum() const {
    return fields::maximum_gain(pattern, accepted).value();
  }
  [[nodiscard]] double gain(double elevation, double azimuth) const {  // rad
    return fields::gain(pattern, {core::Angle{elevation}, core::Angle{azimuth}}, accepted);
  }
};

inline Radiated radiate(const Structure& structure, const media::Ground& ground = {},
                        const moment::Setting& setting = {}, core::Frequency f = kUnitFrequency) {
  const moment::Solution solution = moment::solve(structure, {}, ground, f, setting);
  return {fields::Pattern(solution.unit_currents.front(), ground, f),
          core::Power{0.5 * solution.admittance(0, 0).real()}};
}

}  // namespace feldspar::testing

#pragma once

#include <string>

/// What a user states about a line; the computing stands in circuit/line.hpp.
namespace feldspar::circuit {

/// A lossy line of uniform cross-section. Matched loss = k1 sqrt(f) + k2 f, f in MHz, in dB per metre.
struct Line {
  std::string type;              ///< "RG-58", or empty for a line given by numbers
  double length = 0.0;           ///< m, >= 0
  double z0 = 50.0;              ///< ohm, high-frequency characteristic resistance
  double velocity_factor = 1.0;  ///< (0, 1]
  double k1 = 0.0;               ///< dB / m / sqrt(MHz)
  double k2 = 0.0;               ///< dB / m / MHz
  double constant_loss = 0.0;    ///< dB / m at every frequency, added to the law
  bool is_coax = true;           ///< otherwise two parallel conductors, without a braid
  double braid_diameter = 0.0;   ///< m, of the outside of the braid; 0: not stated, or no braid
};

}  // namespace feldspar::circuit

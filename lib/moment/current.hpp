#pragma once

#include <Eigen/Core>
#include <complex>
#include <vector>

#include "geometry/wire.hpp"

/// The current on a structure, as fields and power need it: no mesh, no matrix.
namespace feldspar::moment {

/// Current on one straight element: I(xi) = sum_n coefficients[n] P_n(xi), xi from -1 at `start` to +1 at
/// `end`, P_n the Legendre polynomials, positive from start to end. A, peak phasor, exp(+jwt).
struct ElementCurrent {
  geometry::Vec3 start;           ///< m
  geometry::Vec3 end;             ///< m
  double radius = 0.0;            ///< m
  int wire = 0;                   ///< index into Structure::wires
  Eigen::VectorXcd coefficients;  ///< A
};

using Currents = std::vector<ElementCurrent>;

}  // namespace feldspar::moment

#pragma once

#include <Eigen/Core>
#include <complex>
#include <memory>
#include <optional>
#include <vector>

#include "core/error.hpp"
#include "core/quantity.hpp"
#include "core/work.hpp"
#include "geometry/mesh.hpp"
#include "geometry/wire.hpp"
#include "media/ground.hpp"
#include "media/table_store.hpp"
#include "moment/current.hpp"
#include "moment/end_potential.hpp"

/// Currents and port impedances of a structure at one frequency.
namespace feldspar::moment {

/// What the geometry sees of a ground.
[[nodiscard]] geometry::Surface surface_of(const media::Ground& ground);
/// In air and, over a real ground, in the soil.
[[nodiscard]] geometry::Wavelengths wavelengths(const media::Ground& ground, core::Frequency f);

/// How finely; results of a coarser setting carry a larger error estimate.
struct Setting {
  geometry::MeshRule mesh = geometry::normal_mesh();
  double tolerance = 1e-7;  ///< of quadrature and ground tables
  /// What the mesh is made for, when not for the frequency of the solve: solutions on one mesh are smooth
  /// functions of frequency. Below the frequency of the solve it has no effect.
  std::optional<core::Frequency> mesh_for = std::nullopt;
  int threads = 1;  ///< at a time over pairs of elements; the solution does not depend on it
  /// Where ground tables are kept for other structures at the same soil and frequency; without one they are
  /// made anew. The solution does not depend on it, only Solution::work.
  std::shared_ptr<media::TableStore> tables = nullptr;
  /// Equal copies round a vertical axis are solved as one; off, every element is on its own. Same numbers.
  bool use_symmetry = true;
};

/// Impedances that metal, coats and inserts put in series with the current, and what coats put between the
/// metal and the wire's surface, which is where Wire::radius lies.
struct SeriesImpedance {
  std::vector<std::complex<double>> per_metre;  ///< ohm/m, per wire
  std::vector<std::complex<double>> inserts;    ///< ohm, per insert, spread evenly over its spans
  std::vector<double> sheath_capacitance = {};  ///< F/m, per wire; infinite or left out without a coat
};

struct Solution {
  geometry::Mesh mesh;
  Eigen::MatrixXcd impedance;                ///< ohm, ports x ports (open-circuit parameters)
  Eigen::MatrixXcd admittance;               ///< S, ports x ports
  std::vector<Currents> unit_currents;       ///< per port: currents for 1 V there and the other ports short
  std::vector<EndPotential> end_potentials;  ///< free ends, for 1 V at the first port, the others short
  Eigen::VectorXcd local_current;            ///< A, per local function, the same drive
  Eigen::VectorXcd local_field;              ///< V, likewise: R I, what wire_power() takes
  int unknowns = 0;
  core::Work work;                 ///< all of the above
  double condition_warning = 0.0;  ///< relative residual of the linear solve
  /// Estimate of |dZ|/|Z| at the first port, the others short.
  double impedance_error_relative = 0.0;
  double resistance_error = 0.0;       ///< estimate of |dR| there, ohm
  double matrix_error_relative = 0.0;  ///< the same for `impedance`, largest over its elements
  core::Warnings warnings;
};

/// Power each wire gives to its surroundings, W, for 1 V at the first port (end_potential.hpp).
[[nodiscard]] std::vector<double> wire_power(const Solution& solution);

/// Solves at one frequency. Every node obeys Kirchhoff's law; the port current is the mean over the gap and
/// the driving field uniform over it, so V conj(I)/2 is the power.
///
/// The error estimate compares with the solution in which each element has lost its highest polynomial; no
/// constant enters. @throws Error{geometry} for wires that cannot be meshed, Error{numerics} for a singular
/// system
[[nodiscard]] Solution solve(const geometry::Structure& structure, const SeriesImpedance& series,
                             const media::Ground& ground, core::Frequency f, const Setting& setting = {});

}  // namespace feldspar::moment

#pragma once

#include <Eigen/Core>
#include <complex>
#include <vector>

#include "geometry/mesh.hpp"
#include "moment/basis.hpp"

/// What a solution says about each wire on its own: the potential of its free ends, the power it gives away.
namespace feldspar::moment {

/// Potential of a free wire end.
///
/// It is the scalar potential of the formulation in which the matrix is filled: in free space and over
/// perfect ground that of the Lorenz gauge, over soil that of formulation C [michalski1990]; 0 at infinity. A
/// voltmeter between the end and the ground reads it where the end is low compared with the wavelength (a
/// tenth, say), so that what the vector potential adds along the leads is small; over poor soil the ground's
/// own potential near a low end comes off it. Higher up voltage depends on the path and this is an
/// indication.
struct EndPotential {
  int wire = 0;                    ///< index into Structure::wires
  bool start = true;               ///< the wire's first point, else its last
  geometry::Vec3 at;               ///< m
  std::complex<double> potential;  ///< V, peak phasor
};

/// Tests the solution with the functions that the basis leaves out because their current is 1 at a free end.
///
/// For such a function f on an element, the row of the matrix is j w <f, A> - <f', Phi>: the tested field
/// without the boundary term of its partial integration, f Phi at the end less at the start. On the metal the
/// field is what series impedance and drive make it, so that what the row leaves unbalanced is that term:
/// Phi = -rest at an element's end, +rest at its start. Choosing another f with the value 1 there changes
/// nothing, for it differs by functions whose rows are balanced.
/// @param rest per local function: (matrix with series impedances and coats times currents) - drive, V
[[nodiscard]] std::vector<EndPotential> end_potentials(const geometry::Mesh& mesh, const Basis& basis,
                                                       const Eigen::VectorXcd& rest);

/// 1/2 Re(I_w^H R I) per wire, W: power that the currents on each wire give to their surroundings, radiation
/// and soil. What two wires do to each other is shared equally between them, so one may come out negative:
/// it takes from the other. @param current per local function, A
/// @param field R I per local function, V, R the real part of the matrix without series impedances
[[nodiscard]] std::vector<double> wire_power(const geometry::Mesh& mesh, const Eigen::VectorXcd& current,
                                             const Eigen::VectorXcd& field);

}  // namespace feldspar::moment

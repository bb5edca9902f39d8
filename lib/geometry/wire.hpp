#pragma once

#include <Eigen/Core>
#include <complex>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "core/error.hpp"
#include "core/quantity.hpp"

/// Wires as the user lays them: plain numbers, SI units, z up, the ground's surface at z = 0.
namespace feldspar::geometry {

using Vec3 = Eigen::Vector3d;

/// Metal of a round wire.
struct Conductor {
  double conductivity = std::numeric_limits<double>::infinity();  ///< S/m; infinity = perfect conductor
  double relative_permeability = 1.0;                             ///< [1]
};

/// Insulation round a wire; thickness 0 = bare.
struct Coat {
  double thickness = 0.0;              ///< m
  double relative_permittivity = 1.0;  ///< [1]
};

/// A round wire along a polyline of two or more points; its free ends are open tubes.
struct Wire {
  std::string name;
  std::vector<Vec3> path;  ///< m
  double radius = 0.0;     ///< m, of the metal
  Conductor conductor;
  Coat coat;
  core::Place place;  ///< where the user wrote it, for messages
};

/// Part of a wire by arc length from its first point, 0 <= from < to <= length. `sign` +1: positive current
/// flows along the path, -1: against it.
struct Span {
  int wire = 0;
  double from = 0.0;  ///< m
  double to = 0.0;    ///< m
  int sign = 1;
};

/// A feed gap: the driving field is uniform over the spans, the port current is its mean over them.
struct Port {
  std::string name;
  std::vector<Span> spans;
  core::Place place;
};

/// A part cut into a wire, its impedance spread evenly over the spans: resistance, coil and capacitor in
/// series, or in parallel. The coil is R + j w inductance with self_capacitance across it, R = w inductance /
/// q, or, with `q_frequency`, what that is there, growing with the root of the frequency. What is left at its
/// default is absent.
struct Insert {
  std::string name;
  std::vector<Span> spans;
  double resistance = 0.0;                                       ///< ohm
  double inductance = 0.0;                                       ///< H
  double q = std::numeric_limits<double>::infinity();            ///< quality factor of the inductance
  double q_frequency = 0.0;                                      ///< Hz, where q holds; 0: at every frequency
  double self_capacitance = 0.0;                                 ///< F, across the inductance
  double capacitance = std::numeric_limits<double>::infinity();  ///< F; infinity = a short
  bool parallel = false;                                         ///< the parts lie across one another: a trap
  /// Impedance [ohm] over frequency, in place of all the numbers above; empty when they hold. Called from
  /// several threads.
  std::function<std::complex<double>(core::Frequency)> law;
  double law_from = 0.0;  ///< Hz, where `law` begins; below it holds what it gives there
  double law_to = std::numeric_limits<double>::infinity();  ///< Hz, where it ends, likewise
  core::Place place;
};

/// Everything the engine needs to know of the metal.
struct Structure {
  std::vector<Wire> wires;
  std::vector<Port> ports;
  std::vector<Insert> inserts;
};

/// Length of all spans together, m.
[[nodiscard]] double length(const std::vector<Span>& spans);
/// Length of a wire along its path, m.
[[nodiscard]] double length(const Wire& wire);
/// Point at arc length s (clamped to the wire), m.
[[nodiscard]] Vec3 point_at(const Wire& wire, double s);

}  // namespace feldspar::geometry

#pragma once

#include <complex>
#include <memory>

#include "core/quantity.hpp"
#include "geometry/wire.hpp"
#include "media/ground.hpp"
#include "media/half_space.hpp"
#include "media/through_table.hpp"
#include "moment/current.hpp"
#include "moment/solve.hpp"

/// A mast over equal radials evenly spread in azimuth, for validation. All radials carry the same current, so
/// one of them and its mutual blocks with the others stand for all: 113 radials cost about as much as a few
/// wires do in moment::solve, whose matrix blocks (moment::fill_local) and mesh are used as they are.
namespace feldspar::validation {

/// Base-fed mast on a hub; lengths in m.
struct RadialScreen {
  double mast_height = 0.0;    ///< top of the mast above z = 0
  double mast_radius = 0.0;    ///< its lower end reaches down to the hub with the same radius
  double hub_z = 0.0;          ///< height of hub and radials; < 0: below the surface
  int count = 1;               ///< of radials, >= 1
  double radial_length = 0.0;  ///< from the axis
  double radial_radius = 0.0;
  double gap = 0.0;  ///< of the port, which begins in the surface or, when the hub is above, at the hub
};

/// Wire 0 is the mast (path upwards), the others are the radials, outwards.
[[nodiscard]] geometry::Structure structure(const RadialScreen& screen);

/// Soil at one frequency with the ground tables that every screen on it shares.
class Site {
 public:
  /// @param soil kind == real. The other numbers bound the screens: m
  Site(const media::Ground& soil, core::Frequency f, double longest_radial, double highest, double deepest,
       const moment::Setting& setting = {});

  struct Answer {
    std::complex<double> impedance;  ///< ohm
    moment::Currents mast;           ///< for 1 V at the port: the part above z = 0
    moment::Currents ground;         ///< radials and what of the mast lies below
    int unknowns = 0;                ///< of the system solved
    int unknowns_without_symmetry = 0;
  };
  [[nodiscard]] Answer solve(const RadialScreen& screen) const;

  [[nodiscard]] core::Frequency frequency() const noexcept { return frequency_; }

 private:
  media::Ground soil_;
  core::Frequency frequency_;
  moment::Setting setting_;
  std::unique_ptr<media::HalfSpaceTable> above_;
  std::unique_ptr<media::BelowTable> below_;
  std::unique_ptr<media::AcrossTable> across_;
};

/// Root-mean-square field strength that the mast's current would give at the horizon over a perfect plane,
/// V/m, not attenuated, for `power` W into the port. @param distance m
[[nodiscard]] double unattenuated_field(const Site::Answer& answer, core::Frequency f, double power,
                                        double distance);

/// How much stronger the whole antenna, buried wires included, is than its mast's current alone, both over
/// the soil, towards the horizon (limit of grazing elevation): the part the radials play in launching the
/// ground wave. [1]
[[nodiscard]] double launching_factor(const Site::Answer& answer, const media::Ground& soil,
                                      core::Frequency f);

}  // namespace feldspar::validation

#pragma once

#include <optional>
#include <vector>

/// Where an antenna's signal goes, as plain values. Gains in dBi, -infinity where nothing goes; elevations in
/// degrees from the horizon up; bearings true, clockwise from north.
namespace feldspar::results {

/// What of a pattern is wanted.
struct PatternRequest {
  double sphere_step_deg = 0.0;        ///< of the whole sphere's grid, a divisor of 90; 0: no sphere
  std::vector<double> elevations_deg;  ///< where the gain is wanted besides
};

/// A gain and its parts by polarisation; as ratios the two add up to the total.
struct Gains {
  double total_dbi = 0.0;
  double vertical_dbi = 0.0;
  double horizontal_dbi = 0.0;
};

/// Gain along a half circle or a circle.
struct Cut {
  std::vector<double> angle_deg;  ///< rising
  std::vector<Gains> gains;       ///< one for each angle
};

/// A stretch of a cut round the maximum in which the gain is at most half (3.01 dB) below it.
struct Beam {
  double from_deg = 0.0;
  double to_deg = 0.0;  ///< >= from_deg; a bearing may exceed 360
};

/// Gain at an elevation, at the maximum's bearing, or, of a round pattern, the largest over all bearings.
struct GainAtElevation {
  double elevation_deg = 0.0;
  double gain_dbi = 0.0;
};

/// Gains at every step of elevation and bearing.
struct Sphere {
  std::vector<double> elevation_deg;  ///< from the horizon (free space: -90) to 90
  std::vector<double> bearing_deg;    ///< from 0 on
  std::vector<Gains> gains;           ///< elevations outermost
};

/// Above this elevation of the maximum (below its negative) the bearings are looked at here instead: overhead
/// there are none.
inline constexpr double kSteepest = 60.0;  // degrees

struct PatternView {
  double gain_dbi = 0.0;  ///< the maximum
  double elevation_deg = 0.0;
  double bearing_deg = 0.0;  ///< where the maximum is overhead (above 85 degrees), that of `level`
  /// Upright, through the maximum: 0 is the horizon at its bearing, 90 overhead, 180 the horizon behind; in
  /// free space on to -90 straight down.
  Cut elevation_cut;
  std::optional<Beam> elevation_beam;  ///< cut at the horizon; empty when the gain never falls by half
  /// Over the bearings, at the maximum's elevation or kSteepest.
  struct Level {
    double elevation_deg = 0.0;
    double gain_dbi = 0.0;  ///< the largest there
    double bearing_deg = 0.0;
    bool round = false;  ///< it varies by less than 1.5 dB; then its bearing is an accident
    Cut cut;             ///< over the bearings
    std::optional<Beam> beam;
    double front_to_back_db = 0.0;  ///< against the opposite bearing
    double front_to_side_db = 0.0;  ///< against the stronger one of the bearings 90 degrees to both sides
    double null_depth_db = 0.0;     ///< against the weakest bearing
    double null_bearing_deg = 0.0;
  };
  Level level;
  std::vector<GainAtElevation> at_elevations;  ///< those asked for
  std::optional<Sphere> sphere;
};

}  // namespace feldspar::results

#pragma once

#include <array>
#include <complex>
#include <optional>
#include <string>
#include <vector>

#include "core/error.hpp"
#include "core/work.hpp"
#include "results/explanation.hpp"
#include "results/pattern.hpp"
#include "results/touch.hpp"

/// What comes out, as plain values: readable without the engine. SI units, angles in rad unless a name says
/// _deg.
namespace feldspar::results {

/// Watts along the way from the radio to the sky. From `tuner` on they add up to `radio`.
struct PowerBudget {
  double radio = 0.0;  ///< enters the first part after the radio
  double tuner = 0.0;
  double line_matched = 0.0;  ///< line loss a matched load would suffer
  double line_extra = 0.0;    ///< what the mismatch adds; may be negative
  double stub = 0.0;
  double transformer = 0.0;
  double two_port = 0.0;  ///< parts known by measurement
  double choke = 0.0;     ///< on the outside of the line
  double antenna = 0.0;   ///< taken by an antenna known by its impedance only; where it goes is not known
  double coils = 0.0;     ///< inserts
  double wires = 0.0;     ///< skin effect
  double ground = 0.0;
  double sky = 0.0;
  double unaccounted = 0.0;
};

struct PortImpedance {
  std::string name;
  std::complex<double> impedance;  ///< ohm
};

/// Gain over elevation at the azimuth of the maximum.
struct GainAt {
  double elevation_deg = 0.0;
  double gain_dbi = 0.0;
};

/// What one part between antenna and radio does with what hangs on it. Voltage and current r.m.s. at its
/// antenna end; infinite or 0 where nothing is taken there.
struct PartResult {
  std::complex<double> load;   ///< ohm, at its antenna end
  std::complex<double> input;  ///< ohm, at its radio end
  double entering = 0.0;       ///< W, from the radio's side
  double lost = 0.0;           ///< W
  double loss_db = 0.0;
  double voltage = 0.0;          ///< V
  double current = 0.0;          ///< A
  bool works = true;             ///< false: a tuner that cannot match this load and is passed by
  double matched_loss_db = 0.0;  ///< lines: what a load equal to their own complex z0 would lose
};

/// A coil, trap, resistor or choke cut into a wire.
struct InsertResult {
  std::string name;
  bool choke = false;                ///< on the outside of the line
  double x = 0.0, y = 0.0, z = 0.0;  ///< m, its middle
  double lost = 0.0;                 ///< W
  double current = 0.0;              ///< A r.m.s., mean over it
  double voltage = 0.0;              ///< V r.m.s. across it
  bool within_reach = false;         ///< as for wire ends
};

/// Current on the outside of the line, r.m.s.
struct BraidCurrent {
  double at_radio = 0.0;            ///< A, at the radio's end
  double largest = 0.0;             ///< A, anywhere on it
  double largest_on_antenna = 0.0;  ///< A, on all other wires
  double power = 0.0;  ///< W that it radiates and loses in soil and metal; what it shares with other wires by
                       ///< coupling is halved
};

/// Voltage of a free wire end against the ground (without one: against infinity), at the power that the port
/// takes: what a meter between the two would read where the end is low compared with the wavelength, an
/// indication higher up (moment/end_potential.hpp).
struct WireEnd {
  std::string wire;    ///< name; of several copies alike the first one's
  bool start = false;  ///< the first point of its path, else the last
  int copies = 1;      ///< how many alike there are
  double x = 0.0;      ///< m
  double y = 0.0;
  double z = 0.0;             ///< m, height where there is a ground
  double voltage = 0.0;       ///< V r.m.s.
  bool within_reach = false;  ///< lower than 2.5 m over a ground, and above 50 V
};

/// Voltage across the first port, at the power that it takes.
struct FeedPointVoltage {
  double x = 0.0;  ///< m, middle of the gap
  double y = 0.0;
  double z = 0.0;
  double voltage = 0.0;       ///< V r.m.s.
  bool within_reach = false;  ///< lower than 2.5 m over a ground, and above 50 V
};

/// Directions of a whole pattern: elevations 0 to 90 degrees, true bearings from 0 on.
inline constexpr int kPatternElevations = 19;
inline constexpr int kPatternBearings = 36;
inline constexpr double kElevationStep = 5.0;  // degrees
inline constexpr double kBearingStep = 10.0;

/// Places along a wire at which its current is kept: 0 to 1 of its length.
inline constexpr int kCurrentPlaces = 21;

/// Current along one wire, A r.m.s. at the power that the port takes, its phase that against the voltage
/// across the first port; positive along the wire's path.
struct WireCurrent {
  std::string wire;
  std::vector<std::complex<double>> current;  ///< kCurrentPlaces
};

/// Everything known at one frequency.
struct FrequencyResult {
  double frequency = 0.0;                                   ///< Hz
  std::vector<PortImpedance> ports;                         ///< first one driven, the others short
  std::vector<std::vector<std::complex<double>>> z_matrix;  ///< ohm, only with several ports
  std::complex<double> radio_impedance;                     ///< ohm, at the radio's connector
  double swr_on_line = 1.0;  ///< at the antenna end of the line (behind the transformer)
  double swr_at_radio = 1.0;
  std::optional<double> swr_without_tuner;  ///< at the radio, with the feed's tuners left out; only with one
  std::optional<double> gain_dbi;           ///< maximum; empty when nothing is radiated
  std::optional<double> gain_elevation_deg;
  std::optional<double> gain_azimuth_deg;  ///< true bearing; empty where the pattern is round within 1.5 dB
  std::optional<double> gain_from_radio_dbi;
  std::vector<GainAt> gain_at_elevation;       ///< at 10, 30, 60, 90 degrees
  std::optional<double> radiation_efficiency;  ///< sky power over power accepted at the port
  PowerBudget power;                           ///< W
  std::vector<PartResult> parts;               ///< of the feed, from the antenna to the radio
  std::vector<InsertResult> inserts;           ///< in the model's order
  std::optional<BraidCurrent> braid;           ///< when the outside of the line is laid
  std::optional<Touch> touch;                  ///< when study::add_touch() has been asked
  bool ground_by_difference = false;
  std::vector<WireEnd> wire_ends;              ///< largest voltage first; empty when fields are not asked for
  std::optional<FeedPointVoltage> feed_point;  ///< with wires, and when fields are asked for
  std::vector<double> pattern_dbi;             ///< elevations outermost; empty when it is not asked for
  std::optional<PatternView> view;             ///< when it is asked for
  std::vector<WireCurrent> currents;           ///< every wire; empty when they are not asked for
  int unknowns = 0;
  core::Work work;                        ///< of its own currents; none where they come from a curve
  double impedance_error_relative = 0.0;  ///< |dZ|/|Z|, the calculation's own
  double resistance_error = 0.0;          ///< ohm
  double radio_error_relative = 0.0;      ///< |dZ|/|Z| at the radio that follows from it
  core::Warnings warnings;
  std::optional<Explanation> explanation;  ///< where it was asked for
};

}  // namespace feldspar::results

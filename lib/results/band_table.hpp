#pragma once

#include <complex>
#include <optional>
#include <string>
#include <vector>

#include "core/error.hpp"
#include "core/work.hpp"
#include "results/result.hpp"

/// The operating table: what an antenna does on every amateur band. Plain values, SI units.
namespace feldspar::results {

/// A local minimum of the SWR at the radio.
struct Dip {
  double frequency = 0.0;  ///< Hz
  double swr = 1.0;
};

/// One amateur band. SWR is at the radio throughout.
struct BandRow {
  std::string name;           ///< "40m"
  double lower = 0.0;         ///< Hz, lower edge
  double upper = 0.0;         ///< Hz
  FrequencyResult at_lower;   ///< impedance and SWR only
  FrequencyResult at_middle;  ///< everything; at the mean of the edges
  FrequencyResult at_upper;   ///< impedance and SWR only
  Dip lowest;                 ///< lowest SWR inside the band, edges included
  Dip largest;                ///< largest SWR inside the band, edges included
  double bandwidth_swr2 =
      0.0;  ///< Hz, the stretch round `lowest` with SWR below 2, cut at the edges; 0: none
  double line_loss_at_largest = 0.0;  ///< dB, of the line at `largest`, mismatch included
  /// dB, of a tuner beside the radio at `largest`: an L network of usual parts; empty where SWR is below 2 or
  /// no tuner gets there.
  std::optional<double> tuner_loss;
};

/// What a curve over frequency shows.
struct CurvePoint {
  double frequency = 0.0;                ///< Hz
  std::complex<double> port_impedance;   ///< ohm
  std::complex<double> radio_impedance;  ///< ohm, at the radio's connector
  double swr_at_radio = 1.0;
};

/// All bands, and the dips of the sweep over everything between them.
struct BandTable {
  std::vector<BandRow> bands;     ///< in rising frequency
  std::vector<Dip> dips;          ///< in rising frequency
  double sweep_lower = 0.0;       ///< Hz, range in which dips were looked for
  double sweep_upper = 0.0;       ///< Hz
  std::vector<CurvePoint> curve;  ///< rising; over the sweep and the bands outside it, where it is asked for
  int solves = 0;                 ///< full solutions behind the table
  core::Work work;                ///< of all these
  double interpolation_error = 0.0;  ///< |dZ|/|Z| at the last solutions the interpolation had not seen
  core::Warnings warnings;           ///< of the whole table, each once; those of one band name the band
};

}  // namespace feldspar::results

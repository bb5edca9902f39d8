#pragma once

#include <vector>

#include "decision/bands.hpp"
#include "model/model.hpp"
#include "results/band_table.hpp"
#include "study/solve_many.hpp"

/// The operating table: every amateur band, and the dips between them.
namespace feldspar::study {

struct BandOptions {
  std::vector<decision::Band> bands;
  double sweep_lower =
      1.8e6;  ///< Hz, range in which dips are looked for and between whose ends one curve serves
  double sweep_upper = 54e6;  ///< Hz; bands outside get a curve of their own
  int threads = 1;            ///< >= 1; the answer does not depend on it
};

/// Solves lower edge, middle and upper edge of every band (fields at the middle only), interpolates the port
/// impedance over the sweep and runs the feed line on it closely enough to see every dip.
/// Typically 3 solves per band and 6 to 25 more; see study/port_curve.hpp.
/// An antenna known by its impedance is asked directly; bands its table does not reach from edge to edge are
/// left out with a warning, dips are looked for as far as it goes.
/// @param model its feed and the size of its wires are used; the antenna itself is what `solve` says
/// @throws core::Error{usage} for no bands, edges out of order, or no band within a known antenna's table,
/// and what `solve` throws
[[nodiscard]] results::BandTable run_bands(const model::Model& model, const BandOptions& options,
                                           const SolveFunction& solve);

}  // namespace feldspar::study

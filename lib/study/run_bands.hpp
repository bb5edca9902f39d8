#pragma once

#include <vector>

#include "decision/bands.hpp"
#include "model/model.hpp"
#include "results/band_table.hpp"
#include "study/curve.hpp"
#include "study/solve_many.hpp"

/// The operating table: every amateur band, and the dips between them.
namespace feldspar::study {

struct BandOptions {
  std::vector<decision::Band> bands;
  double sweep_lower =
      1.8e6;  ///< Hz, range in which dips are looked for and between whose ends one curve serves
  double sweep_upper = 54e6;     ///< Hz; bands outside get a curve of their own
  int curve_points = 0;          ///< of BandTable::curve over the sweep, those inside bands besides; 0: none
  bool every_frequency = false;  ///< edges and middles of bands by a solve of their own
  int threads = 1;               ///< >= 1; the answer does not depend on it
};

/// Makes one curve over the sweep (study/curve.hpp), and one for each band outside it, takes edges and middle
/// of every band from it (fields at the middle only) and runs the feed line on it closely enough to see every
/// dip. An antenna known by its impedance is asked directly; bands its table does not reach from edge to edge
/// are left out with a warning, dips are looked for as far as it goes.
/// @param model its feed is used; the antenna itself is what `curve` and `solve` say
/// @param solve asked for a known antenna, and for edges and middles with `every_frequency`
/// @throws core::Error{usage} for no bands, edges out of order, or no band within a known antenna's table,
/// and what `solve` and `curve` throw
[[nodiscard]] results::BandTable run_bands(const model::Model& model, const BandOptions& options,
                                           const CurveMaker& curve, const SolveFunction& solve);

}  // namespace feldspar::study

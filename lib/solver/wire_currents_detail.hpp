#pragma once

#include <complex>
#include <vector>

#include "geometry/wire.hpp"
#include "moment/current.hpp"
#include "results/result.hpp"

/// Currents as people look at them (private to this module).
namespace feldspar::solver {

/// Current at xi, -1 to 1 along the element, A.
[[nodiscard]] std::complex<double> current_at(const moment::ElementCurrent& element, double xi);

/// Every wire at even places along it. @param scale accepted power over that of `currents`
[[nodiscard]] std::vector<results::WireCurrent> wire_currents(const geometry::Structure& structure,
                                                              const moment::Currents& currents, double scale);

}  // namespace feldspar::solver

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>

#include "fields/power.hpp"
#include "solver/braid_detail.hpp"
#include "solver/wire_currents_detail.hpp"

namespace feldspar::solver {

namespace {

constexpr int kLooks = 8;  // per element; currents are polynomials of low order there

double largest_in(const moment::ElementCurrent& element) {
  double largest = 0.0;
  for (int i = 0; i <= kLooks; ++i)
    largest = std::max(largest, std::abs(current_at(element, -1.0 + 2.0 * i / kLooks)));
  return largest;
}

bool holds(const std::vector<int>& list, int wire) {
  return std::find(list.begin(), list.end(), wire) != list.end();
}

}  // namespace

results::BraidCurrent braid_current(const model::LineOutside& outside, const moment::Solution& solution,
                                    const std::vector<double>& ohm_per_metre, double scale) {
  const moment::Currents& currents = solution.unit_currents.front();
  const double to_rms = std::sqrt(0.5 * scale);
  results::BraidCurrent braid;
  for (const moment::ElementCurrent& element : currents) {
    const bool on_braid = holds(outside.wires, element.wire);
    if (!on_braid && holds(outside.end_wires, element.wire)) continue;
    double& largest = on_braid ? braid.largest : braid.largest_on_antenna;
    largest = std::max(largest, to_rms * largest_in(element));
    // Elements stand in the order of the wire, so the last one on the braid ends at the radio.
    if (!outside.wires.empty() && element.wire == outside.wires.back())
      braid.at_radio = to_rms * std::abs(current_at(element, 1.0));
  }
  const std::vector<double> power = moment::wire_power(solution);
  std::vector<double> of_braid(ohm_per_metre.size(), 0.0);
  for (const std::vector<int>* list : {&outside.wires, &outside.end_wires})
    for (const int wire : *list) {
      of_braid[static_cast<std::size_t>(wire)] = ohm_per_metre[static_cast<std::size_t>(wire)];
      braid.power += scale * power[static_cast<std::size_t>(wire)];
    }
  braid.power += scale * fields::conductor_loss(currents, of_braid);
  return braid;
}

}  // namespace feldspar::solver

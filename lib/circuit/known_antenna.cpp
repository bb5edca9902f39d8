#include "circuit/known_antenna.hpp"

namespace feldspar::circuit {

Complex impedance_at(const KnownAntenna& antenna, core::Frequency f) {
  return antenna.table ? one_port_impedance(*antenna.table, f) : antenna.impedance;
}

bool covers(const KnownAntenna& antenna, double f) noexcept {
  return !antenna.table || covers(*antenna.table, f);
}

}  // namespace feldspar::circuit

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>

#include "circuit/coil.hpp"
#include "media/wire_impedance.hpp"
#include "solver/setting_detail.hpp"

namespace feldspar::solver {

namespace {

using Complex = std::complex<double>;

Complex between(const std::vector<geometry::ImpedanceAt>& rows, double f) {
  const auto above =
      std::upper_bound(rows.begin(), rows.end(), f,
                       [](double at, const geometry::ImpedanceAt& row) { return at < row.frequency; });
  if (above == rows.begin()) return rows.front().impedance;
  if (above == rows.end()) return rows.back().impedance;
  const geometry::ImpedanceAt& below = *(above - 1);
  const double share = (f - below.frequency) / (above->frequency - below.frequency);
  return (1.0 - share) * below.impedance + share * above->impedance;
}

Complex insert_impedance(const geometry::Insert& insert, core::Frequency f) {
  if (!insert.measured.empty()) return between(insert.measured, f.si);
  const double w = core::angular(f);
  const Complex coil =
      circuit::coil_impedance({insert.inductance, insert.q, insert.q_frequency, insert.self_capacitance}, f);
  const bool capacitor = std::isfinite(insert.capacitance);
  if (!insert.parallel)
    return insert.resistance + coil + (capacitor ? Complex{0.0, -1.0 / (w * insert.capacitance)} : 0.0);
  Complex admittance = capacitor ? Complex{0.0, w * insert.capacitance} : 0.0;
  if (insert.inductance > 0.0) admittance += 1.0 / coil;
  if (insert.resistance > 0.0) admittance += 1.0 / insert.resistance;
  return circuit::impedance_of(admittance);
}

}  // namespace

void check_input(const model::Model& model, core::Frequency f) {
  if (!(f.si > 0.0) || !std::isfinite(f.si))
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("frequency {:g} Hz: expected a frequency above zero, such as 7.1 MHz", f.si));
  if (model.antenna) return;
  if (model.structure.wires.empty())
    throw core::Error(core::ErrorKind::model, "the model has no wires that are present; add at least one");
  if (model.structure.ports.empty())
    throw core::Error(core::ErrorKind::model, "the model has no port; add [port] with a wire and a position");
}

moment::Setting setting_for(Accuracy accuracy) {
  switch (accuracy) {
    case Accuracy::draft:
      return {geometry::draft_mesh(), 1e-5};
    case Accuracy::fine:
      return {geometry::fine_mesh(), 1e-8};
    case Accuracy::normal:
      break;
  }
  return {geometry::normal_mesh(), 1e-6};
}

ElectricalStructure electrical(const geometry::Structure& structure, core::Frequency f) {
  ElectricalStructure result{structure, {}};
  for (geometry::Wire& wire : result.structure.wires) {
    Complex per_metre = media::internal_impedance(core::Length{wire.radius}, wire.conductor.conductivity,
                                                  wire.conductor.relative_permeability, f);
    double sheath = std::numeric_limits<double>::infinity();
    if (wire.coat.thickness > 0.0) {
      const media::CoatEffect coat =
          media::coat_effect(core::Length{wire.radius}, core::Length{wire.radius + wire.coat.thickness},
                             wire.coat.relative_permittivity);
      per_metre += Complex{0.0, core::angular(f) * coat.sheath_inductance};
      sheath = coat.sheath_capacitance;
      wire.radius += wire.coat.thickness;
    }
    result.series.per_metre.push_back(per_metre);
    result.series.sheath_capacitance.push_back(sheath);
  }
  for (const geometry::Insert& insert : structure.inserts)
    result.series.inserts.push_back(insert_impedance(insert, f));
  return result;
}

}  // namespace feldspar::solver

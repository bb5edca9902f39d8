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

Complex insert_impedance(const geometry::Insert& insert, core::Frequency f) {
  if (insert.law) return insert.law(core::Frequency{std::clamp(f.si, insert.law_from, insert.law_to)});
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

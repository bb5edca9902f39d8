#include "circuit/transformer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

void validate(double impedance_ratio, double loss_db) {
  if (!(std::isfinite(impedance_ratio) && impedance_ratio > 0.0)) {
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("a transformer needs an impedance ratio above 0, not {:g}", impedance_ratio));
  }
  if (!(std::isfinite(loss_db) && loss_db >= 0.0)) {
    throw core::Error(core::ErrorKind::usage,
                      fmt::format("a transformer needs a loss of 0 dB or more, not {:g} dB", loss_db));
  }
}

}  // namespace

double assumed_transformer_loss_db(double impedance_ratio) noexcept {
  return std::max(impedance_ratio, 1.0 / impedance_ratio) > 16.0 ? 1.0 : 0.5;
}

Transformer make_transformer(double impedance_ratio, std::optional<double> loss_db) {
  const double loss = loss_db.value_or(assumed_transformer_loss_db(impedance_ratio));
  validate(impedance_ratio, loss);
  return {impedance_ratio, loss, !loss_db.has_value()};
}

TwoPort transformer_two_port(const Transformer& transformer, double radio_side_resistance) {
  validate(transformer.impedance_ratio, transformer.loss_db);
  const double neper = transformer.loss_db * std::log(10.0) / 20.0;
  const double cosh = std::cosh(neper);
  const double sinh = std::sinh(neper);
  const TwoPort attenuator{cosh, radio_side_resistance * sinh, sinh / radio_side_resistance, cosh};
  return cascade(attenuator, ideal_transformer(1.0 / std::sqrt(transformer.impedance_ratio)));
}

}  // namespace feldspar::circuit

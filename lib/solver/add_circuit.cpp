#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <vector>

#include "solver/add_circuit_detail.hpp"

namespace feldspar::solver {

namespace {

/// Voltage and current at the antenna end of a part through which `watts` pass into `load`.
void add_stage(const circuit::FeedStage& stage, double power, results::FrequencyResult& result) {
  const double passing = power * (stage.entering - stage.lost);
  results::PartResult part{
      stage.load, stage.input, power * stage.entering, power * stage.lost, stage.loss_db, 0.0,
      0.0,        stage.works};
  if (passing > 0.0) {
    part.current = std::sqrt(passing / stage.load.real());
    part.voltage = part.current * std::abs(stage.load);
  }
  if (stage.matched > 0.0) part.matched_loss_db = -10.0 * std::log10(1.0 - stage.matched / stage.entering);
  result.parts.push_back(part);
}

void warn_of_rows(const circuit::NetworkData& data, core::Frequency f, results::FrequencyResult& result) {
  constexpr double kFar = 1.0;  // from where interpolation is wrong by some percent
  if (circuit::step_around(data, f) > kFar)
    result.warnings.push_back(
        {"sparse-table",
         fmt::format("the rows of {} lie too far apart here to be interpolated well; measure in "
                     "finer steps",
                     data.name)});
}

void warn_of_parts(const model::Feed& feed, core::Frequency f, results::FrequencyResult& result) {
  for (std::size_t i = 0; i < feed.parts.size(); ++i) {
    if (!result.parts[i].works)
      result.warnings.push_back(
          {"tuner", fmt::format("the tuner cannot match {:.4g} {} j{:.4g} ohm and is passed by",
                                result.parts[i].load.real(), result.parts[i].load.imag() < 0.0 ? "-" : "+",
                                std::abs(result.parts[i].load.imag()))});
    if (const auto* measured = std::get_if<circuit::MeasuredPart>(&feed.parts[i]))
      warn_of_rows(measured->data, f, result);
    const auto* core = std::get_if<circuit::CoreTransformer>(&feed.parts[i]);
    if (core && circuit::outside_material_table(*core, f))
      result.warnings.push_back({"core-table",
                                 "the core's permeability is not given at this frequency; the nearest row is "
                                 "used"});
  }
}

/// SWR at the radio with the tuners left out; empty without one.
std::optional<double> swr_without_tuner(const model::Feed& feed, core::Frequency f,
                                        std::complex<double> load) {
  std::vector<circuit::FeedPart> parts = feed.parts;
  const auto count =
      std::erase_if(parts, [](const auto& part) { return std::holds_alternative<circuit::Tuner>(part); });
  if (count == 0) return std::nullopt;
  return circuit::run_feed(parts, f, load, feed.reference_resistance).swr_at_radio;
}

}  // namespace

void add_circuit(const model::Model& model, core::Frequency f, results::FrequencyResult& result) {
  const circuit::FeedResult feed =
      circuit::run_feed(model.feed.parts, f, result.ports.front().impedance, model.feed.reference_resistance);
  const double power = model.feed.power;
  result.radio_impedance = feed.radio_impedance;
  result.swr_on_line = feed.swr_on_line;
  result.swr_at_radio = feed.swr_at_radio;
  result.swr_without_tuner = swr_without_tuner(model.feed, f, result.ports.front().impedance);
  const double error = result.impedance_error_relative * std::abs(result.ports.front().impedance);
  result.radio_error_relative = feed.sensitivity * error / std::abs(feed.radio_impedance);
  result.power.radio = power;
  result.power.tuner = feed.tuner * power;
  result.power.line_matched = feed.line_matched * power;
  result.power.line_extra = feed.line_extra * power;
  result.power.stub = feed.stub * power;
  result.power.transformer = feed.transformer * power;
  result.power.two_port = feed.two_port * power;
  for (const circuit::FeedStage& stage : feed.stages) add_stage(stage, power, result);
  warn_of_parts(model.feed, f, result);
  if (model.antenna && model.antenna->table) warn_of_rows(*model.antenna->table, f, result);
}

double accepted_power(const results::PowerBudget& power) {
  return power.radio - power.tuner - power.line_matched - power.line_extra - power.stub - power.transformer -
         power.two_port;
}

}  // namespace feldspar::solver

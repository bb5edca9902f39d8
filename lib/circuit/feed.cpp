#include "circuit/feed.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "circuit/line.hpp"
#include "circuit/reflection.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

double kept(double loss_db) {
  return std::pow(10.0, -0.1 * loss_db);
}

/// One part's stage with the fields that its load alone decides.
FeedStage through(const TwoPort& two_port, Complex load, double least_loss_db = 0.0) {
  FeedStage stage;
  stage.input = input_impedance(two_port, load);
  stage.loss_db = std::max(least_loss_db, loss_db(two_port, load));
  stage.sensitivity = std::abs(determinant(two_port)) / std::norm(two_port.c * load + two_port.d);
  return stage;
}

struct RunPart {
  core::Frequency f;
  Complex load;
  double reference_resistance;

  FeedStage operator()(const Transformer& transformer) const {
    FeedStage stage = through(transformer_two_port(transformer, reference_resistance), load);
    if (transformer.loss_db == 0.0) stage.loss_db = 0.0;
    return stage;
  }
  FeedStage operator()(const Line& line) const {
    const LineConstants constants = line_constants(line, f);
    FeedStage stage;
    stage.input = line_input(constants, line.length, load);
    stage.loss_db = line.length > 0.0 ? line_loss_db(constants, line.length, load) : 0.0;
    stage.sensitivity = line_sensitivity(constants, line.length, load);
    stage.matched = 1.0 - kept(matched_loss_db(constants, line.length));
    return stage;
  }
  FeedStage operator()(const CoreTransformer& transformer) const {
    return through(core_transformer_two_port(transformer, f), load);
  }
  FeedStage operator()(const Stub& stub) const { return through(stub_two_port(stub, f), load); }
  FeedStage operator()(const Tuner& tuner) const {
    const TunerSetting setting = match(tuner, f, load, reference_resistance);
    if (setting.matched) return through(setting.two_port, load);
    FeedStage passed_by;
    passed_by.input = load;
    passed_by.works = false;
    return passed_by;
  }
  FeedStage operator()(const MeasuredPart& part) const {
    return through(two_port_at(part.data, f, part.antenna_first), load,
                   -std::numeric_limits<double>::infinity());
  }
};

void check(double reference_resistance, Complex load) {
  if (!(std::isfinite(reference_resistance) && reference_resistance > 0.0)) {
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("the reference resistance must be above 0 ohm, not {:g}", reference_resistance));
  }
  if (!(std::isfinite(load.imag()) && std::isfinite(load.real()) && load.real() >= 0.0)) {
    throw core::Error(
        core::ErrorKind::numerics,
        fmt::format("the impedance at the port, {:g}{:+g}j ohm, is not that of something passive",
                    load.real(), load.imag()));
  }
}

/// Adds the loss of a part to the sum it belongs to.
void count(LossKind kind, const FeedStage& stage, FeedResult& result) {
  switch (kind) {
    case LossKind::tuner:
      result.tuner += stage.lost;
      break;
    case LossKind::line:
      result.line_matched += stage.matched;
      result.line_extra += stage.lost - stage.matched;
      result.line_loss_db += stage.loss_db;
      break;
    case LossKind::stub:
      result.stub += stage.lost;
      break;
    case LossKind::transformer:
      result.transformer += stage.lost;
      break;
    case LossKind::two_port:
      result.two_port += stage.lost;
      break;
  }
  result.loss_db += stage.loss_db;
}

}  // namespace

LossKind loss_kind(const FeedPart& part) noexcept {
  struct Kind {
    LossKind operator()(const Transformer&) const { return LossKind::transformer; }
    LossKind operator()(const Line&) const { return LossKind::line; }
    LossKind operator()(const CoreTransformer&) const { return LossKind::transformer; }
    LossKind operator()(const Stub&) const { return LossKind::stub; }
    LossKind operator()(const Tuner&) const { return LossKind::tuner; }
    LossKind operator()(const MeasuredPart& part) const {
      return part.transformer ? LossKind::transformer : LossKind::two_port;
    }
  };
  return std::visit(Kind{}, part);
}

FeedResult run_feed(std::span<const FeedPart> parts, core::Frequency f, std::complex<double> load,
                    double reference_resistance) {
  check(reference_resistance, load);
  FeedResult result;
  Complex impedance = load;
  bool has_line = false;
  for (const FeedPart& part : parts) {
    if (const Line* line = std::get_if<Line>(&part)) {
      has_line = true;
      result.swr_on_line = swr(impedance, line->z0);
    }
    result.stages.push_back(std::visit(RunPart{f, impedance, reference_resistance}, part));
    result.stages.back().load = impedance;
    result.sensitivity *= result.stages.back().sensitivity;
    impedance = result.stages.back().input;
  }
  result.radio_impedance = impedance;
  result.swr_at_radio = swr(impedance, reference_resistance);
  if (!has_line) result.swr_on_line = result.swr_at_radio;

  // Power runs the other way: what is left after each part, from the radio to the antenna.
  double power = 1.0;
  for (std::size_t i = parts.size(); i-- > 0;) {
    FeedStage& stage = result.stages[i];
    const double left = power * kept(stage.loss_db);
    stage.entering = power;
    stage.lost = power - left;
    stage.matched *= power;
    count(loss_kind(parts[i]), stage, result);
    power = left;
  }
  result.antenna = power;
  return result;
}

}  // namespace feldspar::circuit

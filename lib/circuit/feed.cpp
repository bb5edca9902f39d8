#include "circuit/feed.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "circuit/line.hpp"
#include "circuit/reflection.hpp"
#include "circuit/transformer.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

/// One part with its load: what it looks like from the radio's side and what it loses.
struct Stage {
  Complex input;            // ohm
  double loss_db = 0.0;     // exact
  double matched_db = 0.0;  // lines only
  bool is_line = false;
};

Stage run_part(const Transformer& transformer, core::Frequency, Complex load, double reference_resistance) {
  const TwoPort two_port = transformer_two_port(transformer, reference_resistance);
  Stage stage;
  stage.input = input_impedance(two_port, load);
  if (transformer.loss_db > 0.0) stage.loss_db = std::max(0.0, loss_db(two_port, load));
  return stage;
}

Stage run_part(const Line& line, core::Frequency f, Complex load, double) {
  const LineConstants constants = line_constants(line, f);
  Stage stage;
  stage.is_line = true;
  stage.input = line_input(constants, line.length, load);
  stage.matched_db = matched_loss_db(constants, line.length);
  stage.loss_db = line.length > 0.0 ? line_loss_db(constants, line.length, load) : 0.0;
  return stage;
}

double kept(double loss_db) {
  return std::pow(10.0, -0.1 * loss_db);
}

}  // namespace

FeedResult run_feed(std::span<const FeedPart> parts, core::Frequency f, std::complex<double> load,
                    double reference_resistance) {
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
  FeedResult result;
  std::vector<Stage> stages;
  Complex impedance = load;
  bool has_line = false;
  for (const FeedPart& part : parts) {
    if (const Line* line = std::get_if<Line>(&part)) {
      has_line = true;
      result.swr_on_line = swr(impedance, line->z0);
    }
    stages.push_back(
        std::visit([&](const auto& p) { return run_part(p, f, impedance, reference_resistance); }, part));
    impedance = stages.back().input;
  }
  result.radio_impedance = impedance;
  result.swr_at_radio = swr(impedance, reference_resistance);
  if (!has_line) result.swr_on_line = result.swr_at_radio;

  // Power runs the other way: what is left after each part, from the radio to the antenna.
  std::reverse(stages.begin(), stages.end());
  double power = 1.0;
  for (const Stage& stage : stages) {
    const double left = power * kept(stage.loss_db);
    if (stage.is_line) {
      const double matched = power * (1.0 - kept(stage.matched_db));
      result.line_matched += matched;
      result.line_extra += (power - left) - matched;
      result.line_loss_db += stage.loss_db;
    } else {
      result.transformer += power - left;
      result.transformer_loss_db += stage.loss_db;
    }
    power = left;
  }
  result.antenna = power;
  return result;
}

double feed_loss_db(std::span<const FeedPart> parts, core::Frequency f, std::complex<double> load,
                    double reference_resistance) {
  const FeedResult result = run_feed(parts, f, load, reference_resistance);
  return result.line_loss_db + result.transformer_loss_db;
}

}  // namespace feldspar::circuit

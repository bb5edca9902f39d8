#include <doctest/doctest.h>

#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "../support/close.hpp"
#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "circuit/reflection.hpp"
#include "solver/solve.hpp"

// Laws of whole feeds, from a known antenna to the radio, over random passive parts with fixed seeds.
namespace feldspar {

namespace {

using Complex = std::complex<double>;

class Feeds {
 public:
  explicit Feeds(unsigned seed) : engine_(seed), f_{log_between(0.5e6, 60e6)} {}

  [[nodiscard]] core::Frequency frequency() const { return f_; }
  double unit() { return unit_(engine_); }
  double log_between(double low, double high) { return low * std::pow(high / low, unit()); }
  Complex load() { return {log_between(1e-3, 1e5), (unit() < 0.5 ? -1.0 : 1.0) * log_between(1e-2, 1e5)}; }

  circuit::FeedPart part() {
    switch (static_cast<int>(unit() * 6.0)) {
      case 0:
        return circuit::make_transformer(log_between(0.01, 100.0), 3.0 * unit());
      case 1:
        return line();
      case 2:
        return core_transformer();
      case 3:
        return circuit::Stub{line(), unit() < 0.5, unit() < 0.5};
      case 4:
        return tuner();
      default:
        return measured();
    }
  }

 private:
  circuit::Line line() {
    const std::vector<std::string> names = circuit::line_type_names();
    circuit::Line line =
        *circuit::line_type(names[static_cast<std::size_t>(unit() * static_cast<double>(names.size()))]);
    line.length = log_between(0.01, 100.0);
    return line;
  }

  circuit::CoreTransformer core_transformer() {
    if (unit() < 0.3) return *circuit::ready_transformer("49:1");
    circuit::CoreTransformer part;
    part.impedance_ratio = log_between(0.1, 100.0);
    part.magnetising_inductance = log_between(0.5e-6, 100e-6);
    part.shunt_conductance = log_between(1e-5, 1e-2);
    part.leakage_inductance = log_between(1e-9, 1e-6);
    part.winding_capacitance = log_between(1e-13, 1e-10);
    part.winding_resistance = log_between(0.01, 2.0);
    return part;
  }

  circuit::Tuner tuner() {
    circuit::Tuner tuner;
    tuner.network = static_cast<circuit::Tuner::Network>(static_cast<int>(unit() * 3.0));
    tuner.coil_q = log_between(20.0, 500.0);
    tuner.capacitor_q = log_between(100.0, 5000.0);
    tuner.largest_swr = unit() < 0.5 ? 10.0 : std::numeric_limits<double>::infinity();
    tuner.largest_capacitance = log_between(50e-12, 2e-9);
    return tuner;
  }

  /// Any passive two-port, one-way ones too: its largest singular value is at most 1.
  circuit::MeasuredPart measured() {
    Eigen::Matrix2cd s;
    for (Complex& x : s.reshaped()) x = {2.0 * unit() - 1.0, 2.0 * unit() - 1.0};
    s *= (0.5 + 0.5 * unit()) / s.jacobiSvd().singularValues()(0);
    circuit::MeasuredPart part;
    part.data = {2, {f_.si}, {{s(0, 0), s(0, 1), s(1, 0), s(1, 1)}}, {log_between(10.0, 300.0), 50.0}, "any"};
    part.antenna_first = unit() < 0.5;
    part.transformer = unit() < 0.5;
    return part;
  }

  std::mt19937_64 engine_;
  std::uniform_real_distribution<double> unit_{0.0, 1.0};
  core::Frequency f_;
};

double sum(const results::PowerBudget& p) {
  return p.tuner + p.line_matched + p.line_extra + p.stub + p.transformer + p.two_port + p.choke + p.antenna +
         p.coils + p.wires + p.ground + p.sky + p.unaccounted;
}

}  // namespace

TEST_CASE("feeds: watts add up, nothing is negative but extra line loss, no SWR is below 1") {
  int tuned = 0;
  double least_extra = 0.0;
  for (unsigned seed = 1; seed <= 4000; ++seed) {
    CAPTURE(seed);
    Feeds any(seed);
    model::Model model;
    model.antenna = circuit::KnownAntenna{any.load(), {}};
    model.feed.power = any.log_between(0.1, 1500.0);
    model.feed.reference_resistance = any.unit() < 0.7 ? 50.0 : any.log_between(10.0, 600.0);
    const auto count = static_cast<std::size_t>(any.unit() * 8.0);
    for (std::size_t i = 0; i < count; ++i) model.feed.parts.push_back(any.part());
    const results::FrequencyResult result = solver::solve(model, any.frequency());

    const results::PowerBudget& power = result.power;
    const double radio = power.radio;
    CHECK(radio == model.feed.power);
    CHECK(std::abs(sum(power) - radio) <= 1e-9 * radio);
    const double rounding = 1e-9 * radio;
    for (const double part : {power.tuner, power.line_matched, power.stub, power.transformer, power.antenna})
      CHECK(part >= 0.0);
    CHECK(power.two_port >= -rounding);
    for (const double part :
         {power.choke, power.coils, power.wires, power.ground, power.sky, power.unaccounted})
      CHECK(part == 0.0);
    least_extra = std::min(least_extra, power.line_extra / radio);

    CHECK(result.swr_at_radio >= 1.0);
    CHECK(result.swr_on_line >= 1.0);
    CHECK(result.radio_impedance.real() >= 0.0);
    CHECK_FALSE(result.gain_dbi.has_value());
    CHECK_FALSE(result.gain_from_radio_dbi.has_value());
    CHECK_FALSE(result.radiation_efficiency.has_value());
    CHECK_FALSE(result.braid.has_value());

    // Part by part: what leaves one enters the next, and the last watt is the antenna's.
    REQUIRE(result.parts.size() == count);
    double passing = radio;
    double lost = 0.0;
    std::map<circuit::LossKind, double> by_kind;
    Complex behind = result.radio_impedance;
    for (std::size_t i = count; i-- > 0;) {
      const results::PartResult& part = result.parts[i];
      CHECK(std::abs(part.entering - passing) <= 1e-12 * radio);
      CHECK(part.lost >=
            (std::holds_alternative<circuit::MeasuredPart>(model.feed.parts[i]) ? -rounding : 0.0));
      CHECK(part.input == behind);
      passing = part.entering - part.lost;
      lost += part.lost;
      by_kind[circuit::loss_kind(model.feed.parts[i])] += part.lost;
      behind = part.load;
      if (passing > 1e-9 * radio)
        CHECK(testing::relative_error(part.voltage, part.current * std::abs(part.load)) <= 1e-12);
      if (std::holds_alternative<circuit::Tuner>(model.feed.parts[i]) && part.works) {
        ++tuned;
        CHECK(circuit::swr(part.input, model.feed.reference_resistance) <= 1.0 + 1e-8);
      }
    }
    CHECK(behind == result.ports[0].impedance);
    CHECK(std::abs(passing - power.antenna) <= rounding);
    CHECK(std::abs(lost + power.antenna - radio) <= rounding);
    using circuit::LossKind;
    CHECK(std::abs(by_kind[LossKind::tuner] - power.tuner) <= rounding);
    CHECK(std::abs(by_kind[LossKind::stub] - power.stub) <= rounding);
    CHECK(std::abs(by_kind[LossKind::transformer] - power.transformer) <= rounding);
    CHECK(std::abs(by_kind[LossKind::two_port] - power.two_port) <= rounding);
    CHECK(std::abs(by_kind[LossKind::line] - power.line_matched - power.line_extra) <= rounding);
  }
  CHECK(tuned > 300);          // so that tuners are tested at work
  CHECK(least_extra < -1e-4);  // and lines where a mismatch saves loss
}

}  // namespace feldspar

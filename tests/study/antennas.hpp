#pragma once

#include <atomic>
#include <cmath>
#include <complex>
#include <functional>
#include <memory>
#include <utility>

#include "core/constants.hpp"
#include "study/curve.hpp"
#include "study/frequency_model.hpp"
#include "study/solve_many.hpp"

/// Antennas whose impedance is a formula, so that an interpolated curve has a truth to be compared with.
/// Source: derived, elementary circuit and line theory.
namespace antennas {

using Complex = std::complex<double>;

/// An open wire as a lossy line of 450 ohm whose loss stands for radiation and soil, over a stake of `base`
/// ohm. Quarter-wave resonances at c / (4 length) and odd multiples.
inline Complex wire(double f, double length, double base, double nepers = 0.1) {
  const Complex s(0.0, 2.0 * feldspar::core::kPi * f);
  const Complex gamma(nepers / length, 0.0);
  return base + 450.0 / std::tanh(length * (s / feldspar::core::kSpeedOfLight + gamma));
}

/// The same behind a base coil with q of 300.
inline Complex loaded_whip(double f, double length, double inductance) {
  const double w = 2.0 * feldspar::core::kPi * f;
  return wire(f, length, 20.0, 0.002) + Complex(w * inductance / 300.0, w * inductance);
}

/// Wraps an impedance as a solve that counts its calls. The port is the radio.
struct Counted {
  std::shared_ptr<std::atomic<int>> calls = std::make_shared<std::atomic<int>>(0);
  std::function<Complex(double)> impedance;
  double noise = 0.0;

  feldspar::results::FrequencyResult operator()(feldspar::core::Frequency f, bool fields) const {
    ++*calls;
    feldspar::results::FrequencyResult result;
    result.frequency = f.si;
    const Complex error(std::sin(f.si * 0.731), std::cos(f.si * 0.291));
    const Complex z = impedance(f.si) * (1.0 + noise * error);
    result.ports = {{"feed", z}};
    result.radio_impedance = z;
    const double reflection = std::abs((z - 50.0) / (z + 50.0));
    result.swr_at_radio = result.swr_on_line = (1.0 + reflection) / (1.0 - reflection);
    result.impedance_error_relative = noise;
    result.resistance_error = noise * std::abs(z);
    if (fields) {
      result.gain_dbi = 1.0;
      result.gain_elevation_deg = 25.0;
      result.radiation_efficiency = 0.4;
      result.power.radio = 100.0;
      result.power.sky = 40.0;
      result.power.ground = 60.0;
    }
    return result;
  }
};

/// A formula as curves: the frequency model of its admittance.
class FormulaCurve final : public feldspar::study::Curve {
 public:
  FormulaCurve(Counted truth, double lower, double upper, int threads) : truth_(std::move(truth)) {
    feldspar::study::FrequencyModelOptions options;
    options.lower = lower;
    options.upper = upper;
    options.threads = threads;
    model_ = feldspar::study::make_frequency_model(
        [this](double f) {
          const auto solved = truth_(feldspar::core::Frequency{f}, false);
          return Eigen::VectorXcd::Constant(1, 1.0 / solved.ports[0].impedance);
        },
        options);
    solves = static_cast<int>(model_.frequencies.size());
    error = model_.error;
    converged = model_.converged;
  }
  [[nodiscard]] Complex impedance(double f) const override { return model_.impedance(f); }
  [[nodiscard]] feldspar::results::FrequencyResult result(feldspar::core::Frequency f,
                                                          bool fields) const override {
    Counted between = truth_;
    between.calls = std::make_shared<std::atomic<int>>(0);
    between.impedance = [this](double x) { return impedance(x); };
    return between(f, fields);
  }

 private:
  Counted truth_;
  feldspar::study::FrequencyModel model_;
};

inline feldspar::study::CurveMaker curves_of(const Counted& truth, int threads = 1) {
  return [truth, threads](double lower, double upper) -> std::unique_ptr<feldspar::study::Curve> {
    return std::make_unique<FormulaCurve>(truth, lower, upper, threads);
  };
}

inline double swr50(double /*f*/, Complex z) {
  const double reflection = std::abs((z - 50.0) / (z + 50.0));
  return reflection < 1.0 ? (1.0 + reflection) / (1.0 - reflection) : 1e9;
}

}  // namespace antennas

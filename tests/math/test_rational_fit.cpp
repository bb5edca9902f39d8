#include "math/rational_fit.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <vector>

#include "core/constants.hpp"
#include "core/error.hpp"

using feldspar::core::kPi;
using feldspar::math::fit_rational;
using feldspar::math::RationalFit;
using feldspar::math::RationalSample;
using Complex = std::complex<double>;

namespace {

// Source of every case: derived, elementary circuit theory at s = j 2 pi f.
Complex series_rlc(double f) {  // 20 ohm, 18 uH, 28 pF: resonant at 7.09 MHz with Q = 40
  const Complex s(0.0, 2.0 * kPi * f);
  return 20.0 + s * 18e-6 + 1.0 / (s * 28e-12);
}
Complex two_resonances(double f) {  // the circuit above beside a damped parallel circuit at 21.2 MHz
  const Complex s(0.0, 2.0 * kPi * f);
  return series_rlc(f) + 1.0 / (1.0 / 3000.0 + s * 25e-12 + 1.0 / (s * 2.25e-6));
}
Complex open_line(
    double f) {  // 10.4 m of 600 ohm line, open, with loss that grows as sqrt(s): about 2 dB at 54 MHz
  const Complex s(0.0, 2.0 * kPi * f);
  const Complex gamma_l = 10.4 * (s / 299792458.0 + 1.2e-6 * std::sqrt(s));
  return 600.0 / std::tanh(gamma_l);
}

std::vector<RationalSample> sample(Complex (*z)(double), double from, double to, int count) {
  std::vector<RationalSample> samples;
  for (int i = 0; i < count; ++i) {
    const double f = from + (to - from) * i / (count - 1.0);
    samples.push_back({f, z(f)});
  }
  return samples;
}

double worst_between(const RationalFit& fit, Complex (*z)(double), double from, double to) {
  double worst = 0.0;
  for (int i = 0; i <= 5000; ++i) {
    const double f = from * std::pow(to / from, i / 5000.0);
    worst = std::max(worst, std::abs(fit(f) - z(f)) / std::abs(z(f)));
  }
  return worst;
}

}  // namespace

TEST_CASE("rational fit: circuits of lumped parts come back exactly") {
  struct Row {
    Complex (*z)(double);
    int samples;
    int degree;  // of the impedance in s, which needs (degree + 1) / 2 support points in a mirrored fit
  };
  constexpr Row kRows[] = {{series_rlc, 5, 2}, {two_resonances, 9, 4}};
  for (const Row& row : kRows) {
    CAPTURE(row.samples);
    const RationalFit fit = fit_rational(sample(row.z, 1.8e6, 54e6, row.samples), {1e-10, 60});
    CHECK(fit.residual() < 1e-10);
    CHECK(fit.support_points() <= row.degree);
    CHECK(worst_between(fit, row.z, 1.8e6, 54e6) < 1e-8);  // rounding, amplified by the high reactance
  }
}

TEST_CASE("rational fit: a distributed circuit converges with the number of samples") {
  double last = 1.0;
  for (const int count : {10, 14, 18, 22}) {
    CAPTURE(count);
    const RationalFit fit = fit_rational(sample(open_line, 1.8e6, 54e6, count), {1e-12, 60});
    const double worst = worst_between(fit, open_line, 1.8e6, 54e6);
    CHECK(worst < last);
    last = worst;
  }
  CHECK(last < 1e-4);
}

TEST_CASE("rational fit: impedance and admittance fits agree, and the mirror image is the conjugate") {
  std::vector<RationalSample> z = sample(open_line, 1.8e6, 54e6, 24);
  std::vector<RationalSample> y = z;
  for (RationalSample& s : y) s.value = 1.0 / s.value;
  const RationalFit impedance = fit_rational(z, {1e-9, 60});
  const RationalFit admittance = fit_rational(y, {1e-9, 60});
  for (double f = 2e6; f < 54e6; f += 0.37e6) {
    CAPTURE(f);
    CHECK(std::abs(impedance(f) * admittance(f) - 1.0) < 1e-4);
    CHECK(std::abs(impedance(-f) - std::conj(impedance(f))) <= 1e-9 * std::abs(impedance(f)));
  }
}

TEST_CASE("rational fit: support points are met exactly, in any order of the samples") {
  std::vector<RationalSample> samples = sample(two_resonances, 3e6, 30e6, 12);
  const RationalFit fit = fit_rational(samples);
  std::vector<RationalSample> reversed(samples.rbegin(), samples.rend());
  const RationalFit again = fit_rational(reversed);
  for (double f = 3e6; f < 30e6; f *= 1.01) CHECK(fit(f) == again(f));
  for (const RationalSample& s : samples) CHECK(std::abs(fit(s.x) - s.value) <= 1e-6 * std::abs(s.value));
}

TEST_CASE("rational fit: noise in the samples is not blown up between them") {
  std::vector<RationalSample> samples = sample(open_line, 1.8e6, 54e6, 40);
  constexpr double kNoise = 3e-4;  // the size of a jump when a mesh changes with frequency
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const double k = static_cast<double>(i);
    samples[i].value *= 1.0 + kNoise * Complex(std::sin(12.9898 * k * k), std::sin(78.233 * k * k + 1.0));
  }
  const RationalFit fit = fit_rational(samples, {1e-4, 60});
  CHECK(worst_between(fit, open_line, 1.8e6, 54e6) < 10.0 * kNoise);
}

TEST_CASE("rational fit: samples that cannot be fitted are refused") {
  const std::vector<std::vector<RationalSample>> bad = {
      {},
      {{1.0, {1.0, 0.0}}},
      {{1.0, {1.0, 0.0}}, {1.0, {2.0, 0.0}}},
      {{0.0, {1.0, 0.0}}, {1.0, {2.0, 0.0}}},
      {{1.0, {0.0, 0.0}}, {2.0, {2.0, 0.0}}},
      {{1.0, {std::nan(""), 0.0}}, {2.0, {2.0, 0.0}}},
  };
  for (const auto& samples : bad) CHECK_THROWS_AS((void)fit_rational(samples), feldspar::core::Error);
}

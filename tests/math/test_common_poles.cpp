#include "math/common_poles.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <vector>

#include "core/constants.hpp"
#include "core/error.hpp"

using feldspar::core::kPi;
using feldspar::math::best_of;
using feldspar::math::CommonPoles;
using feldspar::math::fit_common_poles;
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
    double f) {  // 10.4 m of 600 ohm line, open; its loss grows as sqrt(s): about 2 dB at 54 MHz
  const Complex s(0.0, 2.0 * kPi * f);
  const Complex gamma_l = 10.4 * (s / 299792458.0 + 1.2e-6 * std::sqrt(s));
  return 600.0 / std::tanh(gamma_l);
}

/// Current on the open line at a fraction of its length from the open end, for 1 V.
Complex line_current(double f, double fraction) {
  const Complex s(0.0, 2.0 * kPi * f);
  const Complex gamma_l = 10.4 * (s / 299792458.0 + 1.2e-6 * std::sqrt(s));
  return std::sinh(gamma_l * fraction) / (600.0 * std::cosh(gamma_l));
}

struct Samples {
  std::vector<double> x;
  Eigen::MatrixXcd table;
  Eigen::MatrixXd allowed;

  template <class Function>
  Samples(const Function& rows, double from, double to, int count, double tolerance) {
    for (int i = 0; i < count; ++i) {
      x.push_back(from + (to - from) * i / (count - 1.0));
      const Eigen::VectorXcd column = rows(x.back());
      table.conservativeResize(column.size(), i + 1);
      table.col(i) = column;
    }
    allowed = tolerance * table.cwiseAbs();
  }
};

template <class Function>
auto one_row(Function z) {
  return [z](double f) { return Eigen::VectorXcd::Constant(1, z(f)); };
}

CommonPoles fitted(const Samples& samples) {
  const std::vector<CommonPoles> fits = fit_common_poles(samples.x, samples.table, samples.allowed);
  return fits[best_of(fits)];
}

double worst_between(const CommonPoles& fit, const Samples& samples, Complex (*z)(double)) {
  double worst = 0.0;
  for (int i = 0; i <= 5000; ++i) {
    const double f = samples.x.front() * std::pow(samples.x.back() / samples.x.front(), i / 5000.0);
    worst = std::max(worst, std::abs(fit.row(f, samples.table, 0) - z(f)) / std::abs(z(f)));
  }
  return worst;
}

}  // namespace

TEST_CASE("common poles: circuits of lumped parts come back exactly") {
  struct Row {
    Complex (*z)(double);
    int samples;
    int degree;  // of the impedance in s, which needs (degree + 1) / 2 support points in a mirrored fit
  };
  constexpr Row kRows[] = {{series_rlc, 5, 2}, {two_resonances, 9, 4}};
  for (const Row& row : kRows) {
    CAPTURE(row.samples);
    const Samples samples(one_row(row.z), 1.8e6, 54e6, row.samples, 1e-10);
    const CommonPoles fit = fitted(samples);
    CHECK(fit.residual() < 1.0);
    CHECK(fit.support_points() <= row.degree);
    CHECK(worst_between(fit, samples, row.z) < 1e-8);  // rounding, amplified by the high reactance
  }
}

TEST_CASE("common poles: a distributed circuit converges with the number of samples, faster with currents") {
  // with the port alone, and with currents at six places of the same line
  for (const int places : {0, 6}) {
    double last = 1e9;
    for (const int count : places == 0 ? std::vector<int>{10, 14, 18, 22} : std::vector<int>{6, 8, 10, 12}) {
      CAPTURE(count);
      const Samples samples(
          [&](double f) {
            Eigen::VectorXcd column(1 + places);
            column(0) = 1.0 / open_line(f);
            for (int i = 0; i < places; ++i) column(1 + i) = line_current(f, (i + 0.5) / places);
            return column;
          },
          1.8e6, 54e6, count, 1e-12);
      const CommonPoles fit = fitted(samples);
      const double worst = worst_between(fit, samples, [](double f) { return 1.0 / open_line(f); });
      CHECK(worst < last);
      last = worst;
    }
    CHECK(last < (places == 0 ? 1e-4 : 1e-3));
  }
}

TEST_CASE("common poles: rows it was not fitted to follow with the same weights") {
  const auto rows = [](double f) {
    Eigen::VectorXcd column(2);
    column << 1.0 / open_line(f), line_current(f, 0.3);
    return column;
  };
  const Samples samples(rows, 1.8e6, 54e6, 30, 1e-9);
  const Samples port(one_row([](double f) { return 1.0 / open_line(f); }), 1.8e6, 54e6, 30, 1e-9);
  const CommonPoles fit = fitted(port);
  for (double f = 2e6; f < 54e6; f += 0.37e6) {
    CAPTURE(f);
    const Eigen::VectorXcd value = fit(f, samples.table);
    CHECK((value - rows(f)).norm() <= 1e-5 * rows(f).norm());
    CHECK(std::abs(value(1) - fit.row(f, samples.table, 1)) <= 1e-12 * std::abs(value(1)));
    const CommonPoles::Blend blend = fit.blend(f);  // a constant stays what it is
    CHECK(std::abs(blend.direct.sum() + blend.mirrored.sum() - 1.0) <= 1e-12);
  }
}

TEST_CASE("common poles: a negative frequency has the conjugate value, a sample its own") {
  const Samples samples(one_row(two_resonances), 3e6, 30e6, 12, 1e-9);
  const CommonPoles fit = fitted(samples);
  for (double f = 3e6; f < 30e6; f *= 1.05) {
    const Complex z = fit.row(f, samples.table, 0);
    CHECK(std::abs(fit.row(-f, samples.table, 0) - std::conj(z)) <= 1e-9 * std::abs(z));
  }
  for (std::size_t i = 0; i < samples.x.size(); ++i) {
    const Complex right = samples.table(0, static_cast<Eigen::Index>(i));
    CHECK(std::abs(fit.row(samples.x[i], samples.table, 0) - right) <= 1e-8 * std::abs(right));
  }
}

TEST_CASE("common poles: poles and residues of a circuit are its own") {
  // admittance of the series circuit: poles of s^2 + s R/L + 1/(LC); residue 1/L s/(s - conj s_p)
  const double r = 20.0, l = 18e-6, c = 28e-12;
  const Samples samples(one_row([](double f) { return 1.0 / series_rlc(f); }), 1.8e6, 54e6, 9, 1e-10);
  const CommonPoles fit = fitted(samples);
  const Complex pole = Complex(-0.5 * r / l, std::sqrt(1.0 / (l * c) - 0.25 * r * r / (l * l))) / (2.0 * kPi);
  const Complex residue = pole / (2.0 * kPi * l * (pole - std::conj(pole)));
  bool found = false;
  for (const CommonPoles::Pole& p : fit.poles(samples.table)) {
    if (std::abs(p.at - pole) > 1e-6 * std::abs(pole)) continue;
    found = true;
    CHECK(std::abs(p.residue(0) - residue) <= 1e-5 * std::abs(residue));
  }
  CHECK(found);
}

TEST_CASE("common poles: noise in the samples is not blown up between them") {
  Samples samples(one_row(open_line), 1.8e6, 54e6, 40, 1e-4);
  constexpr double kNoise = 3e-4;
  for (Eigen::Index i = 0; i < samples.table.cols(); ++i) {
    const auto k = static_cast<double>(i);
    samples.table.col(i) *= 1.0 + kNoise * Complex(std::sin(12.9898 * k * k), std::sin(78.233 * k * k + 1.0));
  }
  CHECK(worst_between(fitted(samples), samples, open_line) < 10.0 * kNoise);
}

TEST_CASE("common poles: samples that cannot be fitted are refused") {
  struct Row {
    std::vector<double> x;
    std::vector<Complex> values;
  };
  const Row rows[] = {
      {{}, {}},
      {{1.0}, {1.0}},
      {{1.0, 1.0}, {1.0, 2.0}},
      {{0.0, 1.0}, {1.0, 2.0}},
      {{2.0, 1.0}, {1.0, 2.0}},
      {{1.0, 2.0}, {std::nan(""), 2.0}},
  };
  for (const Row& row : rows) {
    const auto n = static_cast<Eigen::Index>(row.values.size());
    const Eigen::MatrixXcd table = Eigen::Map<const Eigen::MatrixXcd>(row.values.data(), 1, n);
    CHECK_THROWS_AS((void)fit_common_poles(row.x, table, Eigen::MatrixXd::Ones(1, n)), feldspar::core::Error);
  }
}

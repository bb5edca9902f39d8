#include "study/port_curve.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "antennas.hpp"
#include "study/dips.hpp"

using namespace feldspar;
using antennas::Complex;

namespace {

// Lower edge, middle and upper edge of the bands of region 1 up to 6 m, the samples a band table begins with.
constexpr double kBandPoints[] = {
    1.81e6,   1.83e6,  1.85e6,   3.5e6,   3.65e6,  3.8e6,    5.3515e6, 5.359e6,  5.3665e6, 7.0e6,    7.1e6,
    7.2e6,    10.1e6,  10.125e6, 10.15e6, 14.0e6,  14.175e6, 14.35e6,  18.068e6, 18.118e6, 18.168e6, 21.0e6,
    21.225e6, 21.45e6, 24.89e6,  24.94e6, 24.99e6, 28.0e6,   28.85e6,  29.7e6,   50.0e6,   51.0e6,   52.0e6};

study::PortCurve interpolate(const antennas::Counted& solve, int max_solves, double widest_gap,
                             int threads = 1) {
  std::vector<study::PortSample> start;
  for (const double f : kBandPoints) {
    const auto answer = solve(core::Frequency{f}, false);
    start.push_back({f, answer.ports[0].impedance, answer.impedance_error_relative});
  }
  *solve.calls = 0;
  study::PortCurveOptions options;
  options.max_solves = max_solves;
  options.widest_gap = widest_gap;
  options.threads = threads;
  return study::interpolate_port(start, antennas::swr50, solve, options);
}

double worst(const study::PortCurve& curve, const std::function<Complex(double)>& truth) {
  double worst = 0.0;
  for (const double f : study::fine_grid(1.8e6, 54e6)) {
    worst = std::max(worst, std::abs(curve(f) - truth(f)) / std::abs(truth(f)));
  }
  return worst;
}

}  // namespace

TEST_CASE("interpolate_port: within a tenth of a percent of the truth, with few solves") {
  struct Row {
    const char* what;
    std::function<Complex(double)> impedance;
    double length;  // m, of wire in a line
    int max_solves;
  };
  const Row rows[] = {
      {"whip of 5.2 m", [](double f) { return antennas::wire(f, 5.2, 15.0); }, 10.2, 25},
      {"whip of 10 m", [](double f) { return antennas::wire(f, 10.0, 15.0); }, 20.0, 25},
      {"whip of 2.5 m with a coil, narrow", [](double f) { return antennas::loaded_whip(f, 2.5, 30e-6); },
       7.5, 25},
      {"wire of 21 m", [](double f) { return antennas::wire(f, 21.0, 30.0); }, 26.0, 40},
      {"wire of 41 m", [](double f) { return antennas::wire(f, 41.0, 30.0); }, 46.0, 60},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.what));
    const antennas::Counted solve{.impedance = row.impedance};
    const study::PortCurve curve = interpolate(solve, row.max_solves, 0.4 * 299792458.0 / row.length);
    MESSAGE(std::string(row.what) << ": " << solve.calls->load() << " solves, worst "
                                  << worst(curve, row.impedance));
    CHECK(curve.converged);
    CHECK(curve.solves == *solve.calls);
    CHECK(curve.solves <= row.max_solves);
    CHECK(worst(curve, row.impedance) < 1e-3);
  }
}

TEST_CASE("interpolate_port: a coil's narrow dip between the edges and the middle of a band is found") {
  // 2.5 m on a coil of about 100 uH, resonant in 80 m between the middle (3.65 MHz) and the edge (3.8 MHz).
  double inductance = 1e-6;
  while (antennas::loaded_whip(3.72e6, 2.5, inductance).imag() < 0.0) inductance += 1e-8;
  const auto truth = [inductance](double f) { return antennas::loaded_whip(f, 2.5, inductance); };
  const antennas::Counted solve{.impedance = truth};
  const study::PortCurve curve = interpolate(solve, 25, 6e6);
  const auto dips =
      study::find_dips([&](double f) { return antennas::swr50(f, curve(f)); }, study::fine_grid(1.8e6, 54e6));
  const auto right = study::find_dips([&](double f) { return antennas::swr50(f, truth(f)); },
                                      study::fine_grid(1.8e6, 54e6, 1e-5));
  REQUIRE(dips.size() == right.size());
  REQUIRE(!dips.empty());
  MESSAGE("first dip " << right.front().frequency << " Hz, SWR " << right.front().swr);
  for (std::size_t i = 0; i < dips.size(); ++i) {
    CAPTURE(right[i].frequency);
    CHECK(std::abs(dips[i].frequency / right[i].frequency - 1.0) < 3e-5);
    CHECK(std::abs(dips[i].swr / right[i].swr - 1.0) < 3e-3);
  }
  CHECK(std::abs(right.front().frequency - 3.72e6) < 1e4);
}

TEST_CASE("interpolate_port: noise in the solves is lived with, and said") {
  const auto truth = [](double f) { return antennas::wire(f, 5.2, 15.0); };
  const antennas::Counted solve{.impedance = truth, .noise = 2e-3};
  const study::PortCurve curve = interpolate(solve, 25, 6e6);
  MESSAGE("noise 2e-3: " << curve.solves << " solves, worst " << worst(curve, truth) << ", says "
                         << curve.error);
  CHECK(worst(curve, truth) < 0.03);  // ten times the noise: a fit through noise is not better than that
  CHECK(curve.error > 0.3 * worst(curve, truth));  // what it says of itself is near the truth or above
}

TEST_CASE("interpolate_port: a budget that is too small is not called converged") {
  const auto truth = [](double f) { return antennas::wire(f, 84.0, 5.0); };
  const antennas::Counted solve{.impedance = truth};
  const study::PortCurve curve = interpolate(solve, 8, 6e6);
  CHECK(worst(curve, truth) > 1e-2);
  CHECK_FALSE(curve.converged);
  CHECK(curve.error > 1e-3);
}

TEST_CASE("interpolate_port: the answer does not depend on the number of threads") {
  const auto truth = [](double f) { return antennas::wire(f, 10.0, 15.0); };
  const antennas::Counted solve{.impedance = truth};
  const study::PortCurve one = interpolate(solve, 25, 6e6, 1);
  const study::PortCurve four = interpolate(solve, 25, 6e6, 4);
  for (const double f : study::fine_grid(1.8e6, 54e6, 1e-2)) CHECK(one(f) == four(f));
}

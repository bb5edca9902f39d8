#include "solver/solve.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>

#include "rigs.hpp"

namespace feldspar {

namespace {

using namespace testing;
using Complex = std::complex<double>;

double apart(Complex a, Complex b) {
  return std::abs(a - b) / std::abs(b);
}

model::Model with_ground(model::Model model, media::Ground ground) {
  model.ground = std::move(ground);
  return model;
}

/// Turned counterclockwise (seen from above) round the z axis.
model::Model turned(model::Model model, double degrees) {
  const double angle = degrees * core::kPi / 180.0;
  for (geometry::Wire& w : model.structure.wires)
    for (Vec3& p : w.path)
      p = Vec3(p.x() * std::cos(angle) - p.y() * std::sin(angle),
               p.x() * std::sin(angle) + p.y() * std::cos(angle), p.z());
  return model;
}

model::Model wires_reversed(model::Model model) {
  const int last = static_cast<int>(model.structure.wires.size()) - 1;
  std::reverse(model.structure.wires.begin(), model.structure.wires.end());
  for (geometry::Port& p : model.structure.ports)
    for (geometry::Span& span : p.spans) span.wire = last - span.wire;
  return model;
}

/// Every wire drawn from its other end.
model::Model paths_reversed(model::Model model) {
  for (geometry::Port& p : model.structure.ports)
    for (geometry::Span& span : p.spans) {
      const double total = geometry::length(model.structure.wires[static_cast<std::size_t>(span.wire)]);
      span = {span.wire, total - span.to, total - span.from, -span.sign};
    }
  for (geometry::Wire& w : model.structure.wires) std::reverse(w.path.begin(), w.path.end());
  return model;
}

/// Frequency at which the reactance passes through zero, by bisection between two frequencies.
double resonance(const model::Model& model, double low, double high) {
  REQUIRE(impedance(model, core::Frequency{low}).imag() < 0.0);
  REQUIRE(impedance(model, core::Frequency{high}).imag() > 0.0);
  for (int i = 0; i < 20; ++i) {
    const double middle = 0.5 * (low + high);
    (impedance(model, core::Frequency{middle}).imag() < 0.0 ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace

TEST_CASE("solve: soil that is hardly there is free space") {
  // n^2 - 1 = 1e-7: what it reflects is of that order. At `fine`, because low wires get other elements over
  // soil.
  solver::Options fine;
  fine.accuracy = solver::Accuracy::fine;
  fine.fields = false;
  const auto solved = [&](const model::Model& model) {
    return solver::solve(model, kFrequency, fine).ports.front().impedance;
  };
  for (const model::Model& model : {dipole(8.0), dipole(0.1), whip(0.02), inverted_vee()})
    CHECK(apart(solved(with_ground(model, soil(1.0000001, 0.0))), solved(model)) <= 1e-4);
}

TEST_CASE("solve: soil that conducts without limit is perfect ground") {
  // Skin depth at 1e9 S/m and 14.1 MHz: 4 um, far below every height here.
  for (const model::Model& model : {dipole(8.0), dipole(1.0), whip(1.0), inverted_vee()})
    CHECK(apart(impedance(with_ground(model, soil(10.0, 1e9))),
                impedance(with_ground(model, perfect_ground()))) <= 1e-3);
}

TEST_CASE("solve: two ports") {
  for (const media::Ground& ground : {media::Ground{}, perfect_ground(), average_soil()}) {
    model::Model model = two_elements(6.0, ground);
    model.structure.ports.push_back(port("behind", 1, 4.0));
    const results::FrequencyResult result = solver::solve(model, kFrequency);
    REQUIRE(result.ports.size() == 2);
    CHECK(result.ports[0].name == "feed");
    CHECK(result.ports[1].name == "behind");
    REQUIRE(result.z_matrix.size() == 2);
    const auto& z = result.z_matrix;
    CHECK(std::abs(z[0][1] - z[1][0]) <= 1e-10 * std::abs(z[0][1]));
    CHECK(std::abs(z[0][1]) > 1.0);
    // derived: one port driven, the other short
    CHECK(apart(result.ports[0].impedance, z[0][0] - z[0][1] * z[1][0] / z[1][1]) <= 1e-9);
    CHECK(apart(result.ports[1].impedance, z[1][1] - z[0][1] * z[1][0] / z[0][0]) <= 1e-9);
    // a port that is short is no port
    model.structure.ports.pop_back();
    CHECK(apart(impedance(model), result.ports[0].impedance) <= 2e-3);  // other mesh: no gap behind
  }
  CHECK(solver::solve(dipole(8.0), kFrequency).z_matrix.empty());
}

TEST_CASE("solve: with two close ports the estimate is that of the driven one") {
  model::Model model = two_elements(6.0, media::Ground{});
  for (geometry::Vec3& point : model.structure.wires[1].path) point.y() = -0.05;
  model.structure.ports.push_back(port("behind", 1, geometry::length(model.structure.wires[1]) / 2.0));
  solver::Options fine;
  fine.accuracy = solver::Accuracy::fine;
  const results::FrequencyResult normal = solver::solve(model, kFrequency);
  const results::FrequencyResult better = solver::solve(model, kFrequency, fine);
  CHECK(apart(normal.ports[0].impedance, better.ports[0].impedance) <= normal.impedance_error_relative);
  CHECK(normal.impedance_error_relative <= 0.02);  // below the warning about the mesh
}

TEST_CASE("solve: what is refused") {
  const model::Model model = dipole(8.0);
  for (const double f :
       {0.0, -7e6, std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    CAPTURE(f);
    try {
      (void)solver::solve(model, core::Frequency{f});
      FAIL_CHECK("accepted");
    } catch (const core::Error& error) {
      CHECK(error.kind() == core::ErrorKind::usage);
      CHECK(error.message().find("above zero") != std::string::npos);
    }
  }
  struct Row {
    const char* what;
    model::Model model;
    core::ErrorKind kind;
    const char* word;
  };
  model::Model without_port = dipole(8.0);
  without_port.structure.ports.clear();
  model::Model crossing = dipole(8.0);
  crossing.structure.wires.push_back(wire("rope", {{1, -1, 8}, {1, 1, 8}}));
  for (const Row& row :
       {Row{"no wires", model_of({}, {}), core::ErrorKind::model, "no wires"},
        Row{"no port", without_port, core::ErrorKind::model, "no port"},
        Row{"crossing wires", crossing, core::ErrorKind::geometry, "\"rope\""},
        Row{"in the surface", dipole(0.0, average_soil()), core::ErrorKind::geometry, "\"dipole\""},
        Row{"below perfect ground", dipole(-1.0, perfect_ground()), core::ErrorKind::geometry,
            "\"dipole\""}}) {
    CAPTURE(row.what);
    try {
      (void)solver::solve(row.model, kFrequency);
      FAIL_CHECK("accepted");
    } catch (const core::Error& error) {
      CHECK(error.kind() == row.kind);
      CHECK(error.message().find(row.word) != std::string::npos);
    }
  }
}

TEST_CASE("solve: insulation lowers the resonance, and more the thicker it is") {
  model::Model model = dipole(8.0, average_soil());
  const double bare = resonance(model, 12e6, 15e6);
  model.structure.wires[0].coat = {0.5e-3, 2.3};
  const double thin = resonance(model, 12e6, 15e6);
  model.structure.wires[0].coat = {1.5e-3, 2.3};
  const double thick = resonance(model, 12e6, 15e6);
  CHECK(thin < 0.995 * bare);
  CHECK(thick < 0.995 * thin);
  CHECK(thick > 0.9 * bare);
}

TEST_CASE("solve: plane-wave ground is near the exact one for high wires, not for low ones, and says so") {
  const double wavelength = core::wavelength(kFrequency);
  const auto both = [&](double height) {
    model::Model model = dipole(height, average_soil());
    const Complex exact = impedance(model);
    model.ground.method = media::GroundMethod::plane_wave;
    return apart(impedance(model), exact);
  };
  CHECK(both(wavelength) <= 0.03);
  CHECK(both(0.02 * wavelength) > 0.05);

  model::Model model = dipole(wavelength, average_soil());
  CHECK_FALSE(has_code(solver::solve(model, kFrequency).warnings, "plane-wave"));
  model.ground.method = media::GroundMethod::plane_wave;
  CHECK(has_code(solver::solve(model, kFrequency).warnings, "plane-wave"));
}

TEST_CASE("solve: turning an antenna turns its pattern and nothing else") {
  for (const media::Ground& ground : {media::Ground{}, perfect_ground(), average_soil()}) {
    const model::Model model = two_elements(10.0, ground);
    const results::FrequencyResult straight = solver::solve(model, kFrequency);
    const results::FrequencyResult result = solver::solve(turned(model, 37.0), kFrequency);
    CHECK(apart(result.ports[0].impedance, straight.ports[0].impedance) <= 1e-8);
    REQUIRE(straight.gain_azimuth_deg.has_value());
    REQUIRE(result.gain_azimuth_deg.has_value());
    // +x points east unless the model says otherwise, so the driven wire's side, +y, is north
    const double north = std::remainder(*straight.gain_azimuth_deg, 360.0);
    CHECK(std::abs(north) <= 0.1);
    CHECK(std::abs(std::remainder(*result.gain_azimuth_deg - *straight.gain_azimuth_deg + 37.0, 360.0)) <=
          0.1);
    CHECK(*result.gain_dbi == doctest::Approx(*straight.gain_dbi).epsilon(1e-4));
    CHECK(std::abs(*result.gain_elevation_deg - *straight.gain_elevation_deg) <= 0.1);
    CHECK(result.power.sky == doctest::Approx(straight.power.sky).epsilon(1e-6));
  }
}

TEST_CASE("solve: neither the order of the wires nor the sense of their paths matters") {
  for (const media::Ground& ground : {media::Ground{}, average_soil()})
    for (const model::Model& model : {two_elements(6.0, ground), whip(0.5, ground), inverted_vee(ground)}) {
      const Complex z = impedance(model);
      CHECK(apart(impedance(wires_reversed(model)), z) <= 1e-8);
      CHECK(apart(impedance(paths_reversed(model)), z) <= 1e-8);
    }
}

TEST_CASE("solve: accuracies agree within what they state") {
  for (const model::Model& model : {dipole(8.0, average_soil()), whip(0.02, average_soil())}) {
    const Complex fine = impedance(model, kFrequency, solver::Accuracy::fine);
    solver::Options options;
    options.fields = false;
    const results::FrequencyResult normal = solver::solve(model, kFrequency, options);
    CHECK(apart(normal.ports[0].impedance, fine) <= 5e-3);
    CHECK(apart(impedance(model, kFrequency, solver::Accuracy::draft), fine) <= 2e-2);
    CHECK(normal.impedance_error_relative > 0.0);
    CHECK(normal.resistance_error > 0.0);
    CHECK_FALSE(normal.gain_dbi.has_value());  // fields were not asked for
  }
}

TEST_CASE("solve: warnings by code") {
  struct Row {
    const char* what;
    model::Model model;
    double frequency;
    const char* code;
    bool expected;
  };
  model::Model thick = dipole(8.0);
  thick.structure.wires[0].radius = 0.2;
  thick.structure.ports[0] = port("feed", 0, 5.15, 0.4);
  model::Model close = dipole(8.0);
  close.structure.wires.push_back(wire("rope", {{-5, 0, 8.007}, {5, 0, 8.007}}));
  const model::Model quiet = dipole(8.0, average_soil());
  for (const Row& row : {Row{"fat wire", thick, 20e6, "thick-wire", true},
                         Row{"usual wire", quiet, 14.1e6, "thick-wire", false},
                         Row{"wires side by side", close, 14.1e6, "proximity", true},
                         Row{"one wire", quiet, 14.1e6, "proximity", false},
                         Row{"lying on the soil", whip(0.002, average_soil()), 14.1e6, "very-low", false},
                         Row{"grazing the soil", dipole(0.002, average_soil()), 14.1e6, "very-low", true},
                         Row{"soil above HF", quiet, 70e6, "soil-frequency", true},
                         Row{"soil at HF", quiet, 50e6, "soil-frequency", false},
                         Row{"free space above HF", dipole(8.0), 70e6, "soil-frequency", false},
                         Row{"hardly any wire", dipole(8.0), 0.2e6, "nearly-open", true},
                         Row{"half a wave", quiet, 14.1e6, "nearly-open", false}}) {
    CAPTURE(row.what);
    CHECK(has_code(solver::solve(row.model, core::Frequency{row.frequency}).warnings, row.code) ==
          row.expected);
  }
}

}  // namespace feldspar

#include <doctest/doctest.h>

#include "rigs.hpp"

namespace feldspar {

namespace {

using namespace testing;

bool warned(const results::FrequencyResult& result, const std::string& code) {
  for (const core::Warning& warning : result.warnings)
    if (warning.code == code) return true;
  return false;
}

double gain_at(const results::FrequencyResult& result, double elevation_deg) {
  for (const results::GainAt& gain : result.gain_at_elevation)
    if (gain.elevation_deg == elevation_deg) return gain.gain_dbi;
  return std::nan("");
}

}  // namespace

TEST_CASE("solve: a soil's table gives what its numbers at that frequency give") {
  model::Model model = whip(0.02, average_soil());
  const std::complex<double> plain = solver::solve(model, kFrequency).ports[0].impedance;
  const double f = kFrequency.si;
  model.ground.relative_permittivity = 3.0;  // not to be used beside a table
  model.ground.table = {{f / 2.0, {15.0, 4e-3}}, {f * 2.0, {11.0, 6.25e-3}}};  // 13 and 5 mS/m in the middle
  const results::FrequencyResult with_table = solver::solve(model, kFrequency);
  CHECK(std::abs(with_table.ports[0].impedance - plain) <= 1e-9 * std::abs(plain));
  CHECK_FALSE(warned(with_table, "soil-table"));
  solver::Options quick;
  quick.fields = false;
  CHECK(warned(solver::solve(model, core::Frequency{2.1 * f}, quick), "soil-table"));
}

TEST_CASE("solve: a far soil changes the sky, not the impedance, and the ground's watts are what is left") {
  model::Model model = whip(0.02, average_soil());
  solver::Options options;
  options.accuracy = solver::Accuracy::fine;
  const results::FrequencyResult near = solver::solve(model, kFrequency, options);
  CHECK_FALSE(near.ground_by_difference);
  media::FarSoil far;
  far.ground = soil(81.0, 5.0);
  far.begins = 4.0;
  model.far_soil = far;
  const results::FrequencyResult shore = solver::solve(model, kFrequency, options);
  CHECK(shore.ports[0].impedance == near.ports[0].impedance);
  CHECK(shore.ground_by_difference);
  CHECK(gain_at(shore, 10.0) > gain_at(near, 10.0) + 3.0);  // the sea's reflection, low down
  CHECK(gain_at(shore, 60.0) == doctest::Approx(gain_at(near, 60.0)).epsilon(1e-9));  // lands within 4 m
  CHECK(*shore.radiation_efficiency > *near.radiation_efficiency);
  const results::PowerBudget& p = shore.power;
  CHECK(p.ground + p.sky + p.wires + p.coils + p.unaccounted == doctest::Approx(p.radio).epsilon(1e-9));
}

}  // namespace feldspar

#include <doctest/doctest.h>

#include <cmath>

#include "io/model_file.hpp"
#include "solver/solve.hpp"

namespace feldspar {

TEST_CASE("solve: every built-in model keeps the laws") {
  for (const std::string& name : io::builtin_names())
    for (const double mhz : {3.6, 7.1, 14.2, 28.5}) {
      CAPTURE(name);
      CAPTURE(mhz);
      const results::FrequencyResult r =
          solver::solve(io::load_family(name).instantiate(), core::Frequency{mhz * 1e6});
      const results::PowerBudget& p = r.power;
      REQUIRE(r.radiation_efficiency.has_value());
      CHECK(*r.radiation_efficiency > 0.0);
      CHECK(*r.radiation_efficiency < 1.0);
      const double sum = p.tuner + p.line_matched + p.line_extra + p.transformer + p.choke + p.coils +
                         p.wires + p.ground + p.sky + p.unaccounted;
      CHECK(std::abs(sum - p.radio) <= 1e-9 * p.radio);
      for (const double part :
           {p.tuner, p.line_matched, p.transformer, p.choke, p.coils, p.wires, p.ground, p.sky})
        CHECK(part >= 0.0);
      CHECK(std::abs(p.unaccounted) <= 0.01 * p.radio);
      CHECK(r.ports[0].impedance.real() > 0.0);
      CHECK(r.swr_at_radio >= 1.0);
      CHECK(r.swr_on_line >= 1.0);
      REQUIRE(r.gain_dbi.has_value());
      CHECK(*r.gain_dbi < 15.0);  // what the whole sphere's power in a lobe of such a small antenna allows
      CHECK(*r.gain_from_radio_dbi <= *r.gain_dbi + 1e-12);
      CHECK(*r.gain_elevation_deg >= 0.0);
      CHECK(*r.gain_elevation_deg <= 90.0);
      for (const results::GainAt& at : r.gain_at_elevation) CHECK(at.gain_dbi <= *r.gain_dbi + 0.01);
    }
}

TEST_CASE("solve: turning a built-in model round the z axis does not change its impedance") {
  for (const std::string& name : io::builtin_names()) {
    CAPTURE(name);
    model::Model model = io::load_family(name).instantiate();
    solver::Options options;
    options.fields = false;
    const std::complex<double> z = solver::solve(model, core::Frequency{14.2e6}, options).ports[0].impedance;
    const double angle = 37.0 * core::kPi / 180.0;
    for (geometry::Wire& w : model.structure.wires)
      for (geometry::Vec3& q : w.path)
        q = geometry::Vec3(q.x() * std::cos(angle) - q.y() * std::sin(angle),
                           q.x() * std::sin(angle) + q.y() * std::cos(angle), q.z());
    const std::complex<double> z_turned =
        solver::solve(model, core::Frequency{14.2e6}, options).ports[0].impedance;
    CHECK(std::abs(z_turned - z) <= 1e-8 * std::abs(z));
  }
}

}  // namespace feldspar

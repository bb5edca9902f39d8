#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "media/soils.hpp"
#include "moment/solve.hpp"

// Does the automatic mesh converge where a whip stands on a stake? No outside numbers: finer meshes of the
// same engine, and perfect ground as the limit of salt water.
namespace feldspar::validation {

namespace {

using geometry::Vec3;
using testing::relative_error;
using testing::Structure;

/// A whip of `whip` metres whose foot and radials are 2 cm above the surface, on a stake 0.35 m long.
Structure staked_whip(int radials, double whip = 5.1) {
  constexpr double kFoot = 0.02;
  Structure s;
  s.wires = {testing::straight({0, 0, kFoot}, {0, 0, kFoot + whip}, 3e-3),
             testing::straight({0, 0, kFoot}, {0, 0, kFoot - 0.35}, 4e-3)};
  for (int i = 0; i < radials; ++i) {
    const double angle = 2.0 * core::kPi * i / radials;
    s.wires.push_back(
        testing::straight({0, 0, kFoot}, {5.0 * std::cos(angle), 5.0 * std::sin(angle), kFoot}, 5e-4));
  }
  s.ports = {{"feed", {{0, 0.0, 6e-3}}, {}}};
  return s;
}

media::Ground named(const char* name) {
  const media::Soil soil = media::soil(name).value();
  return testing::soil(soil.relative_permittivity, soil.conductivity);
}

std::complex<double> impedance(const Structure& s, const media::Ground& ground, double f,
                               const moment::Setting& setting) {
  return moment::solve(s, {}, ground, core::Frequency{f}, setting).impedance(0, 0);
}

/// The default, every graded length halved, twice as many graded elements and two orders more: over twice the
/// unknowns.
moment::Setting doubled() {
  moment::Setting setting;
  geometry::MeshRule& rule = setting.mesh;
  for (double* first : {&rule.free_end, &rule.gap, &rule.insert, &rule.junction, &rule.echo}) *first *= 0.5;
  for (int* most : {&rule.most_end, &rule.most_gap, &rule.most_junction, &rule.most_echo}) *most *= 2;
  rule.most_surface = 2;
  rule.longest *= 0.5;
  rule.extra_order = 1;
  return setting;
}

}  // namespace

TEST_CASE("staked whips: doubling the mesh moves the impedance by less than half a per cent") {
  struct Row {
    double f;
    std::vector<int> radials;
  };
  double worst = 0.0;
  for (const char* soil : {"average", "dry sand", "wet", "sea"})
    for (const Row& row :
         {Row{1.8e6, {1, 2, 4, 16}}, Row{7.1e6, {1, 4}}, Row{21.2e6, {2, 4}}, Row{54e6, {1, 2, 4}}})
      for (const int radials : row.radials) {
        CAPTURE(soil);
        CAPTURE(row.f);
        CAPTURE(radials);
        const Structure s = staked_whip(radials);
        const media::Ground ground = named(soil);
        const std::complex<double> finer = impedance(s, ground, row.f, doubled());
        const double change = relative_error(impedance(s, ground, row.f, {}), finer);
        CHECK(change <= 0.005);  // the figure
        worst = std::max(worst, change);
      }
  MESSAGE("largest change ", worst);
}

TEST_CASE("staked whips: a whip through the surface of salt water comes close to perfect ground") {
  media::Ground perfect;
  perfect.kind = media::GroundKind::perfect;
  for (const double f : {1.8e6, 7.1e6, 14.2e6, 28.5e6, 54e6}) {
    CAPTURE(f);
    Structure through;
    through.wires = {testing::straight({0, 0, 5.1}, {0, 0, -0.35}, 3e-3)};
    through.ports = {{"feed", {{0, 5.1 - 6e-3, 5.1}}, {}}};
    Structure on_metal = through;
    on_metal.wires[0].path[1] = Vec3::Zero();
    const std::complex<double> water = impedance(through, named("sea"), f, {});
    const std::complex<double> expected = impedance(on_metal, perfect, f, {});
    CHECK(relative_error(water, impedance(through, named("sea"), f, doubled())) <= 0.005);
    // The water's surface impedance sqrt(j w mu / sigma), 5 ohm at 54 MHz against 377, changes what the whip
    // sees by a few ohm at most.
    CHECK(std::abs(water - expected) <= 5.0 + 0.02 * std::abs(expected));
  }
}

}  // namespace feldspar::validation

#include <doctest/doctest.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <complex>
#include <string>
#include <utility>
#include <vector>

#include "../support/structures.hpp"
#include "moment/solve.hpp"

// Laws that hold for any structure, whatever its impedance: reciprocity, scaling, symmetry of space, names
// and order given by the user. The structure is skew on purpose: bends, a junction, two radii, two ports on
// different wires.
namespace feldspar::moment {

namespace {

using geometry::Structure;
using geometry::Vec3;

constexpr core::Frequency kFrequency{21.2e6};

Structure skew() {
  Structure s;
  geometry::Wire fed = testing::straight({0, 0, 2}, {3, 1, 4}, 1e-3);
  fed.path.push_back({5, -1, 6.5});
  geometry::Wire other = testing::straight({1, 4, 1.5}, {4, 6, 3}, 2.5e-3);
  other.path.push_back({4.5, 2.5, 5});
  s.wires = {fed, other, testing::straight({3, 1, 4}, {2, 1.5, 7}, 1e-3)};
  s.ports = {{"one", {{0, 1.0, 1.01}}, {}}, {"two", {{1, 2.0, 2.01}}, {}}};
  return s;
}

struct Place {
  std::string name;
  media::Ground ground;
};
std::vector<Place> places() {
  return {{"free space", {}},
          {"perfect ground", testing::perfect_ground()},
          {"average soil", testing::soil(13.0, 5e-3)}};
}

Solution solved(const Structure& s, const media::Ground& ground, const Setting& setting = {},
                core::Frequency f = kFrequency) {
  return solve(s, {}, ground, f, setting);
}

template <class Move>
Structure moved(Structure s, Move move) {
  for (geometry::Wire& wire : s.wires)
    for (Vec3& point : wire.path) point = move(point);
  return s;
}

double difference(const Eigen::MatrixXcd& a, const Eigen::MatrixXcd& b) {
  return ((a - b).array().abs() / b.array().abs()).maxCoeff();
}

}  // namespace

TEST_CASE("reciprocity: mutual impedances are equal both ways") {
  for (const Place& place : places())
    for (const Setting& setting : {Setting{}, testing::fine_setting()}) {
      CAPTURE(place.name);
      const Eigen::MatrixXcd z = solved(skew(), place.ground, setting).impedance;
      CHECK(std::abs(z(0, 1) - z(1, 0)) <= 1e-10 * std::abs(z(0, 1)));  // rounding; the project's figure
      CHECK(std::abs(z(0, 1)) > 1.0);                                   // something to be reciprocal about
    }
}

TEST_CASE("scaling: lengths times k, frequency and conductivity over k leave Z as it is") {
  for (const Place& place : places())
    for (const double k : {3.7, 0.021}) {
      CAPTURE(place.name);
      CAPTURE(k);
      Structure scaled = moved(skew(), [k](const Vec3& p) -> Vec3 { return k * p; });
      for (geometry::Wire& wire : scaled.wires) wire.radius *= k;
      for (geometry::Port& port : scaled.ports)
        for (geometry::Span& span : port.spans) {
          span.from *= k;
          span.to *= k;
        }
      media::Ground ground = place.ground;
      ground.conductivity /= k;
      const Eigen::MatrixXcd z = solved(skew(), place.ground).impedance;
      CHECK(difference(solved(scaled, ground, {}, core::Frequency{kFrequency.si / k}).impedance, z) <= 1e-9);
    }
}

TEST_CASE(
    "rotation round z and translation over the ground leave Z as it is; in free space any motion does") {
  for (const Place& place : places()) {
    CAPTURE(place.name);
    const Eigen::MatrixXcd z = solved(skew(), place.ground).impedance;
    for (const double angle : {0.3, 0.7, 2.0, 3.9}) {
      CAPTURE(angle);
      const Eigen::AngleAxisd turn(angle, Vec3::UnitZ());
      const Structure turned = moved(skew(), [&](const Vec3& p) -> Vec3 { return turn * p; });
      // Over soil the table spans another rectangle after a turn; at 27 angles Z moved by 3e-11 at most.
      CHECK(difference(solved(turned, place.ground).impedance, z) <= 1e-9);
    }
    const Structure shifted = moved(skew(), [](const Vec3& p) -> Vec3 { return p + Vec3(13.1, -7.7, 0.0); });
    CHECK(difference(solved(shifted, place.ground).impedance, z) <= 1e-9);
  }
  const Eigen::AngleAxisd turn(1.1, Vec3(1.0, 2.0, -0.5).normalized());
  const Structure anywhere = moved(skew(), [&](const Vec3& p) -> Vec3 { return turn * p + Vec3(1, 2, 30); });
  CHECK(difference(solved(anywhere, {}).impedance, solved(skew(), {}).impedance) <= 1e-9);
}

TEST_CASE("the order in which wires are written does not matter, nor which end of a wire comes first") {
  for (const Place& place : places()) {
    CAPTURE(place.name);
    const Structure s = skew();
    const Eigen::MatrixXcd z = solved(s, place.ground).impedance;
    Structure backwards = s;
    std::reverse(backwards.wires.begin(), backwards.wires.end());
    for (geometry::Port& port : backwards.ports)
      for (geometry::Span& span : port.spans) span.wire = 2 - span.wire;
    CHECK(difference(solved(backwards, place.ground).impedance, z) <= 1e-9);

    Structure flipped = s;
    std::reverse(flipped.wires[1].path.begin(), flipped.wires[1].path.end());
    const double length = geometry::length(flipped.wires[1]);
    geometry::Span& span = flipped.ports[1].spans.front();
    span = {1, length - span.to, length - span.from, -1};
    CHECK(difference(solved(flipped, place.ground).impedance, z) <= 1e-9);
    span.sign = 1;  // the port turned round: only the mutual terms change sign
    Eigen::MatrixXcd turned = z;
    turned(0, 1) = -z(0, 1);
    turned(1, 0) = -z(1, 0);
    CHECK(difference(solved(flipped, place.ground).impedance, turned) <= 1e-9);
  }
}

TEST_CASE("a wire written as two that meet is the same wire within the error estimate") {
  for (const Place& place : places())
    for (const Setting& setting : {Setting{}, testing::fine_setting()}) {
      CAPTURE(place.name);
      const Solution whole = solved(skew(), place.ground, setting);
      Structure split = skew();
      const std::vector<Vec3> path = split.wires[1].path;
      const Vec3 middle = path[1] + 0.37 * (path[2] - path[1]);
      split.wires[1].path = {path[0], path[1], middle};
      split.wires.push_back(testing::straight(middle, path[2], split.wires[1].radius));
      CHECK(difference(solved(split, place.ground, setting).impedance, whole.impedance) <=
            whole.impedance_error_relative);
      CHECK(whole.impedance_error_relative <= 0.02);
    }
}

TEST_CASE("the default mesh lies within its error estimate of a fine one") {
  for (const Place& place : places()) {
    CAPTURE(place.name);
    const Solution normal = solved(skew(), place.ground);
    const Solution fine = solved(skew(), place.ground, testing::fine_setting());
    CHECK(difference(normal.impedance, fine.impedance) <= normal.impedance_error_relative);
    CHECK(fine.impedance_error_relative < 0.1 * normal.impedance_error_relative);
  }
}

TEST_CASE("low soil contrast, high contrast: soil goes over into free space and into perfect ground") {
  const Eigen::MatrixXcd free = solved(skew(), {}).impedance;
  CHECK(difference(solved(skew(), testing::soil(1.0, 0.0)).impedance, free) <=
        1e-6);  // the table's tolerance
  const Eigen::MatrixXcd perfect = solved(skew(), testing::perfect_ground()).impedance;
  // The surface impedance eta/n = 377 sqrt(w eps0 / sigma) is 1.3e-4 of eta at 1e5 S/m, 1.3e-5 at 1e7.
  const double copper_like = difference(solved(skew(), testing::soil(1.0, 1e5)).impedance, perfect);
  CHECK(copper_like <= 1e-3);
  CHECK(difference(solved(skew(), testing::soil(1.0, 1e7)).impedance, perfect) <= 0.2 * copper_like);
}

}  // namespace feldspar::moment

#include "moment/fill.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <string>

#include "../support/close.hpp"
#include "../support/prescribed_current.hpp"
#include "../support/structures.hpp"
#include "../support/table.hpp"

namespace feldspar::moment {

namespace {

using geometry::Vec3;
using Complex = std::complex<double>;

struct Stretch {
  Vec3 from, to;
};

Vec3 mirrored(const Vec3& p) {
  return {p.x(), p.y(), -p.z()};
}
Stretch mirrored(const Stretch& s) {
  return {mirrored(s.from), mirrored(s.to)};
}

/// Block of Z between two single elements that are not joined.
Eigen::MatrixXcd block(const Stretch& m, const Stretch& n, double radius, int order,
                       const Surroundings& around, double tolerance = 1e-11) {
  geometry::Mesh mesh;
  testing::add_wire(mesh, m.from, m.to, radius, 1, order);
  testing::add_wire(mesh, n.from, n.to, radius, 1, order);
  return fill_local(mesh, make_basis(mesh), around, tolerance).topRightCorner(order + 1, order + 1);
}

double largest(const Eigen::MatrixXcd& m) {
  return m.cwiseAbs().maxCoeff();
}

/// Parabolic currents that vanish at their ends: the shortest things that radiate like dipoles. Returns the
/// reaction per dipole moment of each, V/m for 1 A m, so -(E of the one) along the other.
Complex dipole_reaction(const Vec3& at, const Vec3& along, const Vec3& source, const Vec3& moment,
                        double length, const Surroundings& around) {
  const auto stretch = [&](const Vec3& centre, const Vec3& t) {
    return Stretch{centre - 0.5 * length * t, centre + 0.5 * length * t};
  };
  const Complex z = block(stretch(at, along), stretch(source, moment), 1e-6 * length, 2, around)(2, 2);
  const double unit = current_coefficients(2)(2, 0) * length;  // integral of the bubble
  return z / (unit * unit);
}

}  // namespace

TEST_CASE("fill_local: dipoles above soil have the fields of the independent table") {
  // Source: tests/data/halfspace-fields.csv (30-digit integration, 12 digits). Elements of 0.03 and 0.015 of
  // the smallest of distance, heights and 1/k ("size"), extrapolated: what is left is of order 0.03^4 = 1e-6.
  // The charges at the two ends cancel to (0.015 size / distance)^2, which magnifies the quadrature's 1e-11
  // of the direct field (which the reflected one may cancel).
  int rows = 0;
  for (const testing::Row& row : testing::Table("halfspace-fields.csv", 80)) {
    const core::Frequency f{row.number("f_mhz") * 1e6};
    const Vec3 source{row.number("xs"), row.number("ys"), row.number("zs")};
    const Vec3 moment{row.number("ox"), row.number("oy"), row.number("oz")};
    const Vec3 at{row.number("x"), row.number("y"), row.number("z")};
    CAPTURE(row.text("f_mhz"));
    CAPTURE(row.text("zs"));
    CAPTURE(row.text("z"));
    const double direct = (at - source).norm();
    const double size = std::min({direct, at.z(), source.z(), 1.0 / core::wavenumber(f)});
    if (size < 0.01 * direct) continue;  // cancels too far
    const media::Ground ground = testing::soil(row.number("eps_r"), row.number("sigma_s_per_m"));
    const double low = std::min(at.z(), source.z());
    const double high = std::max(at.z(), source.z());
    const double rho = std::hypot(at.x() - source.x(), at.y() - source.y());
    Surroundings around;
    around.wavenumber = core::wavenumber(f);
    around.permittivity = media::complex_permittivity(ground, f);
    const media::HalfSpaceTable table(around.wavenumber, around.permittivity, rho + size,
                                      2.0 * low - 0.1 * size, 2.0 * high + 0.1 * size, 1e-9);
    around.soil = &table;
    Surroundings air;
    air.wavenumber = around.wavenumber;
    Eigen::Vector3cd found;
    Eigen::Vector3cd wanted;
    Eigen::Vector3cd alone;
    for (int axis = 0; axis < 3; ++axis) {
      const Vec3 along = Vec3::Unit(axis);
      const Complex coarse = dipole_reaction(at, along, source, moment.normalized(), 0.03 * size, around);
      const Complex fine = dipole_reaction(at, along, source, moment.normalized(), 0.015 * size, around);
      alone(axis) =
          dipole_reaction(at, along, source, moment.normalized(), 0.015 * size, air) * moment.norm();
      found(axis) = -(4.0 * fine - coarse) / 3.0 * moment.norm();
      const std::string name = std::string("e") + "xyz"[axis];
      wanted(axis) = {row.number("re_" + name), row.number("im_" + name)};
    }
    const double cancelled = std::pow(direct / (0.015 * size), 2);
    CHECK((found - wanted).norm() <= 1e-6 * wanted.norm() + 1e-11 * cancelled * alone.norm());
    ++rows;
  }
  CHECK(rows >= 40);
}

TEST_CASE(
    "fill_local: over perfect ground every pair is the pair in free space less the pair with the image") {
  // Image theory: the mirrored element carries the opposite current. Level, upright and slanted pairs take
  // different paths through the code; all must agree with explicit image elements.
  const Stretch level{{0, 0, 1.1}, {1, 0, 1.1}};
  const Stretch level_beside{{0.2, 0.4, 0.8}, {0.9, 0.4, 0.8}};
  const Stretch upright{{0.3, 0.7, 0.1}, {0.3, 0.7, 1.0}};
  const Stretch upright_above{{0.3, 0.7, 1.3}, {0.3, 0.7, 1.9}};
  const Stretch slanted{{-0.5, 0.2, 0.4}, {-0.1, 0.8, 1.5}};
  const Stretch* pairs[][2] = {{&level, &level_beside},   {&level, &upright}, {&upright, &upright_above},
                               {&upright, &level_beside}, {&slanted, &level}, {&slanted, &upright_above}};
  Surroundings free;
  free.wavenumber = 2.2;
  Surroundings perfect = free;
  perfect.perfect_ground = true;
  for (const auto& pair : pairs) {
    const Eigen::MatrixXcd over = block(*pair[0], *pair[1], 1e-3, 4, perfect);
    const Eigen::MatrixXcd alone = block(*pair[0], *pair[1], 1e-3, 4, free);
    const Eigen::MatrixXcd image = block(*pair[0], mirrored(*pair[1]), 1e-3, 4, free);
    CHECK(largest(over - (alone - image)) <= 1e-9 * largest(alone));
    CHECK(largest(image) > 1e-3 * largest(alone));
  }
}

TEST_CASE("fill_local: the same bits for any number of threads, and the same count of samples") {
  geometry::Mesh mesh;
  testing::add_wire(mesh, {0, 0, 0.4}, {0, 0, 2.4}, 1e-3, 3, 4);
  testing::add_wire(mesh, {0.3, 0, 0.5}, {1.3, 0.4, 0.9}, 2e-3, 4, 5);
  Surroundings around;
  around.wavenumber = 1.1;
  around.permittivity = {13.0, -5.0};
  const media::HalfSpaceTable table(around.wavenumber, around.permittivity, 2.0, 0.8, 5.0, 1e-6);
  around.soil = &table;
  core::Work work;
  const Basis basis = make_basis(mesh);
  const Eigen::MatrixXcd one = fill_local(mesh, basis, around, 1e-6, &work);
  for (const int threads : {2, 4}) {
    core::Work again;
    CHECK(fill_local(mesh, basis, around, 1e-6, &again, threads) == one);
    CHECK(again.samples == work.samples);
  }
}

TEST_CASE("fill_local: soil without contrast is free space, soil of immense conductivity is perfect ground") {
  const Stretch slanted{{-0.5, 0.2, 0.4}, {-0.1, 0.8, 1.5}};
  const Stretch level{{0, 0, 1.1}, {1, 0, 1.1}};
  Surroundings free;
  free.wavenumber = 2.2;
  const Eigen::MatrixXcd alone = block(slanted, level, 1e-3, 4, free);
  const auto over_soil = [&](Complex n2) {
    const media::HalfSpaceTable table(free.wavenumber, n2, 3.0, 0.2, 4.0, 1e-8);
    Surroundings soil = free;
    soil.soil = &table;
    soil.permittivity = n2;
    return block(slanted, level, 1e-3, 4, soil);
  };
  CHECK(largest(over_soil(1.0) - alone) <= 1e-7 * largest(alone));
  Surroundings perfect = free;
  perfect.perfect_ground = true;
  const Eigen::MatrixXcd image = block(slanted, level, 1e-3, 4, perfect);
  // Surface impedance eta / n: what it leaves falls as 1/|n|, 1e-4 and 1e-5.
  const double far = largest(over_soil({1.0, -1e8}) - image);
  const double nearer = largest(over_soil({1.0, -1e10}) - image);
  CHECK(far <= 1e-3 * largest(image));
  CHECK(nearer <= 0.15 * far);
}

TEST_CASE("fill_local: symmetric, also between elements of different order and over soil") {
  geometry::Mesh mesh;
  testing::add_wire(mesh, {0, 0, 0.5}, {1, 0, 0.5}, 1e-3, 2, 3);
  testing::add_wire(mesh, {0, 0.3, 0.6}, {0.7, 0.6, 1.4}, 2e-3, 1, 6);
  const media::HalfSpaceTable table(2.2, {13.0, -30.0}, 2.0, 0.9, 3.0, 1e-6);
  Surroundings around;
  around.wavenumber = 2.2;
  around.soil = &table;
  around.permittivity = {13.0, -30.0};
  const Eigen::MatrixXcd z = fill_local(mesh, make_basis(mesh), around, 1e-8);
  CHECK(largest(z - z.transpose()) <= 1e-14 * largest(z));
}

}  // namespace feldspar::moment

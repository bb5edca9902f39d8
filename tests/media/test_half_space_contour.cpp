#include "media/half_space_contour.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>

#include "media/half_space.hpp"
#include "media/half_space_cell.hpp"
#include "media/half_space_spectrum.hpp"

namespace feldspar::media {

namespace {

using Complex = std::complex<double>;

// Lossy, lossless, close to air, sea water; in units of 1 / k0 nothing else matters.
constexpr Complex kSoils[] = {{13.0, -12.8}, {4.0, -0.6},   {4.0, 0.0},
                              {1.1, -0.6},   {30.0, -80.0}, {81.0, -9000.0}};

// Cells for each of the forms, in units of 1 / k0.
constexpr Rectangle kCells[] = {
    {0.0, 1e-3, 1e-3, 2e-3},  {0.0, 0.25, 0.25, 0.5},   {0.0, 4.0, 4.0, 8.0},    {0.0, 60.0, 150.0, 180.0},
    {2.0, 4.0, 2.0, 4.0},     {16.0, 24.0, 15.0, 20.0},                           // parallel to the axis, ray
    {1e-3, 2e-3, 1e-6, 1e-3}, {0.01, 0.02, 1e-4, 0.01}, {0.2, 0.4, 0.001, 0.2},   // split tail or cuts
    {2.0, 4.0, 0.01, 2.0},    {16.0, 20.0, 0.01, 4.0},  {60.0, 64.0, 0.01, 8.0},  // cuts
    {64.0, 94.0, 17.0, 35.2}, {85.0, 94.0, 30.0, 40.0},  // cuts, with the steepest rise
};

}  // namespace

// Two independent methods: one contour for the whole cell, adaptive integration at each point. Tolerances:
// the header. 1e-8 and 1e-10 in general; the table that uses `normal` wants 1e-6.
TEST_CASE("make_contour: good over the whole cell") {
  double largest[2] = {};
  for (const Complex& n2 : kSoils) {
    const CellSoil soil(n2);
    for (const Rectangle& cell : kCells) {
      CAPTURE(n2);
      CAPTURE(cell.rho_from);
      CAPTURE(cell.z_from);
      REQUIRE(has_contour(1.0, n2, cell));
      for (const auto& [u, v] : {std::pair{0.0, 0.0}, {1.0, 0.0}, {0.0, 1.0}, {1.0, 1.0}, {0.4, 0.6}}) {
        const double rho = cell.rho_from + u * (cell.rho_to - cell.rho_from);
        const double z = cell.z_from + v * (cell.z_to - cell.z_from);
        const ReflectedRest expected = reference::reflected_rest(1.0, n2, rho, z);
        for (const ContourGrade grade : {ContourGrade::normal, ContourGrade::fine}) {
          ReflectedRest got;
          sample_rest(soil, make_contour(1.0, n2, cell, grade), {&rho, 1}, {&z, 1}, {&got, 1});
          got.a_m += soil.image * image_m_dynamic(1.0, rho, z);
          const double error =
              std::hypot(rho, z) *
              std::max(std::max(std::abs(got.a_h - expected.a_h), std::abs(got.a_v - expected.a_v)),
                       std::max(std::abs(got.a_m - expected.a_m), std::abs(got.p - expected.p)));
          const bool fine = grade == ContourGrade::fine;
          CHECK(error <= (fine ? 1e-9 : 5e-7));
          largest[fine ? 1 : 0] = std::max(largest[fine ? 1 : 0], error);
        }
      }
    }
  }
  MESSAGE("largest error times R': normal ", largest[0], ", fine ", largest[1]);
}

TEST_CASE("has_contour: every cell can be divided into cells that have one") {
  for (const double rho : {0.5, 3.0, 30.0, 95.0, 300.0}) {
    for (const double z : {0.001, 0.7, 12.0, 44.0, 80.0, 200.0}) {
      CAPTURE(rho);
      CAPTURE(z);
      CHECK(has_contour(1.0, {13.0, -5.0}, {rho, rho * 1.001, z, z * 1.001}));
    }
  }
  CHECK_FALSE(has_contour(1.0, {13.0, -5.0}, {0.0, 8.0, 0.01, 1.0}));
}

}  // namespace feldspar::media

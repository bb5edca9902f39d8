#include "moment/basis.hpp"

#include <doctest/doctest.h>

#include <Eigen/LU>
#include <cmath>
#include <vector>

#include "../support/prescribed_current.hpp"
#include "../support/structures.hpp"
#include "geometry/network.hpp"
#include "math/quadrature.hpp"
#include "moment/local_functions_detail.hpp"

namespace feldspar::moment {

namespace {

/// Value of a Legendre series at x.
double series(const Eigen::RowVectorXd& coefficients, double x) {
  std::vector<double> p(static_cast<std::size_t>(coefficients.size()) + 1);
  math::legendre(x, static_cast<int>(coefficients.size()) - 1, p.data());
  double sum = 0.0;
  for (Eigen::Index n = 0; n < coefficients.size(); ++n)
    sum += coefficients(n) * p[static_cast<std::size_t>(n)];
  return sum;
}

/// Currents at node `node` flowing away from it, for given unknowns.
double outflow(const geometry::Mesh& mesh, const Basis& basis, int node, const Eigen::VectorXd& unknowns) {
  const Eigen::VectorXd local = basis.combine * unknowns;
  double sum = 0.0;
  for (const geometry::ElementEnd& arm : mesh.nodes[static_cast<std::size_t>(node)].arms) {
    const double value = local(basis.offset[static_cast<std::size_t>(arm.element)] + arm.end);
    sum += arm.end == 0 ? value : -value;
  }
  return sum;
}

/// Three wires of different radius at one point, one of them bent, one standing on the ground.
testing::Structure junction() {
  testing::Structure s;
  s.wires = {testing::straight({0, 0, 0}, {0, 0, 3}, 1e-2), testing::straight({0, 0, 3}, {2, 0, 3}, 2e-3),
             testing::straight({0, 0, 3}, {-1, 1, 4}, 1e-3)};
  s.wires[2].path.push_back({-1, 3, 4});
  s.ports = {{"feed", {{0, 0.0, 0.02}}, {}}};
  return s;
}

}  // namespace

TEST_CASE("current_coefficients: node functions are 1 at their node and 0 at the other, bubbles 0 at both") {
  for (int order = 1; order <= kernel::kMaxDegree; ++order) {
    const LocalMatrix t = current_coefficients(order);
    REQUIRE(t.rows() == order + 1);
    for (int i = 0; i <= order; ++i) {
      CHECK(std::abs(series(t.row(i), -1.0) - (i == 0 ? 1.0 : 0.0)) <= 1e-15);
      CHECK(std::abs(series(t.row(i), 1.0) - (i == 1 ? 1.0 : 0.0)) <= 1e-15);
    }
    // together they span all polynomials of that degree
    CHECK(Eigen::MatrixXd(t).fullPivLu().rank() == order + 1);
  }
}

TEST_CASE("derivative_coefficients: the slope of every function, against differences") {
  const double length = 0.7;
  const double step = 1e-5;  // central difference: truncation 1e-10 times third derivatives, rounding 1e-11
  for (const int order : {1, 2, 5, 9}) {
    const LocalMatrix t = current_coefficients(order);
    const LocalMatrix d = derivative_coefficients(order, length);
    for (int i = 0; i <= order; ++i)
      for (const double x : {-0.9, -0.2, 0.55}) {
        const double difference = (series(t.row(i), x + step) - series(t.row(i), x - step)) / (step * length);
        CHECK(std::abs(series(d.row(i), x) - difference) <= 1e-6);
      }
    const Eigen::RowVectorXd constant = d.row(0) + d.row(1);
    CHECK(constant.cwiseAbs().maxCoeff() == 0.0);  // exactly no charge: nothing must be left at low frequency
  }
}

TEST_CASE("make_basis: Kirchhoff's law holds at every node for every function, and the count is the mesh's") {
  const testing::Structure s = junction();
  for (const bool grounded : {false, true}) {
    CAPTURE(grounded);
    const geometry::Mesh mesh = geometry::make_mesh(
        s, geometry::make_network(s, grounded ? geometry::Surface::perfect : geometry::Surface::none),
        geometry::normal_mesh(), {20.0});
    const Basis basis = make_basis(mesh);
    CHECK(basis.unknowns() == geometry::unknowns(mesh));
    CHECK(basis.is_top.size() == static_cast<std::size_t>(basis.unknowns()));
    CHECK(Eigen::MatrixXd(basis.combine).fullPivLu().rank() == basis.unknowns());  // independent functions
    int free_nodes = 0;
    for (std::size_t node = 0; node < mesh.nodes.size(); ++node) {
      double largest = 0.0;
      for (int u = 0; u < basis.unknowns(); ++u)
        largest = std::max(largest, std::abs(outflow(mesh, basis, static_cast<int>(node),
                                                     Eigen::VectorXd::Unit(basis.unknowns(), u))));
      CHECK(largest == (mesh.nodes[node].grounded ? 1.0 : 0.0));  // the ground takes what comes
      if (mesh.nodes[node].grounded) ++free_nodes;
    }
    CHECK(free_nodes == (grounded ? 1 : 0));
  }
}

TEST_CASE("make_basis: the highest bubble of each element is marked, once") {
  const testing::Structure s = junction();
  const geometry::Mesh mesh = geometry::make_mesh(s, geometry::make_network(s, geometry::Surface::none),
                                                  geometry::normal_mesh(), {20.0});
  const Basis basis = make_basis(mesh);
  int marked = 0;
  for (const char top : basis.is_top) marked += top;
  int expected = 0;
  for (const geometry::Element& e : mesh.elements) expected += e.order >= 2 ? 1 : 0;
  CHECK(marked == expected);
}

TEST_CASE("a sinusoid on high-order elements is represented to rounding") {
  geometry::Mesh mesh;
  const int leg = testing::add_wire(mesh, {0, 0, 0}, {0, 0, 1}, 1e-3, 3, 13);
  const Basis basis = make_basis(mesh);
  const double k = 6.0;
  const testing::GivenCurrent wave{[k](double s) { return std::sin(k * s + 0.3); },
                                   [k](double s) { return k * std::cos(k * s + 0.3); }};
  const Eigen::VectorXcd local = testing::project(mesh, basis, leg, wave);
  for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
    const LocalMatrix t = current_coefficients(mesh.elements[e].order);
    const Eigen::RowVectorXd legendre =
        local.real().segment(basis.offset[e], t.rows()).transpose() * Eigen::MatrixXd(t);
    for (const double x : {-1.0, -0.4, 0.3, 1.0}) {
      const double s = mesh.elements[e].from + 0.5 * mesh.elements[e].length() * (1.0 + x);
      CHECK(std::abs(series(legendre, x) - wave.value(s)) <= 1e-12);
    }
  }
}

TEST_CASE("local functions: moments change to them as by their matrices of coefficients") {
  struct Row {
    int order_m, order_n;
    double length_m, length_n;
  };
  for (const Row& row :
       {Row{1, 1, 0.3, 2.0}, Row{2, 5, 1.0, 0.7}, Row{15, 3, 1.7, 0.2}, Row{9, 9, 0.1, 0.1}}) {
    CAPTURE(row.order_m);
    kernel::MomentSums currents{};
    kernel::MomentSums derivatives{};
    Eigen::MatrixXcd moments(row.order_m + 1, row.order_n + 1);
    for (int a = 0; a <= row.order_m; ++a)
      for (int b = 0; b <= row.order_n; ++b) {
        moments(a, b) = {std::sin(1.3 * a + 2.1 * b), std::cos(0.7 * a * b + 1.0)};
        const auto at = static_cast<std::size_t>(b) * kernel::kRow + static_cast<std::size_t>(a);
        currents.re[at] = derivatives.re[at] = moments(a, b).real();
        currents.im[at] = derivatives.im[at] = moments(a, b).imag();
      }
    to_currents(currents, row.order_m, row.order_n);
    to_derivatives(derivatives, row.order_m, row.length_m, row.order_n, row.length_n);
    const Eigen::MatrixXcd current =
        current_coefficients(row.order_m).cast<std::complex<double>>() * moments *
        current_coefficients(row.order_n).transpose().cast<std::complex<double>>();
    const Eigen::MatrixXcd derivative =
        derivative_coefficients(row.order_m, row.length_m).cast<std::complex<double>>() *
        moments.topLeftCorner(row.order_m, row.order_n) *
        derivative_coefficients(row.order_n, row.length_n).transpose().cast<std::complex<double>>();
    for (int a = 0; a <= row.order_m; ++a)
      for (int b = 0; b <= row.order_n; ++b) {
        const auto at = static_cast<std::size_t>(b) * kernel::kRow + static_cast<std::size_t>(a);
        CHECK(std::abs(std::complex<double>(currents.re[at], currents.im[at]) - current(a, b)) <= 1e-14);
        CHECK(std::abs(std::complex<double>(derivatives.re[at], derivatives.im[at]) - derivative(a, b)) <=
              1e-13 * derivative.cwiseAbs().maxCoeff());
      }
  }
}

}  // namespace feldspar::moment

#include "moment/solve.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <limits>
#include <memory>

#include "geometry/network.hpp"
#include "math/dense_lu.hpp"
#include "math/products.hpp"
#include "media/table_store.hpp"
#include "moment/basis.hpp"
#include "moment/fill.hpp"
#include "moment/response_detail.hpp"
#include "moment/rotation_detail.hpp"

namespace feldspar::moment {

namespace {

using Complex = std::complex<double>;

constexpr double kNoCoat = std::numeric_limits<double>::infinity();

/// Integral of f_i f_j over an element of length 1: Legendre functions are orthogonal with norm 1/(2n+1).
const Eigen::MatrixXcd& unit_overlap(int order) {
  static const auto kept = [] {
    std::array<Eigen::MatrixXcd, kernel::kMaxDegree + 1> made;
    for (int degree = 1; degree <= kernel::kMaxDegree; ++degree) {
      const LocalMatrix t = current_coefficients(degree);
      Eigen::VectorXd norm(degree + 1);
      for (int n = 0; n <= degree; ++n) norm(n) = 1.0 / (2 * n + 1);
      made[static_cast<std::size_t>(degree)] = (t * norm.asDiagonal() * t.transpose()).cast<Complex>();
    }
    return made;
  }();
  return kept[static_cast<std::size_t>(order)];
}

/// Series impedance per metre of each element, ohm/m.
std::vector<Complex> series_per_metre(const geometry::Mesh& mesh, const geometry::Structure& structure,
                                      const SeriesImpedance& series) {
  std::vector<Complex> per_metre(mesh.elements.size(), 0.0);
  for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
    const auto wire = static_cast<std::size_t>(mesh.elements[e].wire);
    if (wire < series.per_metre.size()) per_metre[e] = series.per_metre[wire];
  }
  for (std::size_t i = 0; i < structure.inserts.size() && i < series.inserts.size(); ++i) {
    const Complex share = series.inserts[i] / geometry::length(structure.inserts[i].spans);
    geometry::for_elements_in(mesh, structure.inserts[i].spans,
                              [&](std::size_t e, int) { per_metre[e] += share; });
  }
  return per_metre;
}

std::vector<ElementLaw> element_laws(const geometry::Mesh& mesh, const geometry::Structure& structure,
                                     const SeriesImpedance& series) {
  const std::vector<Complex> per_metre = series_per_metre(mesh, structure, series);
  std::vector<ElementLaw> laws;
  for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
    const auto wire = static_cast<std::size_t>(mesh.elements[e].wire);
    const bool known = wire < series.sheath_capacitance.size();
    laws.push_back({per_metre[e], known ? series.sheath_capacitance[wire] : kNoCoat});
  }
  return laws;
}

/// Columns: mean of each local function's current over each port's gap.
Eigen::MatrixXd local_port_vectors(const geometry::Mesh& mesh, const Basis& basis,
                                   const geometry::Structure& structure) {
  Eigen::MatrixXd local =
      Eigen::MatrixXd::Zero(basis.offset.back(), static_cast<Eigen::Index>(structure.ports.size()));
  for (std::size_t p = 0; p < structure.ports.size(); ++p) {
    const double gap = geometry::length(structure.ports[p].spans);
    geometry::for_elements_in(mesh, structure.ports[p].spans, [&](std::size_t e, int sign) {
      const LocalMatrix t = current_coefficients(mesh.elements[e].order);
      const double share = sign * mesh.elements[e].length() / gap;
      for (int a = 0; a <= mesh.elements[e].order; ++a)
        local(basis.offset[e] + a, static_cast<Eigen::Index>(p)) += share * t(a, 0);
    });
  }
  return local;
}

/// Free ends and wires of the solution with 1 V at the first port.
void add_wires(const Basis& basis, const std::vector<ElementLaw>& laws, const Eigen::VectorXd& drive,
               const Response& response, Solution& solution) {
  solution.end_potentials = end_potentials(solution.mesh, basis, response.field - drive.cast<Complex>());
  solution.local_current = response.currents.col(0);
  // Re(z) current = half of z current + conj(z conj(current))
  solution.local_field = 0.5 * (response.field + response.conjugate_field.conjugate());
  for (std::size_t e = 0; e < laws.size(); ++e) {
    if (laws[e].per_metre.real() == 0.0) continue;
    const geometry::Element& element = solution.mesh.elements[e];
    const Eigen::MatrixXcd& mass = unit_overlap(element.order);
    solution.local_field.segment(basis.offset[e], mass.rows()).noalias() -=
        laws[e].per_metre.real() * element.length() *
        mass.lazyProduct(solution.local_current.segment(basis.offset[e], mass.rows()));
  }
}

/// One or two local functions that make up an unknown.
struct Share {
  Eigen::Index row[2] = {0, 0};
  double factor[2] = {0.0, 0.0};
};

std::vector<Share> shares(const Eigen::SparseMatrix<double>& combine) {
  std::vector<Share> result(static_cast<std::size_t>(combine.cols()));
  for (Eigen::Index n = 0; n < combine.cols(); ++n) {
    Share& share = result[static_cast<std::size_t>(n)];
    std::size_t count = 0;
    for (Eigen::SparseMatrix<double>::InnerIterator entry(combine, n); entry; ++entry, ++count) {
      assert(count < 2);
      share.row[count] = entry.row();
      share.factor[count] = entry.value();
    }
    if (count == 1) share.row[1] = share.row[0];
  }
  return result;
}

/// combine^T local combine.
Eigen::MatrixXcd combined(const Eigen::SparseMatrix<double>& combine, const Eigen::MatrixXcd& local) {
  const std::vector<Share> all = shares(combine);
  Eigen::MatrixXcd z(combine.cols(), combine.cols());
  Eigen::VectorXcd column(local.rows());
  for (Eigen::Index n = 0; n < z.cols(); ++n) {
    const Share& source = all[static_cast<std::size_t>(n)];
    column = source.factor[0] * local.col(source.row[0]);
    if (source.factor[1] != 0.0) column += source.factor[1] * local.col(source.row[1]);
    for (Eigen::Index m = 0; m < z.rows(); ++m) {
      const Share& share = all[static_cast<std::size_t>(m)];
      z(m, n) = share.factor[0] * column(share.row[0]) + share.factor[1] * column(share.row[1]);
    }
  }
  return z;
}

Response plain_response(const System& system) {
  Response response;
  Eigen::MatrixXcd local =
      fill_local(system.mesh, system.basis, system.around, system.tolerance, &response.work, system.threads);
  for (std::size_t e = 0; e < system.laws.size(); ++e) {
    const Eigen::MatrixXcd own = own_block(system.mesh.elements[e], system.laws[e], system.angular);
    local.block(system.basis.offset[e], system.basis.offset[e], own.rows(), own.cols()) += own;
  }
  const Eigen::SparseMatrix<Complex> combine = system.basis.combine.cast<Complex>();
  const Eigen::MatrixXcd z = combined(system.basis.combine, local);
  const Eigen::MatrixXcd b = combine.transpose() * system.ports.cast<Complex>();
  const Eigen::MatrixXcd x = solve_refined(z, b, response.work, &response.residual);
  response.admittance = b.transpose() * x;
  const std::vector<Eigen::Index> keep = without_top(system.basis.is_top);
  const Eigen::MatrixXcd kept = b(keep, Eigen::all);
  response.coarse = kept.transpose() * solve_refined(z(keep, keep), kept, response.work);
  response.currents = combine * x;
  const Eigen::VectorXcd current = response.currents.col(0);
  const math::ProductParts field = math::product_parts(local, current);
  response.field = field.product();
  response.conjugate_field = field.with_conjugate();
  return response;
}

Currents expand(const geometry::Mesh& mesh, const Basis& basis, const Eigen::VectorXcd& local) {
  Currents currents;
  currents.reserve(mesh.elements.size());
  for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
    const geometry::Element& element = mesh.elements[e];
    const LocalMatrix t = current_coefficients(element.order);
    currents.push_back({element.start, element.end, element.radius, element.wire,
                        t.transpose().cast<Complex>() * local.segment(basis.offset[e], element.order + 1)});
  }
  return currents;
}

/// Port parameters and their error estimates.
void add_ports(const Response& response, Solution& solution) {
  solution.admittance = response.admittance;
  solution.condition_warning = response.residual;
  solution.impedance = solution.admittance.inverse();
  const Eigen::MatrixXcd change = solution.impedance - response.coarse.inverse();
  solution.matrix_error_relative =
      (change.array().abs() / solution.impedance.array().abs().max(1e-300)).maxCoeff();
  const Complex driven = 1.0 / solution.admittance(0, 0);
  const Complex driven_change = driven - 1.0 / response.coarse(0, 0);
  solution.impedance_error_relative = std::abs(driven_change) / std::abs(driven);
  solution.resistance_error = std::abs(driven_change.real());
}

/// How far the ground tables of a structure must reach.
media::TableReach table_reach(const geometry::Structure& structure) {
  Eigen::AlignedBox3d box;
  double radius = structure.wires.front().radius;
  for (const geometry::Wire& wire : structure.wires) {
    radius = std::min(radius, wire.radius);
    for (const geometry::Vec3& point : wire.path) box.extend(point);
  }
  constexpr double kLeast = 1e-3;  // of a radius: where wires go through the surface, tables begin there
  return media::rounded({std::hypot(box.sizes().x(), box.sizes().y()),
                         std::max(2.0 * box.min().z(), kLeast * radius), std::max(0.0, box.max().z()),
                         std::max(0.0, -box.min().z())});
}

}  // namespace

Eigen::MatrixXcd own_block(const geometry::Element& element, const ElementLaw& law, double angular) {
  Eigen::MatrixXcd own = law.per_metre * element.length() * unit_overlap(element.order);
  if (!std::isfinite(law.sheath_capacitance)) return own;
  // A charge q per metre, -I' / jw, raises the metal's potential by q / capacitance.
  const LocalMatrix slope = derivative_coefficients(element.order, element.length());
  Eigen::VectorXd norm(element.order);
  for (int n = 0; n < element.order; ++n) norm(n) = element.length() / (2 * n + 1);
  const Eigen::MatrixXd charges = slope * norm.asDiagonal() * slope.transpose();
  own += Complex(0.0, -1.0 / (angular * law.sheath_capacitance)) * charges;
  return own;
}

Eigen::MatrixXcd solve_refined(const Eigen::MatrixXcd& z, const Eigen::MatrixXcd& b, core::Work& work,
                               double* residual) {
  const math::DenseLu lu(z);
  ++work.solves;
  work.unknowns += static_cast<std::size_t>(z.rows());
  Eigen::MatrixXcd x = lu.solve(b);
  Eigen::MatrixXcd rest = b;
  for (Eigen::Index p = 0; p < b.cols(); ++p) rest.col(p) -= math::product_parts(z, x.col(p)).product();
  if (residual != nullptr) *residual = rest.norm() / (z.norm() * x.norm() + b.norm());
  x += lu.solve(rest);
  return x;
}

std::vector<Eigen::Index> without_top(const std::vector<char>& is_top) {
  std::vector<Eigen::Index> keep;
  for (std::size_t i = 0; i < is_top.size(); ++i)
    if (is_top[i] == 0) keep.push_back(static_cast<Eigen::Index>(i));
  return keep;
}

geometry::Surface surface_of(const media::Ground& ground) {
  switch (ground.kind) {
    case media::GroundKind::perfect:
      return geometry::Surface::perfect;
    case media::GroundKind::real:
      return geometry::Surface::soil;
    case media::GroundKind::free_space:
      break;
  }
  return geometry::Surface::none;
}

geometry::Wavelengths wavelengths(const media::Ground& ground, core::Frequency f) {
  geometry::Wavelengths result{core::wavelength(f)};
  if (ground.kind == media::GroundKind::real) {
    const Complex n = std::sqrt(media::complex_permittivity(ground, f));
    result.soil = result.air / n.real();
    result.soil_fading = -core::wavenumber(f) * n.imag();
  }
  return result;
}

std::vector<double> wire_power(const Solution& solution) {
  return wire_power(solution.mesh, solution.local_current, solution.local_field);
}

Solution solve(const geometry::Structure& structure, const SeriesImpedance& series,
               const media::Ground& ground, core::Frequency f, const Setting& setting) {
  Solution solution;
  const geometry::Network network = geometry::make_network(structure, surface_of(ground));
  const core::Frequency meshed{std::max(f.si, setting.mesh_for.value_or(f).si)};
  solution.mesh = geometry::make_mesh(structure, network, setting.mesh, wavelengths(ground, meshed));
  const Basis basis = make_basis(solution.mesh);
  solution.unknowns = basis.unknowns();

  media::GroundTables tables;
  std::size_t known_entries = 0;  // built for others
  Surroundings around;
  around.wavenumber = core::wavenumber(f);
  around.perfect_ground = ground.kind == media::GroundKind::perfect;
  if (ground.kind == media::GroundKind::real) {
    around.permittivity = media::complex_permittivity(ground, f);
    around.plane_wave = ground.method == media::GroundMethod::plane_wave;
    const media::TableReach reach = table_reach(structure);
    around.least_height_sum = reach.low;
    tables = setting.tables
                 ? setting.tables->get(around.wavenumber, around.permittivity, reach, setting.tolerance)
                 : media::make_tables(around.wavenumber, around.permittivity, reach, setting.tolerance);
    known_entries = tables.entries();
    around.soil = tables.above.get();
    around.below = tables.below.get();
    around.across = tables.across.get();
    if (around.plane_wave && around.below != nullptr)
      throw core::Error(core::ErrorKind::geometry,
                        "a wire lies in the soil, which plane-wave reflection does not know; remove method = "
                        "\"plane-wave\" from [ground]");
  }
  const std::vector<ElementLaw> laws = element_laws(solution.mesh, structure, series);
  const Eigen::MatrixXd ports = local_port_vectors(solution.mesh, basis, structure);
  const System system{solution.mesh,     basis,          around, laws, ports, core::angular(f),
                      setting.tolerance, setting.threads};
  const std::optional<Rotation> rotation =
      setting.use_symmetry ? find_rotation(solution.mesh, laws) : std::nullopt;
  const Response response = rotation ? rotation_response(system, *rotation) : plain_response(system);
  if (!response.admittance.allFinite())
    throw core::Error(core::ErrorKind::numerics, "the system of equations has no finite solution");
  solution.work = response.work;
  solution.work.table_entries = tables.entries() - known_entries;
  add_ports(response, solution);
  for (Eigen::Index p = 0; p < ports.cols(); ++p)
    solution.unit_currents.push_back(expand(solution.mesh, basis, response.currents.col(p)));
  add_wires(basis, laws, ports.col(0), response, solution);
  return solution;
}

}  // namespace feldspar::moment

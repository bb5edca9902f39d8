#include "radial_screen.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "fields/far_field.hpp"
#include "geometry/mesh.hpp"
#include "geometry/network.hpp"
#include "moment/basis.hpp"
#include "moment/fill.hpp"

namespace feldspar::validation {

namespace {

using Complex = std::complex<double>;

constexpr double kLeastHeightSum = 1e-3;  // m, where the table above begins when wires pass through

/// The elements of some wires, in the order given, with everything that refers to them.
geometry::Mesh part_of(const geometry::Mesh& mesh, const std::vector<int>& wires) {
  geometry::Mesh part;
  std::vector<int> leg_at(mesh.legs.size(), -1);
  std::vector<std::size_t> legs;
  for (const int wire : wires)
    for (std::size_t i = 0; i < mesh.legs.size(); ++i)
      if (mesh.legs[i].wire == wire) {
        leg_at[i] = static_cast<int>(legs.size());
        legs.push_back(i);
        part.legs.push_back(mesh.legs[i]);
      }
  for (const std::size_t i : legs)
    for (const std::size_t j : legs) {
      part.joined.push_back(mesh.joined[i * mesh.legs.size() + j]);
      part.joined_at_ground.push_back(mesh.joined_at_ground[i * mesh.legs.size() + j]);
    }
  std::vector<int> element_at(mesh.elements.size(), -1);
  for (const int wire : wires)
    for (std::size_t e = 0; e < mesh.elements.size(); ++e)
      if (mesh.elements[e].wire == wire) {
        element_at[e] = static_cast<int>(part.elements.size());
        part.elements.push_back(mesh.elements[e]);
        part.elements.back().leg = leg_at[static_cast<std::size_t>(mesh.elements[e].leg)];
      }
  for (const geometry::MeshNode& node : mesh.nodes) {
    geometry::MeshNode kept;
    kept.grounded = node.grounded;
    for (const geometry::ElementEnd& arm : node.arms)
      if (element_at[static_cast<std::size_t>(arm.element)] >= 0)
        kept.arms.push_back({element_at[static_cast<std::size_t>(arm.element)], arm.end});
    part.nodes.push_back(kept);
  }
  return part;
}

/// Two radials must be meshed alike or the symmetry does not hold.
void require_alike(const geometry::Mesh& pair) {
  const std::size_t half = pair.elements.size() / 2;
  for (std::size_t e = 0; e < half; ++e) {
    const geometry::Element& a = pair.elements[e];
    const geometry::Element& b = pair.elements[half + e];
    if (a.order != b.order || std::abs(a.from - b.from) > 1e-9 || std::abs(a.to - b.to) > 1e-9)
      throw std::logic_error("radials are meshed differently");
  }
}

/// Mean current over the gap per unknown.
Eigen::VectorXd port_vector(const geometry::Mesh& mesh, const moment::Basis& basis,
                            const geometry::Span& span) {
  Eigen::VectorXd local = Eigen::VectorXd::Zero(basis.offset.back());
  for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
    const geometry::Element& element = mesh.elements[e];
    const double middle = 0.5 * (element.from + element.to);
    if (element.wire != span.wire || middle < span.from || middle > span.to) continue;
    const moment::LocalMatrix t = moment::current_coefficients(element.order);
    for (int a = 0; a <= element.order; ++a)
      local(basis.offset[e] + a) += element.length() / (span.to - span.from) * t(a, 0);
  }
  return basis.combine.transpose() * local;
}

/// Currents of the mast above z = 0, and all others, the one radial's turned to every radial's place.
void add_currents(const geometry::Mesh& mesh, const moment::Basis& basis, const Eigen::VectorXcd& unknowns,
                  int count, Site::Answer& answer) {
  const Eigen::VectorXcd local = basis.combine.cast<Complex>() * unknowns;
  for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
    const geometry::Element& element = mesh.elements[e];
    const moment::LocalMatrix t = moment::current_coefficients(element.order);
    moment::ElementCurrent current{
        element.start, element.end, element.radius, element.wire,
        t.transpose().cast<Complex>() * local.segment(basis.offset[e], element.order + 1)};
    if (element.wire == 0) {
      (element.start.z() + element.end.z() > 0.0 ? answer.mast : answer.ground).push_back(current);
      continue;
    }
    current.coefficients /= static_cast<double>(count);
    for (int k = 0; k < count; ++k) {
      const Eigen::AngleAxisd turn(2.0 * core::kPi * k / count, geometry::Vec3::UnitZ());
      moment::ElementCurrent turned = current;
      turned.start = turn * element.start;
      turned.end = turn * element.end;
      turned.wire = 1 + k;
      answer.ground.push_back(turned);
    }
  }
}

}  // namespace

geometry::Structure structure(const RadialScreen& screen) {
  geometry::Structure s;
  const auto add = [&](std::string name, const geometry::Vec3& to, double radius) {
    geometry::Wire wire;
    wire.name = std::move(name);
    wire.path = {{0.0, 0.0, screen.hub_z}, to};
    wire.radius = radius;
    s.wires.push_back(wire);
  };
  add("mast", {0.0, 0.0, screen.mast_height}, screen.mast_radius);
  for (int i = 0; i < screen.count; ++i) {
    const double angle = 2.0 * core::kPi * i / screen.count;
    add("radial " + std::to_string(i + 1),
        {screen.radial_length * std::cos(angle), screen.radial_length * std::sin(angle), screen.hub_z},
        screen.radial_radius);
  }
  const double foot = std::max(0.0, -screen.hub_z);
  s.ports.push_back({"feed", {{0, foot, foot + screen.gap}}, {}});
  return s;
}

Site::Site(const media::Ground& soil, core::Frequency f, double longest_radial, double highest,
           double deepest, const moment::Setting& setting)
    : soil_(soil), frequency_(f), setting_(setting) {
  const double k0 = core::wavenumber(f);
  const Complex n2 = media::complex_permittivity(soil, f);
  const double rho = 2.0 * longest_radial;
  above_ =
      std::make_unique<media::HalfSpaceTable>(k0, n2, rho, kLeastHeightSum, 2.0 * highest, setting.tolerance);
  if (deepest > 0.0) {
    below_ = std::make_unique<media::BelowTable>(k0, n2, rho, 2.0 * deepest, setting.tolerance);
    across_ = std::make_unique<media::AcrossTable>(k0, n2, rho, highest, deepest, setting.tolerance);
  }
}

Site::Answer Site::solve(const RadialScreen& screen) const {
  const geometry::Structure s = structure(screen);
  const geometry::Network network = geometry::make_network(s, geometry::Surface::soil);
  const geometry::Mesh full =
      geometry::make_mesh(s, network, setting_.mesh, moment::wavelengths(soil_, frequency_));

  moment::Surroundings around;
  around.wavenumber = core::wavenumber(frequency_);
  around.permittivity = media::complex_permittivity(soil_, frequency_);
  around.soil = above_.get();
  around.least_height_sum = kLeastHeightSum;
  if (screen.hub_z < 0.0) {
    around.below = below_.get();
    around.across = across_.get();
  }

  // The radial's unknown is the current of all n together: each carries 1/n of it, and n of them meet n.
  const geometry::Mesh mesh = part_of(full, {0, 1});
  const moment::Basis basis = moment::make_basis(mesh);
  Eigen::MatrixXcd local = moment::fill_local(mesh, basis, around, setting_.tolerance);
  const int radial =
      part_of(full, {1}).elements.empty() ? 0 : moment::make_basis(part_of(full, {1})).offset.back();
  Eigen::MatrixXcd sum = local.bottomRightCorner(radial, radial);
  for (int k = 1; 2 * k <= screen.count; ++k) {
    const geometry::Mesh pair = part_of(full, {1, 1 + k});
    require_alike(pair);
    const Eigen::MatrixXcd both =
        moment::fill_local(pair, moment::make_basis(pair), around, setting_.tolerance);
    // radial n - k is the mirror image of radial k
    sum += (2 * k == screen.count ? 1.0 : 2.0) * both.topRightCorner(radial, radial);
  }
  local.bottomRightCorner(radial, radial) = sum / static_cast<double>(screen.count);

  const Eigen::SparseMatrix<Complex> combine = basis.combine.cast<Complex>();
  const Eigen::MatrixXcd half = combine.transpose() * local;
  const Eigen::MatrixXcd z = half * combine;
  const Eigen::VectorXcd v = port_vector(mesh, basis, s.ports.front().spans.front()).cast<Complex>();
  const Eigen::PartialPivLU<Eigen::MatrixXcd> lu(z);
  Eigen::VectorXcd x = lu.solve(v);
  x += lu.solve(v - z * x);

  Answer answer;
  answer.impedance = 1.0 / (v.transpose() * x)(0);
  add_currents(mesh, basis, x, screen.count, answer);
  answer.unknowns = basis.unknowns();
  answer.unknowns_without_symmetry = geometry::unknowns(full);
  return answer;
}

double unattenuated_field(const Site::Answer& answer, core::Frequency f, double power, double distance) {
  media::Ground plane;
  plane.kind = media::GroundKind::perfect;
  const fields::Pattern pattern(answer.mast, plane, f);
  const double peak = std::abs(pattern.at({core::Angle{0.0}, core::Angle{0.0}}).theta) / distance;
  const double accepted = 0.5 * (1.0 / answer.impedance).real();
  return peak / std::sqrt(2.0) * std::sqrt(power / accepted);
}

double launching_factor(const Site::Answer& answer, const media::Ground& soil, core::Frequency f) {
  constexpr double kGrazing = 1e-4;  // rad; both fields vanish at 0, their ratio has a limit
  const fields::Direction grazing{core::Angle{kGrazing}, core::Angle{0.0}};
  moment::Currents all = answer.mast;
  all.insert(all.end(), answer.ground.begin(), answer.ground.end());
  return std::abs(fields::Pattern(all, soil, f).at(grazing).theta /
                  fields::Pattern(answer.mast, soil, f).at(grazing).theta);
}

}  // namespace feldspar::validation

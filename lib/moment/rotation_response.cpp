#include <Eigen/SparseCore>
#include <algorithm>
#include <cstddef>
#include <numeric>

#include "core/constants.hpp"
#include "moment/harmonics_detail.hpp"
#include "moment/response_detail.hpp"

namespace feldspar::moment {

namespace {

using Complex = std::complex<double>;

/// Between functions on all elements and those of the axis and one sector.
class Unfolding {
 public:
  Unfolding(const System& system, const Rotation& rotation, const SectorBasis& sector)
      : offset_(system.basis.offset), rotation_(rotation), sector_(sector) {
    for (int j = 0; j < rotation.copies; ++j)
      turns_.push_back(std::polar(1.0, 2.0 * core::kPi * j / rotation.copies));
    turns_[0] = 1.0;
  }

  /// Sum over the copies j of exp(-2 pi i m j / n) times their part; the axis part when m is 0.
  [[nodiscard]] Eigen::MatrixXcd fold(const Eigen::MatrixXd& all, int m) const {
    Eigen::MatrixXcd result = Eigen::MatrixXcd::Zero(sector_.size(), all.cols());
    visit(m, [&](int from, int to, int count, Complex phase) {
      result.middleRows(to, count) += std::conj(phase) * all.middleRows(from, count);
    });
    return result;
  }

  /// Adds the harmonic m with the sector's values `part` to `all`.
  void unfold(const Eigen::MatrixXcd& part, int m, Eigen::Ref<Eigen::MatrixXcd> all) const {
    visit(m, [&](int to, int from, int count, Complex phase) {
      all.middleRows(to, count) += phase * part.middleRows(from, count);
    });
  }

  /// Whether every port drives all copies alike, but for rounding.
  [[nodiscard]] bool only_invariant(const Eigen::MatrixXd& ports) const {
    const double most = 1e-12 * ports.cwiseAbs().maxCoeff();
    for (const std::vector<std::size_t>& orbit : rotation_.orbits) {
      const int count = size_of(orbit.front());
      const auto first = ports.middleRows(offset_[orbit.front()], count);
      for (const std::size_t e : orbit)
        if ((ports.middleRows(offset_[e], count) - first).cwiseAbs().maxCoeff() > most) return false;
    }
    return true;
  }

 private:
  [[nodiscard]] int size_of(std::size_t e) const { return offset_[e + 1] - offset_[e]; }

  /// Calls visit(first row in all, first row in the sector, rows, exp(2 pi i m j / n)).
  template <class Visit>
  void visit(int m, const Visit& call) const {
    for (std::size_t i = 0; i < sector_.axis_elements && m == 0; ++i)
      call(offset_[sector_.elements[i]], sector_.offset[i], size_of(sector_.elements[i]), Complex(1.0));
    for (std::size_t k = 0; k < rotation_.orbits.size(); ++k)
      for (std::size_t j = 0; j < turns_.size(); ++j) {
        const std::size_t e = rotation_.orbits[k][j];
        const std::size_t turn = static_cast<std::size_t>(m) * j % turns_.size();
        call(offset_[e], sector_.offset[sector_.axis_elements + k], size_of(e), turns_[turn]);
      }
  }

  const std::vector<int>& offset_;
  const Rotation& rotation_;
  const SectorBasis& sector_;
  std::vector<Complex> turns_;
};

/// Adds what one harmonic contributes. @param z of fill_harmonics() with series impedances and coats
void add_harmonic(const System& system, const Rotation& rotation, const SectorBasis& sector,
                  const Unfolding& unfolding, int m, const Eigen::MatrixXcd& z, Response& response) {
  const HarmonicBasis basis = make_harmonic_basis(system.mesh, rotation, sector, m);
  const Eigen::SparseMatrix<Complex> tested = basis.combine.adjoint();  // harmonic -m, not conjugated
  const Eigen::Index sectors = sector.size() - sector.axis_size();
  Eigen::MatrixXcd half = z * basis.combine;
  half.bottomRows(sectors) *= static_cast<double>(rotation.copies);  // each copy is tested
  const Eigen::MatrixXcd matrix = tested * half;
  const Eigen::MatrixXcd drive = unfolding.fold(system.ports, m);
  const Eigen::MatrixXcd b = tested * drive;
  double residual = 0.0;
  const Eigen::MatrixXcd x = solve_refined(matrix, b, &residual);
  count_solves(basis.is_top, response.work);
  response.residual = std::max(response.residual, residual);
  response.admittance += b.adjoint() * x;
  const std::vector<Eigen::Index> keep = without_top(basis.is_top);
  const Eigen::MatrixXcd kept = b(keep, Eigen::all);
  response.coarse += kept.adjoint() * solve_refined(matrix(keep, keep), kept, nullptr);

  const Eigen::MatrixXcd local = basis.combine * x;
  unfolding.unfold(local, m, response.currents);
  const Eigen::VectorXcd current = local.col(0);
  unfolding.unfold(z * current, m, response.field);
  // the conjugate current is of harmonic -m, which sees the transpose; S_0 is its own
  Eigen::VectorXcd back;
  if (m == 0)
    back = z * current.conjugate();
  else
    back = z.transpose() * current.conjugate();
  unfolding.unfold(back, (rotation.copies - m) % rotation.copies, response.conjugate_field);
}

}  // namespace

Response rotation_response(const System& system, const Rotation& rotation) {
  const SectorBasis sector = make_sector_basis(system.mesh, rotation);
  const Unfolding unfolding(system, rotation, sector);
  std::vector<int> harmonics(
      static_cast<std::size_t>(unfolding.only_invariant(system.ports) ? 1 : rotation.copies));
  std::iota(harmonics.begin(), harmonics.end(), 0);
  std::vector<Eigen::MatrixXcd> z;
  Response response;
  {
    Reactions reactions(system.mesh, system.around, system.tolerance);
    z = fill_harmonics(reactions, rotation, sector, harmonics);
    response.work.samples = reactions.samples();
  }
  const Eigen::Index ports = system.ports.cols();
  response.admittance.setZero(ports, ports);
  response.coarse.setZero(ports, ports);
  response.currents.setZero(system.basis.offset.back(), ports);
  response.field.setZero(system.basis.offset.back());
  response.conjugate_field.setZero(system.basis.offset.back());
  for (std::size_t h = 0; h < harmonics.size(); ++h) {
    for (std::size_t i = harmonics[h] == 0 ? 0 : sector.axis_elements; i < sector.elements.size(); ++i) {
      const std::size_t e = sector.elements[i];
      const Eigen::MatrixXcd own = own_block(system.mesh.elements[e], system.laws[e], system.angular);
      z[h].block(sector.offset[i], sector.offset[i], own.rows(), own.cols()) += own;
    }
    add_harmonic(system, rotation, sector, unfolding, harmonics[h], z[h], response);
  }
  return response;
}

}  // namespace feldspar::moment

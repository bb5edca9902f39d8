#include "moment/harmonics_detail.hpp"

#include <algorithm>
#include <cstddef>
#include <span>

#include "core/constants.hpp"

namespace feldspar::moment {

namespace {

using Complex = std::complex<double>;

/// exp(2 pi i k / n), the same for k and k + n.
Complex root_of_unity(int k, int n) {
  const int turn = k % n;
  return turn == 0 ? Complex(1.0) : std::polar(1.0, 2.0 * core::kPi * turn / n);
}

/// A local function at a node: its row, and what it adds to the current out of the node.
struct ArmShare {
  int row = 0;
  Complex outward;
};

/// Collects the unknowns of one harmonic.
class Collector {
 public:
  Collector(const geometry::Mesh& mesh, const Rotation& rotation, const SectorBasis& sector, int harmonic)
      : mesh_(mesh), rotation_(rotation), sector_(sector), harmonic_(harmonic) {
    row_of_.assign(mesh.elements.size(), -1);
    for (std::size_t i = 0; i < sector.elements.size(); ++i) row_of_[sector.elements[i]] = sector.offset[i];
    for (const std::vector<std::size_t>& orbit : rotation.orbits)
      for (const std::size_t e : orbit) row_of_[e] = row_of_[orbit.front()];
  }

  HarmonicBasis run() {
    for (std::size_t v = 0; v < mesh_.nodes.size(); ++v)
      if (!mesh_.nodes[v].arms.empty() && is_first(static_cast<int>(v))) add_node(static_cast<int>(v));
    for (std::size_t i = harmonic_ == 0 ? 0 : sector_.axis_elements; i < sector_.elements.size(); ++i)
      add_bubbles(mesh_.elements[sector_.elements[i]].order, sector_.offset[i]);
    HarmonicBasis basis;
    basis.combine.resize(sector_.size(), next_);
    basis.combine.setFromTriplets(entries_.begin(), entries_.end());
    basis.is_top = std::move(is_top_);
    return basis;
  }

 private:
  [[nodiscard]] int image(int node) const { return rotation_.node_image[static_cast<std::size_t>(node)]; }

  /// One node stands for all its images.
  [[nodiscard]] bool is_first(int node) const {
    for (int at = image(node); at != node; at = image(at))
      if (at < node) return false;
    return true;
  }

  void add_node(int node) {
    const bool fixed = image(node) == node;
    const geometry::MeshNode& here = mesh_.nodes[static_cast<std::size_t>(node)];
    std::vector<ArmShare> arms;
    for (const geometry::ElementEnd& arm : here.arms) {
      const auto e = static_cast<std::size_t>(arm.element);
      const bool axis = rotation_.orbit_of[e] < 0;
      if ((axis && harmonic_ != 0) || (!axis && fixed && rotation_.copy_of[e] != 0)) continue;
      Complex outward = arm.end == 0 ? 1.0 : -1.0;
      if (!axis && fixed)
        outward *= rotation_.copies;
      else if (!axis)
        outward *= root_of_unity(harmonic_ * rotation_.copy_of[e], rotation_.copies);
      arms.push_back({row_of_[e] + arm.end, outward});
    }
    const bool free = here.grounded || (fixed && harmonic_ != 0);
    for (std::size_t j = free ? 0 : 1; j < arms.size(); ++j) {
      entries_.emplace_back(arms[j].row, next_, 1.0 / arms[j].outward);
      if (!free) entries_.emplace_back(arms[0].row, next_, -1.0 / arms[0].outward);
      is_top_.push_back(0);
      ++next_;
    }
  }

  void add_bubbles(int order, int row) {
    for (int k = 2; k <= order; ++k) {
      entries_.emplace_back(row + k, next_, 1.0);
      is_top_.push_back(k == order ? 1 : 0);
      ++next_;
    }
  }

  const geometry::Mesh& mesh_;
  const Rotation& rotation_;
  const SectorBasis& sector_;
  int harmonic_;
  std::vector<int> row_of_;
  std::vector<Eigen::Triplet<Complex>> entries_;
  std::vector<char> is_top_;
  int next_ = 0;
};

/// In the order in which the plain matrix is filled.
kernel::Moments ordered_block(Reactions& reactions, std::size_t m, std::size_t n) {
  if (m <= n) return reactions.block(m, n);
  const kernel::Moments block = reactions.block(n, m);
  return block.transpose();
}

/// Sum of the blocks of m with some copies of one element, each in that order.
kernel::Moments ordered_sum(Reactions& reactions, std::size_t m, std::span<const std::size_t> copies) {
  if (std::all_of(copies.begin(), copies.end(), [&](std::size_t n) { return m <= n; }))
    return reactions.sum(m, copies);
  kernel::Moments sum = ordered_block(reactions, m, copies.front());
  for (const std::size_t n : copies.subspan(1)) sum += ordered_block(reactions, m, n);
  return sum;
}

}  // namespace

SectorBasis make_sector_basis(const geometry::Mesh& mesh, const Rotation& rotation) {
  SectorBasis sector;
  sector.elements = rotation.axis;
  sector.axis_elements = rotation.axis.size();
  for (const std::vector<std::size_t>& orbit : rotation.orbits) sector.elements.push_back(orbit.front());
  sector.offset.push_back(0);
  for (const std::size_t e : sector.elements)
    sector.offset.push_back(sector.offset.back() + mesh.elements[e].order + 1);
  return sector;
}

HarmonicBasis make_harmonic_basis(const geometry::Mesh& mesh, const Rotation& rotation,
                                  const SectorBasis& sector, int harmonic) {
  return Collector(mesh, rotation, sector, harmonic).run();
}

std::vector<Eigen::MatrixXcd> fill_harmonics(Reactions& reactions, const Rotation& rotation,
                                             const SectorBasis& sector, const std::vector<int>& harmonics) {
  const int n = rotation.copies;
  std::vector<Eigen::MatrixXcd> z(harmonics.size(), Eigen::MatrixXcd::Zero(sector.size(), sector.size()));
  const auto add = [&](std::size_t a, std::size_t b, int turns, const kernel::Moments& block) {
    for (std::size_t h = 0; h < harmonics.size(); ++h)
      z[h].block(sector.offset[a], sector.offset[b], block.rows(), block.cols()) +=
          root_of_unity(harmonics[h] * (turns + n), n) * block;
  };
  const std::size_t axis = sector.axis_elements;
  for (std::size_t h = 0; h < harmonics.size(); ++h) {
    if (harmonics[h] != 0) continue;
    for (std::size_t a = 0; a < axis; ++a)
      for (std::size_t b = a; b < sector.elements.size(); ++b) {
        const kernel::Moments block = ordered_block(reactions, sector.elements[a], sector.elements[b]);
        const double copies = b < axis ? 1.0 : n;
        z[h].block(sector.offset[a], sector.offset[b], block.rows(), block.cols()) = copies * block;
        if (a != b)
          z[h].block(sector.offset[b], sector.offset[a], block.cols(), block.rows()) = block.transpose();
      }
  }
  const auto add_turns = [&](int first, int last) {
    const bool own_transpose = first == 0 || 2 * first == n;
    const bool symmetric = own_transpose || rotation.flat;
    for (std::size_t a = axis; a < sector.elements.size(); ++a)
      for (std::size_t b = symmetric ? a : axis; b < sector.elements.size(); ++b) {
        const std::span<const std::size_t> copies(rotation.orbits[b - axis]);
        const kernel::Moments block = ordered_sum(
            reactions, sector.elements[a],
            copies.subspan(static_cast<std::size_t>(first), static_cast<std::size_t>(last - first)));
        const kernel::Moments back = block.transpose();
        add(a, b, first, block);
        if (symmetric && a != b) add(b, a, first, back);
        if (own_transpose) continue;
        add(b, a, -first, back);
        if (symmetric && a != b) add(a, b, -first, block);
      }
  };
  add_turns(0, 1);
  // all turns have the same factor in the invariant harmonic
  const int beyond = (n + 1) / 2;
  const int width = harmonics == std::vector<int>{0} ? std::max(1, beyond - 1) : 1;
  for (int j = 1; j < beyond; j += width) add_turns(j, j + width);
  if (n % 2 == 0) add_turns(n / 2, n / 2 + 1);
  return z;
}

}  // namespace feldspar::moment

#include "media/through_grid.hpp"

#include <algorithm>
#include <cmath>

#include "math/scatter.hpp"

namespace feldspar::media {
namespace {

constexpr int kDeepestBox = 40;  // halvings of a base cell

int longest_axis(const Box& box) {
  std::size_t longest = 0;
  for (std::size_t a = 1; a < 3; ++a)
    if (box.to[a] - box.from[a] > box.to[longest] - box.from[longest]) longest = a;
  return static_cast<int>(longest);
}

}  // namespace

// A cell or, where one polynomial does not suffice, a division in two along an axis.
struct ThroughGrid::Node {
  ~Node() {
    for (auto& child : children) delete child.load();
  }

  Box where;
  int axis = -1;  // of the division; -1 for a cell
  double border = 0.0;
  int depth = 0;
  std::uint64_t name = 0;
  ThroughCell cell;
  std::atomic<Node*> children[2] = {nullptr, nullptr};
};

// The undivided cells: shells of seven cubes round the image, twice as large from shell to shell.
struct ThroughGrid::Base {
  ~Base() { delete root.load(); }

  Box where;
  std::mutex building;
  std::atomic<Node*> root{nullptr};
};

ThroughGrid::ThroughGrid(const ThroughSoil& soil, const std::array<double, 3>& largest, double tolerance)
    : soil_(soil), largest_(largest), tolerance_(tolerance) {
  innermost_ = std::min(1e-4, 0.1 * std::sqrt(tolerance)) / std::abs(soil.n);
  lowest_ = std::ilogb(0.5 * innermost_);
  const double farthest = std::max(std::max(largest[0], largest[1]), std::max(largest[2], 2.0 * innermost_));
  const int levels = std::ilogb(farthest) - lowest_ + 1;
  for (double& edge : largest_) edge = edge > 0.0 ? std::max(edge, 2.0 * innermost_) * (1.0 + 1e-9) : 0.0;
  bases_ = std::vector<Base>(static_cast<std::size_t>(7 * levels));
  for (int level = 0; level < levels; ++level)
    for (unsigned corner = 1; corner < 8; ++corner) {
      const double h = std::ldexp(1.0, lowest_ + level);
      Box& box = bases_[static_cast<std::size_t>(7 * level) + corner - 1].where;
      for (std::size_t a = 0; a < 3; ++a) {
        const bool outer = ((corner >> a) & 1U) != 0;
        box.from[a] = std::min(outer ? h : 0.0, largest_[a]);
        box.to[a] = std::min(outer ? 2.0 * h : h, largest_[a]);
      }
    }
}

ThroughGrid::~ThroughGrid() = default;

void ThroughGrid::clamp(double* x) const {
  for (std::size_t a = 0; a < 3; ++a) x[a] = std::clamp(x[a], 0.0, largest_[a] * (1.0 - 1e-10));
  const double size = std::max(std::max(x[0], x[1]), x[2]);
  if (size >= innermost_) return;
  if (!(size > 0.0)) {
    x[2] = innermost_;
    return;
  }
  for (std::size_t a = 0; a < 3; ++a) x[a] *= innermost_ / size;
}

const ThroughCell& ThroughGrid::find(const double* x) {
  const double size = std::max(std::max(x[0], x[1]), x[2]);
  const int level = std::ilogb(size);
  const double h = std::ldexp(1.0, level);
  unsigned corner = 0;
  for (unsigned a = 0; a < 3; ++a) corner |= x[a] >= h ? 1U << a : 0U;
  const std::size_t index = static_cast<std::size_t>(7 * (level - lowest_)) + corner - 1;
  Base& base = bases_[index];
  Node* node = base.root.load(std::memory_order_acquire);
  if (node == nullptr) node = make(base, base.root, base.where, 0, index);
  while (node->axis >= 0) {
    const auto axis = static_cast<std::size_t>(node->axis);
    const std::size_t side = x[axis] < node->border ? 0 : 1;
    Node* child = node->children[side].load(std::memory_order_acquire);
    if (child == nullptr) {
      Box part = node->where;
      (side == 0 ? part.to[axis] : part.from[axis]) = node->border;
      child = make(base, node->children[side], part, node->depth + 1, math::scatter(node->name) + side);
    }
    node = child;
  }
  return node->cell;
}

ThroughGrid::Node* ThroughGrid::make(Base& base, std::atomic<Node*>& place, const Box& where, int depth,
                                     std::uint64_t name) {
  const std::lock_guard<std::mutex> lock(base.building);
  if (Node* made = place.load(std::memory_order_acquire)) return made;  // by another thread meanwhile
  auto node = std::make_unique<Node>();
  node->where = where;
  node->depth = depth;
  node->name = name;
  build(*node);
  place.store(node.get(), std::memory_order_release);
  return node.release();
}

// Fits the cell, or decides to divide it.
void ThroughGrid::build(Node& node) {
  const auto divide = [&node](int axis) {
    const auto a = static_cast<std::size_t>(axis);
    node.axis = axis;
    node.border = 0.5 * (node.where.from[a] + node.where.to[a]);
    node.cell = ThroughCell();
  };
  const Box& where = node.where;
  if (!has_path(where)) return divide(longest_axis(where));
  // a layer much thinner than the cell would escape both the samples and the check
  constexpr double kSkinDepths = 50.0;
  if ((where.to[2] - where.from[2]) * -soil_.n.imag() > kSkinDepths && node.depth < kDeepestBox)
    return divide(2);
  const ContourGrade grade = tolerance_ < 3e-7 ? ContourGrade::fine : ContourGrade::normal;
  const ThroughCell::Division division = node.cell.build(soil_, where, tolerance_, grade);
  if (division >= 0 && node.depth < kDeepestBox) return divide(division);
  const double error = measure(node);
  if (error > tolerance_ && node.depth < kDeepestBox) return divide(longest_axis(where));
  entries_ += node.cell.entries();
  double seen = error_.load();
  while (error > seen && !error_.compare_exchange_weak(seen, error)) {
  }
}

// The error at a random point of the cell, relative to 1 / R, against a finer path made for that point.
double ThroughGrid::measure(const Node& node) const {
  double x[3];
  for (std::size_t a = 0; a < 3; ++a)
    x[a] = node.where.from[a] +
           (node.where.to[a] - node.where.from[a]) * math::scatter_fraction(3 * node.name + a);
  const Box point{{x[0], x[1], x[2]}, {x[0], x[1], x[2]}};
  ThroughRest direct;
  sample_through(soil_, make_path(soil_, point, ContourGrade::fine), {&x[0], 1}, {&x[1], 1}, {&x[2], 1},
                 {&direct, 1});
  double four_x[12];
  for (std::size_t i = 0; i < 12; ++i) four_x[i] = x[i / 4];
  ThroughRest four[4];
  node.cell.evaluate(four_x, 1.0, four);
  const double difference =
      std::max(std::abs(four[0].first - direct.first),
               std::max(std::abs(four[0].p - direct.p), std::abs(four[0].a_m - direct.a_m)));
  return std::hypot(x[0], x[1] + x[2]) * difference;
}

void ThroughGrid::evaluate(const std::array<const double*, 3>& x, std::size_t n, double scale,
                           ThroughRest* out) {
  for (std::size_t start = 0; start < n; start += kBlock)
    evaluate_block({x[0] + start, x[1] + start, x[2] + start}, std::min(kBlock, n - start), scale,
                   out + start);
}

// Points of one cell are evaluated four at a time.
void ThroughGrid::evaluate_block(const std::array<const double*, 3>& x, std::size_t n, double scale,
                                 ThroughRest* out) {
  double at[kBlock][3];
  const ThroughCell* cells[kBlock];
  const ThroughCell* cell = nullptr;
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t a = 0; a < 3; ++a) at[i][a] = scale * x[a][i];
    clamp(at[i]);
    if (cell == nullptr || !cell->contains(at[i])) cell = &find(at[i]);
    cells[i] = cell;
  }
  for (std::size_t i = 0; i < n; ++i) {
    if (cells[i] == nullptr) continue;
    cell = cells[i];
    std::size_t which[4] = {i, i, i, i};
    std::size_t count = 0;
    for (std::size_t k = i; k < n && count < 4; ++k) {
      if (cells[k] != cell) continue;
      which[count++] = k;
      cells[k] = nullptr;
    }
    double four_x[12];
    for (std::size_t k = 0; k < 4; ++k)
      for (std::size_t a = 0; a < 3; ++a) four_x[4 * a + k] = at[which[k]][a];
    ThroughRest four[4];
    cell->evaluate(four_x, scale, four);
    for (std::size_t k = 0; k < count; ++k) out[which[k]] = four[k];
  }
}

}  // namespace feldspar::media

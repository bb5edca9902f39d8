#include "media/half_space.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <mutex>
#include <vector>

#include "core/error.hpp"
#include "math/scatter.hpp"
#include "media/half_space_cell.hpp"
#include "media/half_space_spectrum.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
constexpr int kDeepest = 40;                 // halvings of a base cell
constexpr std::size_t kBlock = 64;           // points among which those of one cell are brought together
constexpr std::size_t kWorthFlattening = 8;  // points that share height or distance

// A cell or, where one polynomial does not suffice, a division in two.
struct Node {
  enum class Kind { cell, halves_of_rho, halves_of_z };

  ~Node() {
    for (auto& child : children) delete child.load();
  }

  Rectangle where;
  Kind kind = Kind::cell;
  double border = 0.0;
  int depth = 0;
  std::uint64_t name = 0;
  Cell cell;
  std::atomic<Node*> children[2] = {nullptr, nullptr};
};

// The undivided cells: a square at the image, round it rings of three rectangles, twice as large from ring to
// ring.
struct Base {
  ~Base() { delete root.load(); }

  Rectangle where;
  CellForm form = CellForm::plain;
  std::mutex building;
  std::atomic<Node*> root{nullptr};
};

double difference(const ReflectedRest& a, const ReflectedRest& b) {
  return std::max(std::max(std::abs(a.a_h - b.a_h), std::abs(a.a_v - b.a_v)),
                  std::max(std::abs(a.a_m - b.a_m), std::abs(a.p - b.p)));
}

}  // namespace

class HalfSpaceTable::Impl {
 public:
  Impl(double k0, Complex n2, double largest_rho, double smallest_z_sum, double largest_z_sum,
       double tolerance)
      : k0_(k0),
        n2_(n2),
        soil_(n2),
        tolerance_(tolerance),
        // a little wider, so that rounding does not lead outside
        range_{0.0, k0 * std::max(largest_rho * (1.0 + 1e-6), 1e-3 * smallest_z_sum),
               k0 * smallest_z_sum * (1.0 - 1e-6), k0 * largest_z_sum * (1.0 + 1e-6)} {
    innermost_ = std::ilogb(0.02 / std::sqrt(std::abs(n2)));
    const int outermost = std::max(innermost_, std::ilogb(std::max(range_.rho_to, range_.z_to)));
    bases_ = std::vector<Base>(static_cast<std::size_t>(1 + 3 * (outermost - innermost_ + 1)));
    const double inner = std::ldexp(1.0, innermost_);
    set_base(0, {0.0, inner, 0.0, inner});
    for (int level = innermost_; level <= outermost; ++level) {
      const double h = std::ldexp(1.0, level);
      const std::size_t first = base_index(level, 0);
      set_base(first, {0.0, h, h, 2.0 * h});
      set_base(first + 1, {h, 2.0 * h, 0.0, h});
      set_base(first + 2, {h, 2.0 * h, h, 2.0 * h});
    }
  }

  [[nodiscard]] const Cell* find(double rho, double z) {
    if (!(rho >= 0.0 && rho <= range_.rho_to && z >= range_.z_from && z <= range_.z_to)) return nullptr;
    const double larger = std::max(rho, z);
    const int level = std::ilogb(larger);
    std::size_t index = 0;
    if (level >= innermost_) {
      const double h = std::ldexp(1.0, level);
      index = base_index(level, z < h ? 1U : rho < h ? 0U : 2U);
    }
    Base& base = bases_[index];
    Node* node = base.root.load(std::memory_order_acquire);
    if (node == nullptr) node = make(base, base.root, base.where, 0, index);
    while (node->kind != Node::Kind::cell) {
      const bool along_rho = node->kind == Node::Kind::halves_of_rho;
      const std::size_t side = (along_rho ? rho : z) < node->border ? 0 : 1;
      Node* child = node->children[side].load(std::memory_order_acquire);
      if (child == nullptr) {
        Rectangle part = node->where;
        (along_rho ? (side == 0 ? part.rho_to : part.rho_from) : (side == 0 ? part.z_to : part.z_from)) =
            node->border;
        child = make(base, node->children[side], part, node->depth + 1, math::scatter(node->name) + side);
      }
      node = child;
    }
    return &node->cell;
  }

  // Points of one cell are evaluated four at a time; where they share height or distance, with polynomials of
  // the other variable alone.
  void evaluate(std::span<const double> rho, std::span<const double> z_sum, std::span<ReflectedRest> out) {
    const auto same = [](std::span<const double> x) {
      return std::all_of(x.begin(), x.end(), [&](double value) { return value == x.front(); });
    };
    Shared shared = Shared::nothing;
    if (out.size() >= kWorthFlattening) {
      if (same(z_sum))
        shared = Shared::height;
      else if (same(rho))
        shared = Shared::distance;
    }
    std::vector<Flat> flats;
    for (std::size_t start = 0; start < out.size(); start += kBlock) {
      const std::size_t n = std::min(kBlock, out.size() - start);
      evaluate_block(n, rho.data() + start, z_sum.data() + start, out.data() + start, shared, flats);
    }
  }

  [[nodiscard]] Complex image() const { return soil_.image; }
  [[nodiscard]] double measured_error() const { return error_.load(); }
  [[nodiscard]] std::size_t entries() const { return entries_.load(); }

 private:
  enum class Shared { nothing, height, distance };
  struct Flat {
    const Cell* of;
    Cell cell;
  };

  // cells[i], or what it is at the height or distance that the points share, made once per call where it is
  // worth it.
  static const Cell* flat_of(std::span<const Cell*> cells, std::size_t i, Shared shared, double a, double b,
                             std::vector<Flat>& flats) {
    const Cell* const cell = cells[i];
    for (const Flat& flat : flats)
      if (flat.of == cell) return &flat.cell;
    const auto points = static_cast<std::size_t>(
        std::count(cells.begin() + static_cast<std::ptrdiff_t>(i), cells.end(), cell));
    if (points < kWorthFlattening) return cell;
    flats.push_back({cell, {}});
    if (shared == Shared::height)
      cell->flatten_height(b, flats.back().cell);
    else
      cell->flatten_distance(a, flats.back().cell);
    return &flats.back().cell;
  }

  // Points of one cell, n <= kBlock; the arrays have room for whole fours.
  void evaluate_all(const Cell& cell, std::size_t n, double* a, double* b, ReflectedRest* out) const {
    for (std::size_t i = n; i % 4 != 0; ++i) {
      a[i] = a[n - 1];
      b[i] = b[n - 1];
    }
    const std::size_t whole = n / 4 * 4;
    for (std::size_t i = 0; i < whole; i += 4) cell.evaluate(soil_, a + i, b + i, k0_, out + i);
    if (whole == n) return;
    ReflectedRest four[4];
    cell.evaluate(soil_, a + whole, b + whole, k0_, four);
    std::copy_n(four, n - whole, out + whole);
  }

  // n <= kBlock
  void evaluate_block(std::size_t n, const double* rho, const double* z_sum, ReflectedRest* out,
                      Shared shared, std::vector<Flat>& flats) {
    double a[kBlock];
    double b[kBlock];
    const Cell* cells[kBlock];
    const Cell* cell = nullptr;
    for (std::size_t i = 0; i < n; ++i) {
      a[i] = k0_ * rho[i];
      b[i] = k0_ * z_sum[i];
      if (cell == nullptr || !cell->contains(a[i], b[i])) cell = find(a[i], b[i]);
      cells[i] = cell;
      if (cell == nullptr) out[i] = scaled(reference::reflected_rest(1.0, n2_, a[i], b[i]));
    }
    if (n > 0 && cells[0] != nullptr &&
        std::all_of(cells, cells + n, [&](const Cell* c) { return c == cells[0]; })) {
      const Cell* const as =
          shared == Shared::nothing ? cells[0] : flat_of({cells, n}, 0, shared, a[0], b[0], flats);
      return evaluate_all(*as, n, a, b, out);
    }
    for (std::size_t i = 0; i < n; ++i) {
      if (cells[i] == nullptr) continue;
      std::size_t which[4] = {i, i, i, i};
      std::size_t count = 0;
      cell = cells[i];
      const Cell* const as =
          shared == Shared::nothing ? cell : flat_of({cells, n}, i, shared, a[i], b[i], flats);
      for (std::size_t k = i; k < n && count < 4; ++k) {
        if (cells[k] != cell) continue;
        which[count++] = k;
        cells[k] = nullptr;
      }
      double four_a[4];
      double four_b[4];
      ReflectedRest four[4];
      for (std::size_t k = 0; k < 4; ++k) {
        four_a[k] = a[which[k]];
        four_b[k] = b[which[k]];
      }
      as->evaluate(soil_, four_a, four_b, k0_, four);
      for (std::size_t k = 0; k < count; ++k) out[which[k]] = four[k];
    }
  }

  [[nodiscard]] ReflectedRest scaled(const ReflectedRest& rest) const {
    return {k0_ * rest.a_h, k0_ * rest.a_v, k0_ * rest.a_m, k0_ * rest.p};
  }

  [[nodiscard]] std::size_t base_index(int level, unsigned part) const {
    return 1U + 3U * static_cast<std::size_t>(level - innermost_) + part;
  }

  void set_base(std::size_t index, const Rectangle& whole) {
    Base& base = bases_[index];
    base.where = {std::max(whole.rho_from, range_.rho_from), std::min(whole.rho_to, range_.rho_to),
                  std::max(whole.z_from, range_.z_from), std::min(whole.z_to, range_.z_to)};
    const double r = std::hypot(whole.rho_to, whole.z_to);
    base.form = r * std::sqrt(std::abs(n2_)) < 1.0 ? CellForm::plain : CellForm::wave;
  }

  Node* make(Base& base, std::atomic<Node*>& place, const Rectangle& where, int depth, std::uint64_t name) {
    const std::lock_guard<std::mutex> lock(base.building);
    if (Node* made = place.load(std::memory_order_acquire)) return made;  // by another thread meanwhile
    auto node = std::make_unique<Node>();
    node->where = where;
    node->depth = depth;
    node->name = name;
    build(*node, base.form);
    place.store(node.get(), std::memory_order_release);
    return node.release();
  }

  // Fits the cell, or decides to divide it.
  void build(Node& node, CellForm form) {
    const Rectangle& where = node.where;
    const bool may_divide = node.depth < kDeepest;
    if (!has_contour(1.0, n2_, where)) {
      return divide(node, where.rho_to - where.rho_from > where.z_to - where.z_from);
    }
    Cell::Size size = Cell::guess(soil_, where, form, tolerance_);
    ContourGrade grade = tolerance_ < 5e-7 ? ContourGrade::fine : ContourGrade::normal;
    for (;;) {
      if (may_divide && std::max(size.rho, size.z) > Cell::kMost + 1) return divide(node, size.rho > size.z);
      size = {std::min(size.rho, Cell::kMost), std::min(size.z, Cell::kMost)};
      const Cell::Fit fit = node.cell.build(soil_, where, form, tolerance_, size, grade);
      const bool full_rho = fit.enough.rho > size.rho && size.rho == Cell::kMost;
      const bool full_z = fit.enough.z > size.z && size.z == Cell::kMost;
      if (may_divide && (full_rho || full_z)) {
        return divide(node, full_rho && (!full_z || fit.tail_rho > fit.tail_z));
      }
      if (!full_rho && !full_z && (fit.enough.rho > size.rho || fit.enough.z > size.z)) {
        size = fit.enough;
        continue;
      }
      const double error = measure(node);
      if (error > tolerance_ && grade == ContourGrade::normal) {
        grade = ContourGrade::fine;
        continue;
      }
      if (error > tolerance_ && may_divide) return divide(node, fit.tail_rho > fit.tail_z);
      entries_ += node.cell.entries();
      double seen = error_.load();
      while (error > seen && !error_.compare_exchange_weak(seen, error)) {
      }
      return;
    }
  }

  // In the middle; close above the soil, where what varies in height clings to the surface, lower.
  static void divide(Node& node, bool along_rho) {
    const Rectangle& where = node.where;
    node.kind = along_rho ? Node::Kind::halves_of_rho : Node::Kind::halves_of_z;
    const double height = where.z_to - where.z_from;
    const double part = where.z_from < 0.1 * where.z_to && where.rho_from >= where.z_to ? 0.25 : 0.5;
    node.border = along_rho ? 0.5 * (where.rho_from + where.rho_to) : where.z_from + part * height;
    node.cell = Cell();
  }

  // The error at a random point of the cell, relative to 1 / R', against a finer contour made for that point.
  [[nodiscard]] double measure(const Node& node) const {
    const Rectangle& where = node.where;
    const double rho =
        where.rho_from + (where.rho_to - where.rho_from) * math::scatter_fraction(2 * node.name);
    const double z = where.z_from + (where.z_to - where.z_from) * math::scatter_fraction(2 * node.name + 1);
    ReflectedRest direct;
    const Contour contour = make_contour(1.0, n2_, {rho, rho, z, z}, ContourGrade::fine);
    sample_rest(soil_, contour, {&rho, 1}, {&z, 1}, {&direct, 1});
    direct.a_m += soil_.image * image_m_dynamic(1.0, rho, z);
    const double four_rho[4] = {rho, rho, rho, rho};
    const double four_z[4] = {z, z, z, z};
    ReflectedRest four[4];
    node.cell.evaluate(soil_, four_rho, four_z, 1.0, four);
    return std::hypot(rho, z) * difference(four[0], direct);
  }

  double k0_;
  Complex n2_;
  CellSoil soil_;
  double tolerance_;
  Rectangle range_;
  int innermost_;
  std::vector<Base> bases_;
  std::atomic<double> error_{0.0};
  std::atomic<std::size_t> entries_{0};
};

HalfSpaceTable::HalfSpaceTable(double k0, Complex n2, double largest_rho, double smallest_z_sum,
                               double largest_z_sum, double tolerance) {
  const bool good = k0 > 0.0 && std::isfinite(k0) && n2.real() >= 1.0 && n2.imag() <= 0.0 &&
                    std::isfinite(std::abs(n2)) && largest_rho >= 0.0 && std::isfinite(largest_rho) &&
                    smallest_z_sum > 0.0 && largest_z_sum >= smallest_z_sum && std::isfinite(largest_z_sum) &&
                    tolerance >= 1e-9 && tolerance <= 1e-2;
  if (!good) throw core::Error(core::ErrorKind::usage, "a ground table was asked for outside its range");
  impl_ = std::make_unique<Impl>(k0, n2, largest_rho, smallest_z_sum, largest_z_sum, tolerance);
}

HalfSpaceTable::~HalfSpaceTable() = default;
HalfSpaceTable::HalfSpaceTable(HalfSpaceTable&&) noexcept = default;
HalfSpaceTable& HalfSpaceTable::operator=(HalfSpaceTable&&) noexcept = default;

ReflectedRest HalfSpaceTable::operator()(double rho, double z_sum) const {
  ReflectedRest rest;
  impl_->evaluate({&rho, 1}, {&z_sum, 1}, {&rest, 1});
  return rest;
}

void HalfSpaceTable::evaluate(std::span<const double> rho, std::span<const double> z_sum,
                              std::span<ReflectedRest> out) const {
  impl_->evaluate(rho, z_sum, out);
}

Complex HalfSpaceTable::image_factor() const {
  return impl_->image();
}
double HalfSpaceTable::measured_error() const {
  return impl_->measured_error();
}
std::size_t HalfSpaceTable::entries() const {
  return impl_->entries();
}

}  // namespace feldspar::media

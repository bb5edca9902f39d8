#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <mutex>
#include <vector>

#include "media/through_cell.hpp"

/// The cells of one table of media/through_table.hpp, in units of 1 / k0.
namespace feldspar::media {

class ThroughGrid {
 public:
  /// @param largest of rho, height, depth
  ThroughGrid(const ThroughSoil& soil, const std::array<double, 3>& largest, double tolerance);
  ~ThroughGrid();

  /// The functions at n points times `scale`; x[axis][point]. Points of one cell cost a quarter when they
  /// follow one another closely.
  void evaluate(const std::array<const double*, 3>& x, std::size_t n, double scale, ThroughRest* out);

  [[nodiscard]] double measured_error() const { return error_.load(); }
  [[nodiscard]] std::size_t entries() const { return entries_.load(); }
  [[nodiscard]] const ThroughSoil& soil() const { return soil_; }

 private:
  struct Node;
  struct Base;
  static constexpr std::size_t kBlock = 64;

  [[nodiscard]] const ThroughCell& find(const double* x);
  void clamp(double* x) const;
  void evaluate_block(const std::array<const double*, 3>& x, std::size_t n, double scale, ThroughRest* out);
  Node* make(Base& base, std::atomic<Node*>& place, const Box& where, int depth, std::uint64_t name);
  void build(Node& node);
  [[nodiscard]] double measure(const Node& node) const;

  ThroughSoil soil_;
  std::array<double, 3> largest_;
  double tolerance_;
  double innermost_ = 0.0;  ///< distance within which the functions are constant
  int lowest_ = 0;          ///< level of the smallest shell
  std::vector<Base> bases_;
  std::atomic<double> error_{0.0};
  std::atomic<std::size_t> entries_{0};
};

}  // namespace feldspar::media

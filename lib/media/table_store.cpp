#include "media/table_store.hpp"

#include <algorithm>
#include <cmath>
#include <list>
#include <mutex>

namespace feldspar::media {

namespace {

double step_up(double x) {
  return x > 0.0 ? std::exp2(0.5 * std::ceil(2.0 * std::log2(x) - 1e-9)) : x;
}
double step_down(double x) {
  return x > 0.0 ? std::exp2(0.5 * std::floor(2.0 * std::log2(x) + 1e-9)) : x;
}

struct Key {
  double k0;
  std::complex<double> n2;
  TableReach reach;
  double tolerance;
  bool operator==(const Key&) const = default;
};

}  // namespace

TableReach rounded(const TableReach& reach) {
  const bool level = reach.depth == 0.0 && reach.low >= 2.0 * reach.high * (1.0 - 1e-9);
  if (level) return {step_up(reach.rho), reach.low, reach.high, 0.0};
  return {step_up(reach.rho), step_down(reach.low), step_up(reach.high), step_up(reach.depth)};
}

std::size_t GroundTables::entries() const {
  const auto of = [](const auto& table) { return table ? table->entries() : 0; };
  return of(above) + of(below) + of(across);
}

GroundTables make_tables(double k0, std::complex<double> n2, const TableReach& reach, double tolerance) {
  GroundTables tables;
  if (reach.high > 0.0)
    tables.above = std::make_shared<const HalfSpaceTable>(k0, n2, reach.rho, reach.low,
                                                          std::max(2.0 * reach.high, reach.low), tolerance);
  if (reach.depth > 0.0)
    tables.below = std::make_shared<const BelowTable>(k0, n2, reach.rho, 2.0 * reach.depth, tolerance);
  if (reach.high > 0.0 && reach.depth > 0.0)
    tables.across =
        std::make_shared<const AcrossTable>(k0, n2, reach.rho, reach.high, reach.depth, tolerance);
  return tables;
}

struct TableStore::Impl {
  struct Kept {
    Key key;
    GroundTables tables;
  };

  std::size_t most;
  std::mutex lock;
  std::list<Kept> kept;  // last used first
  std::size_t made = 0;
};

TableStore::TableStore(std::size_t most) : impl_(std::make_unique<Impl>()) {
  impl_->most = std::max<std::size_t>(1, most);
}
TableStore::~TableStore() = default;

GroundTables TableStore::get(double k0, std::complex<double> n2, const TableReach& reach, double tolerance) {
  const Key key{k0, n2, reach, tolerance};
  const std::lock_guard<std::mutex> guard(impl_->lock);  // a new table is empty, so that making it is quick
  std::list<Impl::Kept>& kept = impl_->kept;
  const auto found =
      std::find_if(kept.begin(), kept.end(), [&](const Impl::Kept& one) { return one.key == key; });
  if (found != kept.end()) {
    kept.splice(kept.begin(), kept, found);
    return kept.front().tables;
  }
  kept.push_front({key, make_tables(k0, n2, reach, tolerance)});
  ++impl_->made;
  if (kept.size() > impl_->most) kept.pop_back();
  return kept.front().tables;
}

std::size_t TableStore::made() const {
  const std::lock_guard<std::mutex> guard(impl_->lock);
  return impl_->made;
}

}  // namespace feldspar::media

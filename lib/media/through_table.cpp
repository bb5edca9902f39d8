#include "media/through_table.hpp"

#include <cmath>
#include <vector>

#include "core/error.hpp"
#include "media/through_grid.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;

void check(double k0, Complex n2, const std::array<double, 3>& largest, double tolerance) {
  bool good = k0 > 0.0 && std::isfinite(k0) && n2.real() >= 1.0 && n2.imag() <= 0.0 &&
              std::isfinite(std::abs(n2)) && tolerance >= 1e-9 && tolerance <= 1e-2;
  for (const double edge : largest) good = good && edge >= 0.0 && std::isfinite(edge);
  if (!good) throw core::Error(core::ErrorKind::usage, "a ground table was asked for outside its range");
}

}  // namespace

class BelowTable::Impl {
 public:
  Impl(double k0, Complex n2, double rho, double depth_sum, double tolerance)
      : k0_(k0),
        contrast_(1.0 / n2 - 1.0),
        grid_(ThroughSoil(n2, PairPlace::below), {k0 * rho, 0.0, k0 * depth_sum}, tolerance) {}

  // a_v = a_h + (1 / n2 - 1) p: the identity of media/half_space_spectrum.hpp with the media exchanged
  void evaluate(std::span<const double> rho, std::span<const double> depth_sum,
                std::span<ReflectedRest> out) {
    std::array<ThroughRest, 64> rest;
    static constexpr std::array<double, 64> kZero{};
    for (std::size_t start = 0; start < out.size(); start += rest.size()) {
      const std::size_t n = std::min(rest.size(), out.size() - start);
      grid_.evaluate({rho.data() + start, kZero.data(), depth_sum.data() + start}, n, k0_, rest.data());
      for (std::size_t i = 0; i < n; ++i)
        out[start + i] = {rest[i].first, rest[i].first + contrast_ * rest[i].p, rest[i].a_m, rest[i].p};
    }
  }

  [[nodiscard]] const ThroughGrid& grid() const { return grid_; }

 private:
  double k0_;
  Complex contrast_;
  ThroughGrid grid_;
};

BelowTable::BelowTable(double k0, Complex n2, double largest_rho, double largest_depth_sum,
                       double tolerance) {
  check(k0, n2, {largest_rho, 0.0, largest_depth_sum}, tolerance);
  impl_ = std::make_unique<Impl>(k0, n2, largest_rho, largest_depth_sum, tolerance);
}

BelowTable::~BelowTable() = default;
BelowTable::BelowTable(BelowTable&&) noexcept = default;
BelowTable& BelowTable::operator=(BelowTable&&) noexcept = default;

ReflectedRest BelowTable::operator()(double rho, double depth_sum) const {
  ReflectedRest rest;
  impl_->evaluate({&rho, 1}, {&depth_sum, 1}, {&rest, 1});
  return rest;
}

void BelowTable::evaluate(std::span<const double> rho, std::span<const double> depth_sum,
                          std::span<ReflectedRest> out) const {
  impl_->evaluate(rho, depth_sum, out);
}

double BelowTable::measured_error() const {
  return impl_->grid().measured_error();
}
std::size_t BelowTable::entries() const {
  return impl_->grid().entries();
}

class AcrossTable::Impl {
 public:
  Impl(double k0, Complex n2, const std::array<double, 3>& largest, double tolerance)
      : k0_(k0),
        grid_(ThroughSoil(n2, PairPlace::across), {k0 * largest[0], k0 * largest[1], k0 * largest[2]},
              tolerance) {}

  void evaluate(std::span<const double> rho, std::span<const double> height, std::span<const double> depth,
                std::span<AcrossRest> out) {
    std::array<ThroughRest, 64> rest;
    for (std::size_t start = 0; start < out.size(); start += rest.size()) {
      const std::size_t n = std::min(rest.size(), out.size() - start);
      grid_.evaluate({rho.data() + start, height.data() + start, depth.data() + start}, n, k0_, rest.data());
      for (std::size_t i = 0; i < n; ++i) out[start + i] = {rest[i].first, rest[i].a_m, rest[i].p};
    }
  }

  [[nodiscard]] const ThroughGrid& grid() const { return grid_; }

 private:
  double k0_;
  ThroughGrid grid_;
};

AcrossTable::AcrossTable(double k0, Complex n2, double largest_rho, double largest_height,
                         double largest_depth, double tolerance) {
  const std::array<double, 3> largest = {largest_rho, largest_height, largest_depth};
  check(k0, n2, largest, tolerance);
  impl_ = std::make_unique<Impl>(k0, n2, largest, tolerance);
}

AcrossTable::~AcrossTable() = default;
AcrossTable::AcrossTable(AcrossTable&&) noexcept = default;
AcrossTable& AcrossTable::operator=(AcrossTable&&) noexcept = default;

AcrossRest AcrossTable::operator()(double rho, double height, double depth) const {
  AcrossRest rest;
  impl_->evaluate({&rho, 1}, {&height, 1}, {&depth, 1}, {&rest, 1});
  return rest;
}

void AcrossTable::evaluate(std::span<const double> rho, std::span<const double> height,
                           std::span<const double> depth, std::span<AcrossRest> out) const {
  impl_->evaluate(rho, height, depth, out);
}

double AcrossTable::measured_error() const {
  return impl_->grid().measured_error();
}
std::size_t AcrossTable::entries() const {
  return impl_->grid().entries();
}

}  // namespace feldspar::media

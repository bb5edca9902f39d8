#include "fields/across_form_detail.hpp"

#include <algorithm>
#include <cmath>

#include "core/constants.hpp"

namespace feldspar::fields::detail {

std::vector<Pierce> pierces(const moment::Currents& above, const moment::Currents& below) {
  struct End {
    Vec3 at;
    double radius;
    Complex away;  ///< current from the surface into the element, A
  };
  const auto ends_at_surface = [](const moment::Currents& currents) {
    std::vector<End> ends;
    for (const moment::ElementCurrent& e : currents) {
      const double slack = 1e-9 * (e.end - e.start).norm();
      const bool at_start = std::abs(e.start.z()) <= slack;
      if (!at_start && std::abs(e.end.z()) > slack) continue;
      Complex away = 0.0;
      for (Eigen::Index n = 0; n < e.coefficients.size(); ++n) {
        away += (at_start && n % 2 == 1 ? -1.0 : 1.0) * e.coefficients[n];
      }
      ends.push_back({at_start ? e.start : e.end, level_ring(e), at_start ? away : -away});
    }
    return ends;
  };
  const auto same = [](const Vec3& a, const Vec3& b) { return (a - b).norm() <= 1e-9 * (1.0 + a.norm()); };
  const std::vector<End> lower = ends_at_surface(below);
  std::vector<Pierce> found;
  for (const End& end : ends_at_surface(above)) {
    const auto known =
        std::find_if(found.begin(), found.end(), [&](const Pierce& p) { return same(p.at, end.at); });
    if (known != found.end()) {
      known->current += end.away;
      continue;
    }
    double weight = 0.0;
    double log_radius = 0.0;
    for (const End& b : lower) {
      if (!same(b.at, end.at) || !(b.radius > 0.0)) continue;
      weight += std::abs(b.away);
      log_radius += std::abs(b.away) * std::log(b.radius);
    }
    found.push_back({end.at, weight > 0.0 ? std::exp(log_radius / weight) : end.radius, end.away});
  }
  return found;
}

AcrossForm::AcrossForm(double k0, Complex n2)
    : omega_mu_(k0 * core::kVacuumImpedance),
      omega_eps_(k0 / core::kVacuumImpedance),
      k0_squared_(k0 * k0),
      k1_squared_(n2 * k0 * k0),
      s_(n2 + 1.0),
      alpha_(k1_squared_ / s_ - 0.5 * s_ * k0_squared_),
      gamma_(0.25 * s_ * k0_squared_) {}

double AcrossForm::across(const Spectrum& a, const Spectrum& b, const Orders& f) const noexcept {
  const Complex charge_b = std::conj(b.slope);
  const Complex upright_b = -std::conj(b.z);  // of the current itself, not of its image
  const Complex k1_squared = std::conj(k1_squared_);
  const Complex charges = a.slope * charge_b;
  const Complex uprights = a.z * upright_b;
  const Complex tm =
      -charges * (f.one + std::conj(alpha_) * f.second) -
      0.5 * f.first * (k0_squared_ * a.lift * charge_b + k1_squared * a.slope * std::conj(b.lift)) +
      f.first * (k1_squared * a.slope * upright_b - k0_squared_ * a.z * charge_b) +
      f.second * k0_squared_ * k1_squared * uprights;
  const Complex levels = a.x * std::conj(b.x) + a.y * std::conj(b.y);
  const Complex raised = a.arm_x * std::conj(b.x) + a.arm_y * std::conj(b.y) + a.arm_z * upright_b;
  const Complex sunk = a.x * std::conj(b.arm_x) + a.y * std::conj(b.arm_y) - a.z * std::conj(b.arm_z);
  const Complex te = (levels + uprights) * f.one +
                     0.5 * f.first * (k0_squared_ * raised + k1_squared * sunk) +
                     f.second * (std::conj(gamma_) * (levels - uprights) - charges) +
                     f.first * (a.z * charge_b - a.slope * upright_b);
  return std::imag(tm / std::conj(s_)) / omega_eps_ + 0.5 * omega_mu_ * te.imag();
}

double AcrossForm::pierce(const Spectrum& v, Complex k_squared, Complex c, const Orders& f) const noexcept {
  const Complex tm = v.slope * (f.one + alpha_ * f.second) + k_squared * f.first * (0.5 * v.lift + v.z);
  const Complex te = f.second * v.slope - f.first * v.z;
  return std::imag(tm / s_ * std::conj(c)) / omega_eps_ + 0.5 * omega_mu_ * std::imag(te * std::conj(c));
}

}  // namespace feldspar::fields::detail

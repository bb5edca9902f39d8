#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "core/error.hpp"
#include "fields/power.hpp"
#include "fields/quasi_static_detail.hpp"
#include "fields/spectrum_detail.hpp"
#include "math/quadrature.hpp"

namespace feldspar::fields {

namespace {

using detail::Complex;
using detail::Vec3;
constexpr double kPi = core::kPi;
constexpr Complex kJ(0.0, 1.0);

/// Elements that still matter where waves decay like exp(-decay z), and how far apart they lie.
struct Alive {
  std::vector<const detail::Element*> elements;
  std::vector<const detail::EndCharge*> charges;
  double separation = 0.0;  ///< m, horizontal, upper bound
};

/// The density of the ground's power over lambda, symbols as in docs/power.md.
class Spectrum {
 public:
  Spectrum(const moment::Currents& currents, const media::Ground& ground, core::Frequency f,
           double relative_error)
      : elements_(detail::prepare(currents)),
        charges_(detail::end_charges(currents)),
        k0_(core::wavenumber(f)),
        n2_(media::complex_permittivity(ground, f)),
        omega_mu_(k0_ * core::kVacuumImpedance),
        omega_eps_(k0_ / core::kVacuumImpedance),
        log_error_(-std::log(relative_error)) {
    lowest_ = elements_.front().lowest;
    for (const detail::Element& e : elements_) lowest_ = std::min(lowest_, e.lowest);
    if (!(lowest_ > 0.0)) {
      throw core::Error(core::ErrorKind::usage,
                        "the flux into the ground needs currents above its surface (z > 0)");
    }
    const double k1 = k0_ * std::sqrt(std::abs(n2_));
    const double asymptotic = 1.5 * k1 * std::pow(relative_error, -0.25);
    const double faded = 0.5 * (log_error_ + 10.0) / lowest_;
    uses_form_ = ground.conductivity > 0.0 && faded > asymptotic;
    end_ = uses_form_ ? asymptotic : faded;
    if (ground.conductivity == 0.0) end_ = std::min(end_, k0_ * std::sqrt(std::max(0.0, n2_.real() - 1.0)));
    if (uses_form_) make_form(currents);
  }

  [[nodiscard]] double power() {
    double sum = propagating() + decaying();
    if (uses_form_) sum += detail::quasi_static_power(low_, low_charges_, form_);
    return sum;
  }

 private:
  // The asymptotic form takes the low elements only: the others are gone where it replaces the density.
  void make_form(const moment::Currents& currents) {
    for (std::size_t i = 0; i < currents.size(); ++i) {
      if (end_ * elements_[i].lowest < log_error_ + 6.0) {
        low_.push_back(currents[i]);
        low_elements_.push_back(elements_[i]);
      }
    }
    for (const detail::EndCharge& c : charges_) {
      if (end_ * c.at.z() < log_error_ + 6.0) low_charges_.push_back(c);
    }
    const double k02 = k0_ * k0_;
    const Complex share = n2_ / (n2_ + 1.0);
    form_.static_charge = -n2_.imag() / std::norm(n2_ + 1.0) / omega_eps_;
    form_.charge = k02 / omega_eps_ * std::imag(share / (n2_ + 1.0));
    form_.horizontal = -omega_mu_ * k02 * n2_.imag() / 8.0;
    form_.vertical = form_.static_charge * k02 * k02 - form_.horizontal;
    form_.mixed = form_.static_charge * k02;
    form_.b = (log_error_ + 4.0) / end_;
  }

  [[nodiscard]] Alive alive(double decay) const {
    Alive a;
    Vec3 low = Vec3::Constant(1e300);
    Vec3 high = Vec3::Constant(-1e300);
    const auto see = [&](const Vec3& p) {
      low = low.cwiseMin(p);
      high = high.cwiseMax(p);
    };
    for (const detail::Element& e : elements_) {
      if (decay * (e.lowest - lowest_) > log_error_ + 6.0) continue;
      a.elements.push_back(&e);
      see(e.start);
      see(e.end);
    }
    for (const detail::EndCharge& c : charges_) {
      if (decay * (c.at.z() - lowest_) <= log_error_ + 6.0) a.charges.push_back(&c);
    }
    a.separation = (high - low).head<2>().norm();
    return a;
  }

  /// Integral over azimuth of the density at one lambda; u0 = sqrt(lambda^2 - k0^2).
  [[nodiscard]] double ring(double lambda, Complex u0, const Alive& a) const {
    const Complex root = std::sqrt(n2_ * k0_ * k0_ - lambda * lambda);  // principal: Im <= 0
    const Complex u1 = kJ * root;
    const double te = lambda * omega_mu_ * u1.imag() / std::norm(u0 + u1);
    const double tm = lambda * std::norm(n2_) * std::imag(u1 / n2_) / (omega_eps_ * std::norm(n2_ * u0 + u1));
    const bool decays = lambda > k0_;
    const double reach = lambda * a.separation;
    const int count = static_cast<int>(std::ceil(reach + 8.0 + (log_error_ / 2.0) * std::cbrt(reach)));
    double sum = 0.0;
    for (int i = 0; i < count; ++i) {
      const double azimuth = 2.0 * kPi * (i + 0.5) / count;
      const double c = std::cos(azimuth);
      const double s = std::sin(azimuth);
      Complex radial = 0.0;
      Complex across = 0.0;
      Complex vertical = 0.0;
      Complex slope = 0.0;
      for (const detail::Element* e : a.elements) {
        const detail::SpectrumPair v = detail::spectrum_pair(*e, lambda * c, lambda * s, u0, k0_);
        radial += v.current * (c * e->tangent.x() + s * e->tangent.y());
        across += v.current * (c * e->tangent.y() - s * e->tangent.x());
        vertical += v.current * e->tangent.z();
        slope += v.slope;
      }
      // For decaying waves charge, not current, makes the field: k.N = jD, so u0 N_rho + j lambda N_z = j (u0
      // D + k0^2 N_z)/lambda.
      if (decays) {
        for (const detail::EndCharge* p : a.charges) {
          slope -= p->out * std::exp(kJ * lambda * (c * p->at.x() + s * p->at.y()) - u0 * p->at.z());
        }
        sum += te * std::norm(across) + tm * std::norm((u0 * slope + k0_ * k0_ * vertical) / lambda);
      } else {
        sum += te * std::norm(across) + tm * std::norm(u0 * radial + kJ * lambda * vertical);
      }
    }
    return sum * 2.0 * kPi / count;
  }

  /// The asymptotic form's density at one lambda, integrated over azimuth.
  [[nodiscard]] double form_ring(double lambda, double separation) const {
    const double q = detail::quasi_static_q(lambda, form_.b);
    const double q1 = detail::quasi_static_q1(lambda, form_.b);
    const double reach = lambda * separation;
    const int count = static_cast<int>(std::ceil(reach + 8.0 + (log_error_ / 2.0) * std::cbrt(reach)));
    double sum = 0.0;
    for (int i = 0; i < count; ++i) {
      const double azimuth = 2.0 * kPi * (i + 0.5) / count;
      const double kx = lambda * std::cos(azimuth);
      const double ky = lambda * std::sin(azimuth);
      Eigen::Vector3cd n = Eigen::Vector3cd::Zero();
      Complex d = 0.0;
      for (const detail::Element& e : low_elements_) {
        const detail::SpectrumPair v = detail::spectrum_pair(e, kx, ky, lambda, 0.0);
        n += v.current * e.tangent.cast<Complex>();
        d += v.slope;
      }
      for (const detail::EndCharge& p : low_charges_) {
        d -= p.out * std::exp(kJ * (kx * p.at.x() + ky * p.at.y()) - lambda * p.at.z());
      }
      sum += (form_.static_charge + form_.charge * q) * std::norm(d) +
             form_.horizontal * q * (std::norm(n.x()) + std::norm(n.y())) +
             form_.vertical * q * std::norm(n.z()) + 2.0 * form_.mixed * q1 * std::real(d * std::conj(n.z()));
    }
    return sum * 2.0 * kPi / count;
  }

  [[nodiscard]] double low_separation() const {
    Vec3 low = Vec3::Constant(1e300);
    Vec3 high = Vec3::Constant(-1e300);
    for (const detail::Element& e : low_elements_) {
      low = low.cwiseMin(e.start).cwiseMin(e.end);
      high = high.cwiseMax(e.start).cwiseMax(e.end);
    }
    return low_elements_.empty() ? 0.0 : (high - low).head<2>().norm();
  }

  [[nodiscard]] int order(double phase) const {
    return std::min(512,
                    static_cast<int>(std::ceil(0.5 * phase + 4.0 + 0.5 * log_error_ + std::cbrt(phase))));
  }

  // lambda = k0 sin t takes the square root out of k0; the wave guided by a good soil turns within 1/|n| of
  // there.
  [[nodiscard]] double propagating() const {
    const Alive a = alive(0.0);
    std::vector<double> edges = {0.5 * kPi};
    for (double gap = 0.5 / std::sqrt(std::abs(n2_)); gap < 1.0; gap *= 2.5) edges.push_back(0.5 * kPi - gap);
    edges.push_back(0.0);
    double highest = 0.0;
    for (const detail::Element& e : elements_) highest = std::max({highest, e.start.z(), e.end.z()});
    double sum = 0.0;
    for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
      const double half = 0.5 * (edges[i] - edges[i + 1]);
      const double middle = 0.5 * (edges[i] + edges[i + 1]);
      const math::Rule& rule = math::gauss_legendre(order(k0_ * (a.separation + 2.0 * highest) * half));
      for (std::size_t n = 0; n < rule.nodes.size(); ++n) {
        const double t = middle + half * rule.nodes[n];
        const double lambda = k0_ * std::sin(t);
        double density = ring(lambda, Complex(0.0, k0_ * std::cos(t)), a);
        if (uses_form_) density -= form_ring(lambda, low_separation());
        sum += half * rule.weights[n] * k0_ * std::cos(t) * density;
      }
    }
    return sum / (8.0 * kPi * kPi);
  }

  // u0 is the variable. Steps grow from the guided wave's k0/|n| and, in soils of low loss, from the branch
  // point k1.
  [[nodiscard]] std::vector<double> decaying_edges() const {
    const Complex k1 = k0_ * std::sqrt(n2_);
    const double branch = std::sqrt(std::max(0.0, k1.real() * k1.real() - k0_ * k0_));
    std::vector<double> edges = {0.0, end_};
    for (double u = 0.4 * k0_ / std::sqrt(std::abs(n2_)); u < end_; u *= 2.0) edges.push_back(u);
    if (branch > 0.0) {
      for (double gap = std::max(0.5 * std::abs(k1.imag()), 1e-6 * branch); gap < branch; gap *= 2.5) {
        edges.push_back(branch - gap);
        edges.push_back(branch + gap);
      }
      edges.push_back(branch);
    }
    std::sort(edges.begin(), edges.end());
    while (edges.back() > end_) edges.pop_back();
    return edges;
  }

  [[nodiscard]] double decaying() const {
    const std::vector<double> edges = decaying_edges();
    const double form_separation = low_separation();
    double sum = 0.0;
    for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
      const Alive a = alive(edges[i]);
      // A long panel is cut so that each piece carries at most a few dozen waves.
      const double width = edges[i + 1] - edges[i];
      const int cuts = 1 + static_cast<int>(width * std::max(a.separation, form_separation) / 200.0);
      const double half = 0.5 * width / cuts;
      const math::Rule& rule = math::gauss_legendre(order(std::max(a.separation, form_separation) * half));
      for (int cut = 0; cut < cuts; ++cut) {
        const double middle = edges[i] + (2 * cut + 1) * half;
        for (std::size_t n = 0; n < rule.nodes.size(); ++n) {
          const double u = middle + half * rule.nodes[n];
          const double lambda = std::hypot(u, k0_);
          double density = ring(lambda, u, a);
          if (uses_form_) density -= form_ring(lambda, form_separation);
          sum += half * rule.weights[n] * u / lambda * density;
        }
      }
    }
    return sum / (8.0 * kPi * kPi);
  }

  std::vector<detail::Element> elements_;
  std::vector<detail::EndCharge> charges_;
  double k0_;
  Complex n2_;
  double omega_mu_;
  double omega_eps_;
  double log_error_;
  double lowest_ = 0.0;
  double end_ = 0.0;  ///< the integral's upper end in u0
  bool uses_form_ = false;
  detail::QuasiStatic form_;
  moment::Currents low_;
  std::vector<detail::Element> low_elements_;
  std::vector<detail::EndCharge> low_charges_;
};

}  // namespace

double ground_power(const moment::Currents& currents, const media::Ground& ground, core::Frequency f,
                    double relative_error) {
  if (!(f.si > 0.0))
    throw core::Error(core::ErrorKind::usage, "the ground's power needs a frequency above 0");
  if (ground.kind != media::GroundKind::real || currents.empty()) return 0.0;
  return Spectrum(currents, ground, f, std::clamp(relative_error, 1e-9, 1e-2)).power();
}

}  // namespace feldspar::fields

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <vector>

#include "core/error.hpp"
#include "fields/power.hpp"
#include "fields/quasi_static_detail.hpp"
#include "fields/rotation_detail.hpp"
#include "fields/sources_detail.hpp"
#include "math/quadrature.hpp"

namespace feldspar::fields {

namespace {

using core::kPi;
using detail::Complex;
constexpr Complex kJ(0.0, 1.0);

/// Where the asymptotic form takes over from the density, rad/m: its terms left out are of fourth order in
/// k1/lambda, and the margin is what keeps the wanted error in the tests.
double asymptotic_lambda(Complex n2, double k0, double relative_error) {
  return k0 * std::sqrt(std::abs(n2) + 2.0) * std::max(3.0, std::pow(relative_error, -0.2));
}

/// The density of the ground's power over lambda, symbols as in docs/power.md.
class Flux {
 public:
  Flux(const moment::Currents& currents, const media::Ground& ground, core::Frequency f,
       double relative_error)
      : k0_(core::wavenumber(f)),
        n2_(media::complex_permittivity(ground, f)),
        omega_mu_(k0_ * core::kVacuumImpedance),
        omega_eps_(k0_ / core::kVacuumImpedance),
        log_error_(-std::log(relative_error)),
        rotation_(detail::rotation_order(currents)) {
    split(currents);
    const double lowest =
        above_.currents.empty() ? 0.0 : lowest_above_ + std::min(lowest_above_, highest_below_);
    // With currents below the terms left out weigh more.
    const double margin = below_.currents.empty() ? 1.0 : 1.4;
    const double asymptotic = margin * asymptotic_lambda(n2_, k0_, relative_error);
    const double faded =
        lowest > 0.0 ? (log_error_ + 10.0) / lowest : std::numeric_limits<double>::infinity();
    const bool lossless = n2_.imag() == 0.0 && below_.currents.empty();
    uses_form_ = !lossless && faded > asymptotic;
    end_ = uses_form_ ? asymptotic : faded;
    if (lossless) end_ = std::min(end_, k0_ * std::sqrt(std::max(0.0, n2_.real() - 1.0)));
    // Currents below give nothing to waves that decay above but together with currents there.
    if (above_.currents.empty()) {
      uses_form_ = false;
      end_ = 0.0;
    }
    if (uses_form_) make_form();
    const double highest_lambda = std::hypot(end_, k0_);
    sources_ = std::make_unique<detail::Sources>(above_.currents, above_.charges, k0_, highest_lambda);
    buried_ = std::make_unique<detail::Sources>(below_.currents, below_.charges, k0_ * std::sqrt(n2_),
                                                highest_lambda);
    if (!uses_form_) return;
    // The asymptotic form takes the low elements only: the others are gone where it replaces the density.
    const Alive alive = alive_at(end_);
    low_above_ = only(above_, *sources_, alive.above, height_alive(end_));
    low_below_ = only(below_, *buried_, alive.below, height_alive(decay_below(end_)));
  }

  [[nodiscard]] double power() const {
    double sum = (propagating() + decaying()) / (8.0 * kPi * kPi);
    if (uses_form_) sum += detail::quasi_static_power(low_above_, low_below_, pierces_, form_, rotation_);
    return sum;
  }

 private:
  /// Those that count, above and below; below as images.
  struct Alive {
    detail::Sources::Alive above;
    detail::Sources::Alive below;
    double separation = 0.0;
  };

  void split(const moment::Currents& currents) {
    for (const moment::ElementCurrent& e : currents) {
      const bool below = detail::below_surface(detail::prepare({e}).front());
      const double slack = 1e-9 * (e.end - e.start).norm();
      const double near = std::min(std::abs(e.start.z()), std::abs(e.end.z()));
      const double far = std::max(std::abs(e.start.z()), std::abs(e.end.z()));
      if (far <= slack) {
        throw core::Error(
            core::ErrorKind::usage,
            "the flux into the ground needs currents above its surface or below, none along it");
      }
      double& nearest = below ? highest_below_ : lowest_above_;
      nearest = std::min(nearest, near > slack ? near : 0.0);
      if (!below) highest_ = std::max(highest_, far);
      (below ? below_ : above_).currents.push_back(below ? detail::mirrored(e) : e);
    }
    for (detail::EndCharge c : detail::end_charges(currents)) {
      if (std::abs(c.at.z()) < 1e-9) {
        throw core::Error(core::ErrorKind::usage,
                          "a current ends at the ground's surface; it must go on below or end above");
      }
      const bool below = c.at.z() < 0.0;
      c.at.z() = std::abs(c.at.z());
      (below ? below_ : above_).charges.push_back(c);
    }
    pierces_ = detail::pierces(above_.currents, below_.currents);
  }

  static detail::OneSide only(const detail::OneSide& side, const detail::Sources& sources,
                              const detail::Sources::Alive& alive, double reach) {
    detail::OneSide low;
    for (const int i : sources.elements(alive))
      low.currents.push_back(side.currents[static_cast<std::size_t>(i)]);
    for (const detail::EndCharge& c : side.charges) {
      if (c.at.z() <= reach) low.charges.push_back(c);
    }
    return low;
  }

  /// How fast waves of decay u0 above decay at least below.
  [[nodiscard]] double decay_below(double u0) const {
    return std::sqrt(u0 * u0 + k0_ * k0_ - n2_ * k0_ * k0_).real();
  }

  [[nodiscard]] Alive alive_at(double u0) const {
    Alive alive;
    alive.above = sources_->up_to(height_alive(u0));
    alive.below = buried_->up_to(height_alive(decay_below(u0)));
    alive.separation = detail::Sources::separation(alive.above, alive.below);
    return alive;
  }

  /// Spectrum of the currents that pass through the surface.
  [[nodiscard]] Complex piercing(double kx, double ky) const {
    Complex sum = 0.0;
    for (const detail::Pierce& p : pierces_) {
      const double angle = kx * p.at.x() + ky * p.at.y();
      sum += p.current * detail::tube_factor((kx * kx + ky * ky) * p.radius * p.radius) *
             Complex(std::cos(angle), std::sin(angle));
    }
    return sum;
  }

  void make_form() {
    const double k02 = k0_ * k0_;
    const Complex share = n2_ / (n2_ + 1.0);
    form_.static_charge = -n2_.imag() / std::norm(n2_ + 1.0) / omega_eps_;
    form_.charge = k02 / omega_eps_ * std::imag(share / (n2_ + 1.0));
    form_.horizontal = -omega_mu_ * k02 * n2_.imag() / 8.0;
    form_.vertical = form_.static_charge * k02 * k02 - form_.horizontal;
    form_.mixed = form_.static_charge * k02;
    form_.lift = form_.static_charge * k02;  // exp(-u0 z) = exp(-lambda z)(1 + k0^2 z / 2 lambda)
    form_.b = (log_error_ + 4.0) / end_;
    form_.across = detail::AcrossForm(k0_, n2_);
  }

  /// Sources above this have faded where waves decay like exp(-decay z).
  [[nodiscard]] double height_alive(double decay) const {
    return decay > 0.0 ? (log_error_ + 6.0) / decay : std::numeric_limits<double>::infinity();
  }

  [[nodiscard]] int azimuths(double lambda, double separation) const {
    const double reach = lambda * separation;
    return static_cast<int>(std::ceil(reach + 8.0 + 0.5 * log_error_ * std::cbrt(reach)));
  }

  template <class F>
  [[nodiscard]] double over_azimuth(double lambda, double separation, F&& f) const {
    const int count = (azimuths(lambda, separation) + rotation_ - 1) / rotation_;
    double sum = 0.0;
    for (int i = 0; i < count; ++i) {
      const double azimuth = 2.0 * kPi * (i + 0.5) / (count * rotation_);
      sum += f(std::cos(azimuth), std::sin(azimuth));
    }
    return sum * 2.0 * kPi / count;
  }

  /// Integral over azimuth of the density at one lambda; u0 = sqrt(lambda^2 - k0^2).
  [[nodiscard]] double density(double lambda, Complex u0, const Alive& alive) const {
    const Complex u1 =
        kJ * std::sqrt(n2_ * k0_ * k0_ - lambda * lambda);  // Im n2 <= 0: this root has Re u1 >= 0
    const Waves w{lambda, u0, u1, u0 + u1, n2_ * u0 + u1};
    const detail::Sources::Ring ring(*sources_, alive.above, lambda, u0);
    const detail::Sources::Ring ring_below(*buried_, alive.below, lambda, u1);
    const bool decays = lambda > k0_;
    return over_azimuth(lambda, alive.separation, [&](double c, double s) {
      const detail::Spectrum a = ring.at(c, s);
      const detail::Spectrum b = ring_below.at(c, s);
      return decays ? decaying_density(w, a, b, piercing(lambda * c, lambda * s), c, s)
                    : propagating_density(w, a, b, c, s);
    });
  }

  struct Waves {
    double lambda;
    Complex u0;
    Complex u1;
    Complex d1;
    Complex d2;
  };

  // Half the real part of V I*, V the tangential electric and I the tangential magnetic field at z = 0.
  [[nodiscard]] double propagating_density(const Waves& w, const detail::Spectrum& a,
                                           const detail::Spectrum& b, double c, double s) const {
    const Complex j_lambda(0.0, w.lambda);
    const Complex across_a = c * a.y - s * a.x;
    const Complex across_b = c * b.y - s * b.x;
    const Complex i_a = n2_ * (w.u0 * (c * a.x + s * a.y) + j_lambda * a.z) / w.d2;
    const Complex i_b = -(w.u1 * (c * b.x + s * b.y) + j_lambda * b.z) / w.d2;
    const Complex v = (w.u1 / n2_ * i_a - w.u0 * i_b) / (kJ * omega_eps_);
    const double te = -omega_mu_ / std::norm(w.d1) *
                      std::imag((across_a + across_b) * std::conj(w.u1 * across_a - w.u0 * across_b));
    return w.lambda * (te + std::real(v * std::conj(i_a + i_b)));
  }

  // Charge, not current, makes the field of decaying waves: k.N = jD, u0 N_rho + j lambda N_z = j(u0 D + k0^2
  // N_z)/lambda. Of V I* what is left besides the currents above alone is their exchange with those below and
  // with the current that passes through the surface.
  [[nodiscard]] double decaying_density(const Waves& w, const detail::Spectrum& a, const detail::Spectrum& b,
                                        Complex pierce, double c, double s) const {
    const Complex k12 = n2_ * k0_ * k0_;
    const Complex across_a = c * a.y - s * a.x;
    const Complex across_b = c * b.y - s * b.x;
    const Complex source_a = w.u0 * a.slope + k0_ * k0_ * a.z;
    const Complex source_b = w.u1 * b.slope + k12 * b.z;
    const double te = w.u1.imag() / std::norm(w.d1) * std::norm(across_a) +
                      std::imag(across_a * std::conj(across_b / w.d1));
    const double tm = std::imag(w.u1 * std::conj(n2_)) / std::norm(w.d2) * std::norm(source_a) -
                      std::imag(source_a * std::conj(source_b / w.d2)) +
                      std::imag((w.u1 * source_a + w.u0 * source_b) / w.d2 * std::conj(pierce));
    return omega_mu_ * w.lambda * te + tm / (omega_eps_ * w.lambda);
  }

  /// The same of the asymptotic form.
  [[nodiscard]] double form_density(double lambda, const Alive& low) const {
    const double q = detail::quasi_static_q(lambda, form_.b);
    const double q1 = detail::quasi_static_q1(lambda, form_.b);
    const detail::Orders orders{1.0, q1, q};
    const detail::Sources::Ring ring(*sources_, low.above, lambda, lambda);
    const detail::Sources::Ring ring_below(*buried_, low.below, lambda, lambda);
    return over_azimuth(lambda, low.separation, [&](double c, double s) {
      const detail::Spectrum v = ring.at(c, s);
      double sum = (form_.static_charge + form_.charge * q) * std::norm(v.slope) +
                   form_.horizontal * q * (std::norm(v.x) + std::norm(v.y)) +
                   form_.vertical * q * std::norm(v.z) +
                   q1 * std::real(v.slope * std::conj(2.0 * form_.mixed * v.z + form_.lift * v.lift));
      if (below_.currents.empty()) return sum;
      const detail::Spectrum b = ring_below.at(c, s);
      const Complex pierce = piercing(lambda * c, lambda * s);
      sum += form_.across.across(v, b, orders) + form_.across.pierce_above(v, pierce, orders) +
             form_.across.pierce_below(b, pierce, orders);
      return sum;
    });
  }

  [[nodiscard]] int order(double phase) const {
    return std::min(512,
                    static_cast<int>(std::ceil(0.5 * phase + 4.0 + 0.5 * log_error_ + std::cbrt(phase))));
  }

  // lambda = k0 sin t takes the square root out of k0; the wave guided by a good soil turns within 1/|n| of
  // there.
  [[nodiscard]] double propagating() const {
    const Alive alive = alive_at(0.0);
    const Alive low = alive_at(end_);
    std::vector<double> edges = {0.5 * kPi};
    for (double gap = 0.5 / std::sqrt(std::abs(n2_)); gap < 1.0; gap *= 2.5) edges.push_back(0.5 * kPi - gap);
    edges.push_back(0.0);
    double sum = 0.0;
    for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
      const double half = 0.5 * (edges[i] - edges[i + 1]);
      const double middle = 0.5 * (edges[i] + edges[i + 1]);
      const math::Rule& rule = math::gauss_legendre(order(k0_ * (alive.separation + 2.0 * highest_) * half));
      for (std::size_t n = 0; n < rule.nodes.size(); ++n) {
        const double t = middle + half * rule.nodes[n];
        const double lambda = k0_ * std::sin(t);
        const double u = k0_ * std::cos(t);
        const double rest = uses_form_ ? form_density(lambda, low) : 0.0;
        sum += half * rule.weights[n] * u * (density(lambda, Complex(0.0, u), alive) - rest);
      }
    }
    return sum;
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
    if (!(end_ > 0.0)) return 0.0;  // a soil like air: nothing crosses that decays above
    const std::vector<double> edges = decaying_edges();
    const Alive low = alive_at(end_);
    double sum = 0.0;
    for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
      const Alive alive = alive_at(edges[i]);
      const double separation = std::max(alive.separation, low.separation);
      // A long panel is cut so that each piece carries at most a few dozen waves.
      const int cuts = 1 + static_cast<int>((edges[i + 1] - edges[i]) * separation / 200.0);
      const double half = 0.5 * (edges[i + 1] - edges[i]) / cuts;
      const math::Rule& rule = math::gauss_legendre(order(separation * half));
      for (int cut = 0; cut < cuts; ++cut) {
        const double middle = edges[i] + (2 * cut + 1) * half;
        for (std::size_t n = 0; n < rule.nodes.size(); ++n) {
          const double u = middle + half * rule.nodes[n];
          const double lambda = std::hypot(u, k0_);
          const double rest = uses_form_ ? form_density(lambda, low) : 0.0;
          sum += half * rule.weights[n] * u / lambda * (density(lambda, u, alive) - rest);
        }
      }
    }
    return sum;
  }

  double k0_;
  Complex n2_;
  double omega_mu_;
  double omega_eps_;
  double log_error_;
  int rotation_;  ///< the density repeats over azimuth that many times
  double highest_ = 0.0;
  double lowest_above_ = std::numeric_limits<double>::infinity();
  double highest_below_ = std::numeric_limits<double>::infinity();  ///< least depth
  double end_ = 0.0;                                                ///< the integral's upper end in u0
  bool uses_form_ = false;
  detail::QuasiStatic form_;
  detail::OneSide above_;
  detail::OneSide below_;
  std::vector<detail::Pierce> pierces_;
  std::unique_ptr<detail::Sources> sources_;
  std::unique_ptr<detail::Sources> buried_;
  detail::OneSide low_above_;
  detail::OneSide low_below_;
};

}  // namespace

bool knows_ground_power(const moment::Currents& currents) {
  struct Upright {
    geometry::Vec3 end;
    double radius;
  };
  std::vector<Upright> near_surface;
  bool any_above = currents.empty();
  for (const moment::ElementCurrent& e : currents) {
    any_above = any_above || e.start.z() + e.end.z() > 0.0;
    const geometry::Vec3 along = e.end - e.start;
    const double slack = 1e-9 * along.norm();
    const bool upright = along.head<2>().norm() <= 1e-6 * along.norm();
    const bool level = std::abs(along.z()) <= slack;
    for (const geometry::Vec3& end : {e.start, e.end}) {
      if (level || std::abs(end.z()) > std::max(slack, e.radius)) continue;
      if (!upright) return false;
      for (const Upright& other : near_surface)
        if ((other.end - end).norm() <= std::max(other.radius, e.radius) &&
            std::abs(other.radius - e.radius) > 1e-9 * e.radius)
          return false;
      near_surface.push_back({end, e.radius});
    }
  }
  return any_above;
}

double ground_power(const moment::Currents& currents, const media::Ground& ground, core::Frequency f,
                    double relative_error) {
  if (!(f.si > 0.0))
    throw core::Error(core::ErrorKind::usage, "the ground's power needs a frequency above 0");
  if (ground.kind != media::GroundKind::real || currents.empty()) return 0.0;
  return Flux(currents, ground, f, std::clamp(relative_error, 1e-9, 1e-2)).power();
}

}  // namespace feldspar::fields

#pragma once

#include "math/bessel.hpp"
#include "math/bessel_poles.hpp"
#include "math/lanes.hpp"

/// math/bessel.hpp for four arguments at once, to be inlined into loops (see math/lanes.hpp). The scalar
/// functions are the oracle; arguments that the fast forms do not cover go to them one by one.
namespace feldspar::math {

/// Real and imaginary parts of orders 0 and 1.
struct BesselLanes {
  Lanes re0;
  Lanes im0;
  Lanes re1;
  Lanes im1;
};

namespace detail {

/// sqrt(2w / pi) exp(w) K_nu(w) for w = x + jy by the poles, |w| >= 3, Re w >= -|Im w| / 4 (see bessel.cpp).
[[gnu::always_inline]] inline BesselLanes k_form_lanes(Lanes x, Lanes y) noexcept {
  const Lanes y2 = y * y;
  BesselLanes sum{all_lanes(1.0), all_lanes(0.0), all_lanes(1.0), all_lanes(0.0)};
  for (std::size_t i = 0; i < kBesselPoles.size(); i += 2) {
    const BesselPole& a = kBesselPoles[i];
    const BesselPole& b = kBesselPoles[i + 1];
    const Lanes xa = x + a.place;
    const Lanes xb = x + b.place;
    const Lanes na = xa * xa + y2;
    const Lanes nb = xb * xb + y2;
    const Lanes both = 1.0 / (na * nb);
    const Lanes sa = nb * both;
    const Lanes sb = na * both;
    const Lanes ta = sa * xa;
    const Lanes tb = sb * xb;
    sum.re0 += a.residue0 * ta + b.residue0 * tb;
    sum.re1 += a.residue1 * ta + b.residue1 * tb;
    sum.im0 += a.residue0 * sa + b.residue0 * sb;
    sum.im1 += a.residue1 * sa + b.residue1 * sb;
  }
  sum.im0 *= -y;
  sum.im1 *= -y;
  return sum;
}

/// sqrt(2 / (pi z)) for Re z >= 0.
[[gnu::always_inline]] inline void root_lanes(Lanes x, Lanes y, Lanes& re, Lanes& im) noexcept {
  const Lanes scale = 0.63661977236758134308 / (x * x + y * y);  // 2 / pi
  const Lanes a = x * scale;
  const Lanes b = -y * scale;
  const Lanes size = sqrt_lanes(a * a + b * b);
  re = sqrt_lanes(0.5 * (size + a));
  im = 0.5 * b / re;
}

/// J_0 and J_1 by the ascending series, |z| < 8.
[[gnu::always_inline]] inline BesselLanes j_series_lanes(Lanes x, Lanes y) noexcept {
  const Lanes q_re = 0.25 * (y * y - x * x);
  const Lanes q_im = -0.5 * x * y;
  const Lanes squares = q_re * q_re + q_im * q_im;
  double size = 0.0;
  for (std::size_t i = 0; i < kLanes; ++i) size = squares[i] > size ? squares[i] : size;
  Lanes term_re = all_lanes(1.0);
  Lanes term_im = all_lanes(0.0);
  BesselLanes sum{all_lanes(0.0), all_lanes(0.0), all_lanes(0.0), all_lanes(0.0)};
  double bound = 1.0;  // of the squared size of the term
  for (int k = 1; k < 40 && bound > 1e-38; ++k) {
    const double over_k = 1.0 / k;
    sum.re0 += term_re;
    sum.im0 += term_im;
    sum.re1 += over_k * term_re;
    sum.im1 += over_k * term_im;
    const double over_k2 = over_k * over_k;
    bound *= size * over_k2 * over_k2;
    const Lanes re = (term_re * q_re - term_im * q_im) * over_k2;
    term_im = (term_re * q_im + term_im * q_re) * over_k2;
    term_re = re;
  }
  const Lanes re1 = 0.5 * (x * sum.re1 - y * sum.im1);
  sum.im1 = 0.5 * (x * sum.im1 + y * sum.re1);
  sum.re1 = re1;
  return sum;
}

}  // namespace detail

namespace detail {

/// H^(1) (up) or H^(2) where |z| >= 3; elsewhere meaningless.
[[gnu::always_inline]] inline BesselLanes far_hankel_lanes(Lanes x, Lanes y, bool up) noexcept {
  const double sign = up ? 1.0 : -1.0;
  const BesselLanes form = k_form_lanes(sign * y, -sign * x);  // w = -jz or jz
  Lanes root_re, root_im, sine, cosine;
  root_lanes(x, y, root_re, root_im);
  sincos_lanes(sign * (x - 0.78539816339744830962), sine, cosine);
  const Lanes size = exp_lanes(-sign * y);
  // exp(+-j (z - pi / 4)) sqrt(2 / (pi z)); order 1 is a quarter period behind: -j for H^(1), j for H^(2)
  const Lanes re = size * (cosine * root_re - sine * root_im);
  const Lanes im = size * (cosine * root_im + sine * root_re);
  return {re * form.re0 - im * form.im0, re * form.im0 + im * form.re0,
          sign * (re * form.im1 + im * form.re1), -sign * (re * form.re1 - im * form.im1)};
}

}  // namespace detail

/// H^(1) (up) or H^(2), orders 0 and 1, of z = x + jy.
/// @param x, y  Re z >= 0; Im z >= 0 for H^(1), <= 0 for H^(2), or |Im z| <= |z| / 4 on the other side
[[gnu::always_inline]] inline BesselLanes hankel_lanes(Lanes x, Lanes y, bool up) noexcept {
  BesselLanes h = detail::far_hankel_lanes(x, y, up);
  const double sign = up ? 1.0 : -1.0;
  const Lanes squares = x * x + y * y;
  for (std::size_t i = 0; i < kLanes; ++i) {
    if (squares[i] >= 9.0) continue;
    const std::complex<double> z(x[i], y[i]);
    const BesselPair pair = up ? hankel1_scaled(z) : hankel2_scaled(z);
    const std::complex<double> factor = std::exp(std::complex<double>(-sign * y[i], sign * x[i]));
    const std::complex<double> h0 = factor * pair.order0;
    const std::complex<double> h1 = factor * pair.order1;
    h.re0[i] = h0.real();
    h.im0[i] = h0.imag();
    h.re1[i] = h1.real();
    h.im1[i] = h1.imag();
  }
  return h;
}

/// J_0 and J_1 of z = x + jy, Re z >= 0, Im z >= 0. Within 1e-13 of the size of the function up to Im z = Re
/// z / 4, 1e-11 up to Im z = Re z, beyond that by bessel_j.
[[gnu::always_inline]] inline BesselLanes bessel_j_lanes(Lanes x, Lanes y) noexcept {
  const Lanes squares = x * x + y * y;
  const LaneInts large = squares >= 64.0;
  const LaneInts steep = y > 1.001 * x;
  bool any_small = false;
  bool any_large = false;
  bool any_steep = false;
  for (std::size_t i = 0; i < kLanes; ++i) {
    any_small = any_small || large[i] == 0;
    any_large = any_large || large[i] != 0;
    any_steep = any_steep || (large[i] != 0 && steep[i] != 0);
  }
  BesselLanes j{};
  if (any_small) j = detail::j_series_lanes(x, y);
  if (any_large) {
    const BesselLanes one = detail::far_hankel_lanes(x, y, true);
    const BesselLanes two = detail::far_hankel_lanes(x, y, false);
    j.re0 = large ? 0.5 * (one.re0 + two.re0) : j.re0;
    j.im0 = large ? 0.5 * (one.im0 + two.im0) : j.im0;
    j.re1 = large ? 0.5 * (one.re1 + two.re1) : j.re1;
    j.im1 = large ? 0.5 * (one.im1 + two.im1) : j.im1;
  }
  if (any_steep) {
    for (std::size_t i = 0; i < kLanes; ++i) {
      if (large[i] == 0 || steep[i] == 0) continue;
      const BesselPair pair = bessel_j({x[i], y[i]});
      j.re0[i] = pair.order0.real();
      j.im0[i] = pair.order0.imag();
      j.re1[i] = pair.order1.real();
      j.im1[i] = pair.order1.imag();
    }
  }
  return j;
}

}  // namespace feldspar::math

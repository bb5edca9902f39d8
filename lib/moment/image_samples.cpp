#include "moment/image_samples_detail.hpp"

#include <cmath>

#include "math/clones.hpp"

namespace feldspar::moment {

namespace detail {

/// Both elements horizontal: nothing vertical has a share.
FELDSPAR_CLONES void add_level(const ImageFactors& f, double level, const ImageSamples& s,
                               const PotentialSums& to) noexcept {
  const double own = level * f.horizontal;
  const double p_re = f.charge.real();
  const double p_im = f.charge.imag();
  for (std::size_t i = 0; i < s.count; ++i) {
    const double re = s.wave_re[i];
    const double im = s.wave_im[i];
    const media::ReflectedRest& rest = s.rest[i];
    to.vector_re[i] += own * re + level * rest.a_h.real();
    to.vector_im[i] += own * im + level * rest.a_h.imag();
    to.scalar_re[i] += p_re * re - p_im * im + rest.p.real();
    to.scalar_im[i] += p_re * im + p_im * re + rest.p.imag();
  }
}

/// t_m and t_n, the latter the image's: the true source tangent has the opposite z.
FELDSPAR_CLONES void add_sloping(const ImageFactors& f, const double* t_m, const double* t_n,
                                 const ImageSamples& s, const PotentialSums& to) noexcept {
  const double level = t_m[0] * t_n[0] + t_m[1] * t_n[1];
  const double upright = -t_m[2] * t_n[2];
  const double own_re = level * f.horizontal + upright * f.vertical.real();
  const double own_im = upright * f.vertical.imag();
  const double p_re = f.charge.real();
  const double p_im = f.charge.imag();
  // (t'_z t.rho - t_z t'.rho) = along_x x + along_y y
  const double along_x = -t_n[2] * t_m[0] - t_m[2] * t_n[0];
  const double along_y = -t_n[2] * t_m[1] - t_m[2] * t_n[1];
  for (std::size_t i = 0; i < s.count; ++i) {
    const double re = s.wave_re[i];
    const double im = s.wave_im[i];
    const media::ReflectedRest& rest = s.rest[i];
    const double r = std::sqrt(s.rho[i] * s.rho[i] + s.z[i] * s.z[i]);
    // A_m over rho, so that the horizontal unit vector needs no division at rho = 0
    const double still = 1.0 / (r * (r + std::abs(s.z[i])));
    const double over = s.rho[i] > 0.0 ? 1.0 / s.rho[i] : 0.0;
    const double along = along_x * s.x[i] + along_y * s.y[i];
    to.vector_re[i] += own_re * re - own_im * im + level * rest.a_h.real() + upright * rest.a_v.real() +
                       along * (still * f.mixed.real() + over * rest.a_m.real());
    to.vector_im[i] += own_re * im + own_im * re + level * rest.a_h.imag() + upright * rest.a_v.imag() +
                       along * (still * f.mixed.imag() + over * rest.a_m.imag());
    to.scalar_re[i] += p_re * re - p_im * im + rest.p.real();
    to.scalar_im[i] += p_re * im + p_im * re + rest.p.imag();
  }
}

FELDSPAR_CLONES void lengths(const double* __restrict x, const double* __restrict y,
                             const double* __restrict z, std::size_t count, double* __restrict rho,
                             double* __restrict height) noexcept {
#pragma omp simd
  for (std::size_t i = 0; i < count; ++i) {
    rho[i] = std::sqrt(x[i] * x[i] + y[i] * y[i]);
    height[i] = std::abs(z[i]);
  }
}

}  // namespace detail

void measure(const double* x, const double* y, const double* z, std::size_t count, double* rho,
             double* height) noexcept {
  detail::lengths(x, y, z, count, rho, height);
}

void add_image_samples(const ImageFactors& factors, const Frame& m, const Frame& n,
                       const ImageSamples& samples, const PotentialSums& sums) noexcept {
  if (m.horizontal && n.horizontal) {
    const double level = m.tangent.x() * n.tangent.x() + m.tangent.y() * n.tangent.y();
    detail::add_level(factors, level, samples, sums);
  } else {
    detail::add_sloping(factors, m.tangent.data(), n.tangent.data(), samples, sums);
  }
}

}  // namespace feldspar::moment

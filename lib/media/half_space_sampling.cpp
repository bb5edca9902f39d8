#include <cmath>
#include <cstddef>
#include <vector>

#include "math/bessel.hpp"
#include "media/half_space_cell.hpp"
#include "media/half_space_spectrum.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;

inline Complex times(Complex a, Complex b) {
  return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

// Sums of the four functions at one rho for all z: real parts, then imaginary parts.
struct Sums {
  static constexpr std::size_t kMost = 16;
  double re[4][kMost];
  double im[4][kMost];
};

// sums[f][l] += sum over nodes of factor[f] decay[l]; `width` numbers per node, padded with zeros.
inline __attribute__((always_inline)) void accumulate_body(std::size_t nodes, std::size_t width,
                                                           const double* factors, const double* decay_re,
                                                           const double* decay_im, Sums& sums) {
  for (std::size_t f = 0; f < 4; ++f) {
    double re[Sums::kMost] = {};
    double im[Sums::kMost] = {};
    for (std::size_t i = 0; i < nodes; ++i) {
      const double a = factors[8 * i + 2 * f];
      const double b = factors[8 * i + 2 * f + 1];
      const double* x = decay_re + width * i;
      const double* y = decay_im + width * i;
      for (std::size_t l = 0; l < width; ++l) {
        re[l] += a * x[l] - b * y[l];
        im[l] += a * y[l] + b * x[l];
      }
    }
    for (std::size_t l = 0; l < width; ++l) {
      sums.re[f][l] += re[l];
      sums.im[f][l] += im[l];
    }
  }
}

template <std::size_t kWidth>
inline __attribute__((always_inline)) void accumulate_fixed(std::size_t nodes, const double* factors,
                                                            const double* decay_re, const double* decay_im,
                                                            Sums& sums) {
  accumulate_body(nodes, kWidth, factors, decay_re, decay_im, sums);
}

inline __attribute__((always_inline)) void accumulate_any(std::size_t nodes, std::size_t width,
                                                          const double* factors, const double* decay_re,
                                                          const double* decay_im, Sums& sums) {
  switch (width) {
    case 4:
      return accumulate_fixed<4>(nodes, factors, decay_re, decay_im, sums);
    case 8:
      return accumulate_fixed<8>(nodes, factors, decay_re, decay_im, sums);
    case 12:
      return accumulate_fixed<12>(nodes, factors, decay_re, decay_im, sums);
    default:
      return accumulate_fixed<16>(nodes, factors, decay_re, decay_im, sums);
  }
}

using Accumulate = void (*)(std::size_t, std::size_t, const double*, const double*, const double*, Sums&);

void accumulate_plain(std::size_t nodes, std::size_t width, const double* factors, const double* decay_re,
                      const double* decay_im, Sums& sums) {
  accumulate_any(nodes, width, factors, decay_re, decay_im, sums);
}

#if defined(__x86_64__)
__attribute__((target("avx2,fma"))) void accumulate_avx2(std::size_t nodes, std::size_t width,
                                                         const double* factors, const double* decay_re,
                                                         const double* decay_im, Sums& sums) {
  accumulate_any(nodes, width, factors, decay_re, decay_im, sums);
}
#endif

Accumulate choose_accumulate() {
#if defined(__x86_64__)
  if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) return accumulate_avx2;
#endif
  return accumulate_plain;
}

enum class Radial { bessel, hankel1, hankel2 };

math::BesselPair radial_function(Radial kind, Complex argument) {
  if (kind == Radial::bessel) return math::bessel_j(argument);
  const bool first = kind == Radial::hankel1;
  const math::BesselPair h = first ? math::hankel1_scaled(argument) : math::hankel2_scaled(argument);
  const Complex phase = first ? std::exp(Complex(-argument.imag(), argument.real()))
                              : std::exp(Complex(argument.imag(), -argument.real()));
  return {times(phase, h.order0), times(phase, h.order1)};
}

class Sampler {
 public:
  Sampler(std::span<const double> rho, std::span<const double> z, std::span<ReflectedRest> out)
      : rho_(rho), z_(z), out_(out), width_(4 * ((z.size() + 3) / 4)) {}

  void add(const std::vector<ContourNode>& nodes, Radial kind) {
    if (nodes.empty()) return;
    static const Accumulate accumulate = choose_accumulate();
    decay_re_.assign(nodes.size() * width_, 0.0);
    decay_im_.assign(nodes.size() * width_, 0.0);
    for (std::size_t i = 0; i < nodes.size(); ++i) {
      for (std::size_t l = 0; l < z_.size(); ++l) {
        const double size = std::exp(-nodes[i].u0.real() * z_[l]);
        const double angle = -nodes[i].u0.imag() * z_[l];
        decay_re_[width_ * i + l] = size * std::cos(angle);
        decay_im_[width_ * i + l] = size * std::sin(angle);
      }
    }
    factors_.resize(8 * nodes.size());
    for (std::size_t k = 0; k < rho_.size(); ++k) {
      for (std::size_t i = 0; i < nodes.size(); ++i) {
        const math::BesselPair radial = radial_function(kind, nodes[i].lambda * rho_[k]);
        const Complex products[4] = {times(nodes[i].a_h, radial.order0), times(nodes[i].a_v, radial.order0),
                                     times(nodes[i].a_m, radial.order1), times(nodes[i].p, radial.order0)};
        for (std::size_t f = 0; f < 4; ++f) {
          factors_[8 * i + 2 * f] = products[f].real();
          factors_[8 * i + 2 * f + 1] = products[f].imag();
        }
      }
      Sums sums{};
      accumulate(nodes.size(), width_, factors_.data(), decay_re_.data(), decay_im_.data(), sums);
      for (std::size_t l = 0; l < z_.size(); ++l) {
        ReflectedRest& rest = out_[k * z_.size() + l];
        rest.a_h += Complex(sums.re[0][l], sums.im[0][l]);
        rest.a_v += Complex(sums.re[1][l], sums.im[1][l]);
        rest.a_m += Complex(sums.re[2][l], sums.im[2][l]);
        rest.p += Complex(sums.re[3][l], sums.im[3][l]);
      }
    }
  }

 private:
  std::span<const double> rho_;
  std::span<const double> z_;
  std::span<ReflectedRest> out_;
  std::size_t width_;
  std::vector<double> decay_re_;
  std::vector<double> decay_im_;
  std::vector<double> factors_;
};

}  // namespace

void sample_rest(Complex n2, const Contour& contour, std::span<const double> rho, std::span<const double> z,
                 std::span<ReflectedRest> out) {
  const Complex image = (n2 - 1.0) / (n2 + 1.0);
  for (std::size_t k = 0; k < rho.size(); ++k) {
    for (std::size_t l = 0; l < z.size(); ++l) {
      const Complex lost = contour.round_cuts ? -std::polar(1.0 / rho[k], -std::hypot(rho[k], z[l]))
                                              : image_m_difference(1.0, rho[k], z[l]);
      out[k * z.size() + l] = {0.0, 0.0, times(image, lost), 0.0};
    }
  }
  Sampler sampler(rho, z, out);
  sampler.add(contour.bessel, Radial::bessel);
  sampler.add(contour.hankel1, Radial::hankel1);
  sampler.add(contour.hankel2, Radial::hankel2);
}

}  // namespace feldspar::media

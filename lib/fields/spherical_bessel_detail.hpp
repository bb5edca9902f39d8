#pragma once

#include <complex>

/// Spherical Bessel functions j_0..j_n as the Fourier integrals of Legendre polynomials need them.
namespace feldspar::fields::detail {

inline constexpr int kMaxDegree = 40;

/// j_0(x)..j_degree(x) to out[0..degree], real x, about 1e-15 absolute. degree <= kMaxDegree + 1
void spherical_bessel(double x, int degree, double* out) noexcept;

/// c j_0(x)..c j_degree(x) for complex x, where c is known only through c exp(jx), c exp(-jx) and c itself,
/// so that nothing overflows where |Im x| is large. About 1e-13 of the largest of the three.
void spherical_bessel(std::complex<double> x, std::complex<double> at_plus, std::complex<double> at_minus,
                      std::complex<double> at_middle, int degree, std::complex<double>* out) noexcept;

}  // namespace feldspar::fields::detail

#pragma once

#include <complex>
#include <cstddef>

#include "media/half_space.hpp"
#include "moment/element_frame_detail.hpp"

/// What the surface gives back at many points of two elements, as loops over arrays.
namespace feldspar::moment {

/// Factors of the direct potentials in the images: horizontal and vertical current, charge; and of the
/// static part of A_m.
struct ImageFactors {
  double horizontal = 0.0;
  std::complex<double> vertical;
  std::complex<double> charge;
  std::complex<double> mixed;
};

/// Vectors between the image's points and the element's, their horizontal lengths, and what is known there.
struct ImageSamples {
  const double *x, *y, *z, *rho;     // m
  const double *wave_re, *wave_im;   // exp(-jkR)/R
  const media::ReflectedRest* rest;  // P as it enters Z
  std::size_t count;
};

/// Where the samples of the vector and of the scalar potential are added.
struct PotentialSums {
  double *vector_re, *vector_im, *scalar_re, *scalar_im;
};

/// Horizontal lengths and heights |z| of `count` vectors.
void measure(const double* x, const double* y, const double* z, std::size_t count, double* rho,
             double* height) noexcept;

/// Adds t.t'-weighted vector potentials and scalar potentials. @param n the image of the source
void add_image_samples(const ImageFactors& factors, const Frame& m, const Frame& n,
                       const ImageSamples& samples, const PotentialSums& sums) noexcept;

}  // namespace feldspar::moment

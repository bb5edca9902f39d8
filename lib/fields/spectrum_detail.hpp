#pragma once

#include <complex>
#include <vector>

#include "moment/current.hpp"

/// The plane-wave spectrum of straight elements: integrals of I t exp(j k.r) ds.
namespace feldspar::fields::detail {

using Complex = std::complex<double>;
using Vec3 = geometry::Vec3;

/// An element made ready for Fourier integrals.
struct Element {
  Vec3 start;
  Vec3 end;
  Vec3 middle;
  Vec3 half;  ///< (end - start) / 2
  Vec3 tangent;
  double length;
  double radius;
  double level_ring;  ///< radius of the level ring that stands for the tube's at the surface; 0: it is
                      ///< upright or clear of the surface
  double lowest;      ///< smaller z of the two ends
  int degree;
  std::vector<Complex>
      weights;                  ///< length j^n coefficients[n]: times j_n(k.half) they give the integral of I
  std::vector<Complex> charge;  ///< the same for dI/ds; one shorter, empty for degree 0
  std::vector<Complex> lift;    ///< the same for z dI/ds; empty for degree 0
  std::vector<Complex> arm;     ///< the same for z I; one longer
};

/// Spectrum of an element's current and of its dI/ds (ends not counted).
struct SpectrumPair {
  Complex current;
  Complex slope;
  Complex lift;  ///< of z dI/ds
  Complex arm;   ///< of z I
};

/// Current that leaves the structure at a point, A: where the currents of the elements that end there do not
/// add up to zero, a point charge sits, and its share of "dI/ds" is -out.
struct EndCharge {
  Vec3 at;
  Complex out;
};

/// @throws core::Error{usage} for an element without coefficients or without length
[[nodiscard]] std::vector<Element> prepare(const moment::Currents& currents);

/// J0(sqrt(q)) for complex q: what a current spread evenly round a tube radiates, relative to one on its
/// axis, with q = (radius k across the tube)^2.
[[nodiscard]] double tube_factor(double q) noexcept;
[[nodiscard]] Complex tube_factor(Complex q) noexcept;

/// Elements that come nearer to z = 0 than their radius, or below: waves that fade away from the surface
/// would grow without bound on the part of an oblique ring that lies beyond it. Their tube is taken to
/// consist of level rings instead, with the radius that leaves the wire's capacitance as it is: an oblique
/// cylinder of level circles has elliptic sections across its axis, and charge spread evenly over the circle
/// has on these the potential of a circle of half the sum of the semi-axes. No level elements; 0 for them and
/// for others.
[[nodiscard]] double level_ring(const moment::ElementCurrent& e) noexcept;

/// Spectrum of one element for exp(j(kx x + ky y) - g z), g^2 = kx^2 + ky^2 - k^2 with the wavenumber k of
/// the element's medium; the tube's factor for that. Waves that fade away from the surface have Re g >= 0 for
/// elements above it and Re g <= 0 for those below.
[[nodiscard]] Complex spectrum(const Element& e, double kx, double ky, Complex g, Complex k) noexcept;
[[nodiscard]] SpectrumPair spectrum_pair(const Element& e, double kx, double ky, Complex g,
                                         Complex k) noexcept;

/// Does an element lie below the surface z = 0? One that ends at it belongs to the side of its other end, a
/// level one at z = 0 lies above.
/// @throws core::Error{usage} when it passes through the surface (by more than 1e-9 of its length)
[[nodiscard]] bool below_surface(const Element& e);

/// Image in the plane z = 0: currents below the surface are handled by depth, as if they lay above it.
[[nodiscard]] moment::ElementCurrent mirrored(const moment::ElementCurrent& e);

/// Ends that meet (within the larger radius) are taken together; a sum below 1e-7 of the largest current is
/// none.
[[nodiscard]] std::vector<EndCharge> end_charges(const moment::Currents& currents);

}  // namespace feldspar::fields::detail

#pragma once

#include "fields/sources_detail.hpp"

/// Short-wave form of the power that currents above and below the surface exchange through it.
namespace feldspar::fields::detail {

/// Current that passes through the surface, A, positive upwards.
struct Pierce {
  Vec3 at;
  double radius = 0.0;  ///< m
  Complex current;
};

/// Where elements above end at z = 0; currents at one place are added up. The ring is that of the elements
/// that go on below, for theirs is the work that is taken to be known (several of them: the geometric mean
/// weighted with their currents).
/// @param below  images above z = 0
[[nodiscard]] std::vector<Pierce> pierces(const moment::Currents& above, const moment::Currents& below);

/// What multiplies the orders 1, 1/lambda and 1/lambda^2 of the form: their numbers in the spectrum, or the
/// functions of two points that these stand for in space (docs/power.md).
struct Orders {
  double one = 0.0;
  double first = 0.0;
  double second = 0.0;
};

/// Symbols as in docs/power.md. Spectra and samples of currents below are those of their images above z = 0;
/// spectra with exp(-lambda |z|).
class AcrossForm {
 public:
  AcrossForm() = default;
  AcrossForm(double k0, Complex n2);

  [[nodiscard]] double across(const Spectrum& above, const Spectrum& below, const Orders& f) const noexcept;
  /// @param c  the piercing currents' spectrum
  [[nodiscard]] double pierce_above(const Spectrum& above, Complex c, const Orders& f) const noexcept {
    return pierce(above, k0_squared_, c, f);
  }
  [[nodiscard]] double pierce_below(const Spectrum& below, Complex c, const Orders& f) const noexcept {
    return pierce(below, k1_squared_, c, f);
  }

 private:
  [[nodiscard]] double pierce(const Spectrum& v, Complex k_squared, Complex c,
                              const Orders& f) const noexcept;

  double omega_mu_ = 0.0;
  double omega_eps_ = 1.0;
  double k0_squared_ = 0.0;
  Complex k1_squared_ = 0.0;
  Complex s_ = 1.0;      ///< n^2 + 1
  Complex alpha_ = 0.0;  ///< of u0 u1 / D2 = lambda (1 + alpha / lambda^2) / s
  Complex gamma_ = 0.0;  ///< of 1 / D1 = (1 + gamma / lambda^2) / 2 lambda
};

}  // namespace feldspar::fields::detail

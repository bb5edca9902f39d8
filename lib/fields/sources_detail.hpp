#pragma once

#include <memory>
#include <vector>

#include "fields/spectrum_detail.hpp"

/// Fast plane-wave spectra of many elements on rings of horizontal wavenumbers.
namespace feldspar::fields::detail {

/// Transforms with exp(j(kx x + ky y) - g z), all elements together.
struct Spectrum {
  Complex x = 0.0;  ///< of I t, A m
  Complex y = 0.0;
  Complex z = 0.0;
  Complex slope = 0.0;  ///< of dI/ds, end charges counted, A
  Complex lift = 0.0;   ///< of z dI/ds, A m
  Complex arm_x = 0.0;  ///< of z I t, A m^2
  Complex arm_y = 0.0;
  Complex arm_z = 0.0;
};

/// Elements sorted by how their spectrum can be had cheaply. Level ones on one line share a table over the
/// wavenumber along the line, which their height only scales; upright ones on one axis do not depend on
/// azimuth but for a phase; the rest is summed element by element. Tables are good to 1e-7 of the run's
/// largest value.
class Sources {
 public:
  /// @param charges  the currents' end charges
  /// @param k        wavenumber of the medium, 1/m
  /// @param highest_lambda  largest horizontal wavenumber that will be asked for, rad/m
  Sources(const moment::Currents& currents, std::vector<EndCharge> charges, Complex k, double highest_lambda);
  ~Sources();
  Sources(const Sources&) = delete;
  Sources& operator=(const Sources&) = delete;

  [[nodiscard]] double lowest() const noexcept;  ///< m

  /// What still counts where waves fade with height.
  struct Alive {
    std::vector<int> level;
    std::vector<int> upright;
    std::vector<int> slanted;
    std::vector<int> charges;
    Vec3 low = Vec3::Constant(1e300);  ///< m, of the box that holds them; low > high when there is none
    Vec3 high = Vec3::Constant(-1e300);
  };
  /// Sources not higher than `height`, m.
  [[nodiscard]] Alive up_to(double height) const;
  /// Indices of their elements in the currents.
  [[nodiscard]] std::vector<int> elements(const Alive& alive) const;

  /// Horizontal distance within the sources alive, m, an upper bound.
  [[nodiscard]] static double separation(const Alive& a) noexcept;
  [[nodiscard]] static double separation(const Alive& a, const Alive& b) noexcept;

  /// One ring: lambda and g fixed.
  class Ring {
   public:
    Ring(const Sources& sources, const Alive& alive, double lambda, Complex g);
    /// @param c, s  cosine and sine of the azimuth
    [[nodiscard]] Spectrum at(double c, double s) const;

   private:
    const Sources& sources_;
    const Alive& alive_;
    double lambda_;
    Complex g_;
    Complex k_;  ///< the wavenumber for which these waves obey the wave equation: for the tubes
    std::vector<Complex> level_factor_;
    std::vector<SpectrumPair> upright_;
  };

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace feldspar::fields::detail

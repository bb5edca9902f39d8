#include "moment/reactions_detail.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "core/constants.hpp"
#include "kernel/ring_average.hpp"
#include "kernel/tube_average.hpp"
#include "math/quadrature.hpp"
#include "math/segments.hpp"
#include "moment/element_frame_detail.hpp"
#include "moment/local_functions_detail.hpp"

namespace feldspar::moment {

namespace {

using geometry::Vec3;
using kernel::Complex;
using kernel::Moments;

/// One side of the surface as the elements in it see each other: the direct potentials exp(-jkR)/R (charges
/// times `charge`) and factors of their images, horizontal and vertical current and charge.
struct Side {
  Complex k;
  Complex charge = 1.0;
  bool mirrors = false;
  double image_h = 0.0;
  Complex image_v = 0.0;
  Complex image_p = 0.0;
};

/// Complex numbers, real and imaginary parts apart.
struct Numbers {
  std::vector<double> re, im;
  void resize(std::size_t count) {
    re.resize(count);
    im.resize(count);
  }
  void set(std::size_t i, Complex value) {
    re[i] = value.real();
    im[i] = value.imag();
  }
};

/// a b of finite numbers, without the language's care for infinite ones.
Complex times(Complex a, Complex b) {
  return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

/// Fills blocks; owns the scratch arrays so that the loop over pairs does not allocate.
class Filler {
 public:
  Filler(const geometry::Mesh& mesh, const Surroundings& surroundings, double tolerance)
      : mesh_(mesh), around_(surroundings), tolerance_(tolerance) {
    const double k0 = surroundings.wavenumber;
    above_.k = k0;
    above_.mirrors = around_.perfect_ground || around_.soil != nullptr;
    if (around_.perfect_ground) {
      above_.image_h = -1.0;
      above_.image_v = 1.0;
      above_.image_p = -1.0;
    } else if (above_.mirrors || around_.below != nullptr) {
      const Complex n2 = around_.permittivity;
      image_ = (n2 - 1.0) / (n2 + 1.0);
      above_.image_v = 2.0 * image_;
      above_.image_p = -image_;
      below_ = {k0 * std::sqrt(n2), 1.0 / n2, true, 0.0, -2.0 * image_, image_ / n2};
    }
  }

  Moments block(const Frame& m, const Frame& n, Complex scale) {
    vector_.clear(n.order);
    scalar_.clear(n.order);
    if (m.below == n.below) {
      const Side& side = m.below ? below_ : above_;
      direct(m, n, side.k, side.charge);
      if (side.mirrors) reflected(m, n, side);
    } else {
      across(m, n);
    }
    to_currents(vector_, m.order, n.order);
    to_derivatives(scalar_, m.order, m.length, n.order, n.length);
    const double k2 = around_.wavenumber * around_.wavenumber;
    Moments result(m.order + 1, n.order + 1);
    for (int b = 0; b <= n.order; ++b)
      for (int a = 0; a <= m.order; ++a) {
        const auto at = static_cast<std::size_t>(b) * kernel::kRow + static_cast<std::size_t>(a);
        result(a, b) =
            scale * Complex(scalar_.re[at] - k2 * vector_.re[at], scalar_.im[at] - k2 * vector_.im[at]);
      }
    return result;
  }

  [[nodiscard]] std::size_t samples() const { return sampled_; }

 private:
  [[nodiscard]] bool joined(const Frame& m, const Frame& n) const {
    return mesh_.joined[static_cast<std::size_t>(m.leg) * mesh_.legs.size() +
                        static_cast<std::size_t>(n.leg)] != 0;
  }
  [[nodiscard]] bool joined_at_ground(const Frame& m, const Frame& n) const {
    return mesh_.joined_at_ground[static_cast<std::size_t>(m.leg) * mesh_.legs.size() +
                                  static_cast<std::size_t>(n.leg)] != 0;
  }
  static double mean_radius(const Frame& m, const Frame& n) {
    return std::sqrt(0.5 * (m.radius * m.radius + n.radius * n.radius));
  }

  /// Coordinates of two elements on parallel lines along m's direction, and the lines' distance.
  static kernel::ParallelPair line_up(const Frame& m, const Frame& n, double& offset) {
    const Vec3 apart = n.centre - m.centre;
    const double along = apart.dot(m.tangent);
    offset = (apart - along * m.tangent).norm();
    return {0.0, m.length, along, n.length, m.tangent.dot(n.tangent) > 0.0 ? 1 : -1, m.order, n.order};
  }
  static bool on_one_axis(const Frame& m, const Frame& n, double offset) {
    return offset < 1e-9 * (m.length + n.length) + 1e-3 * std::min(m.radius, n.radius);
  }

  /// exp(-jkR)/R, `charge` times that between charges.
  void direct(const Frame& m, const Frame& n, Complex k, Complex charge) {
    direct_.clear(n.order);
    const bool parallel = are_parallel(m, n);
    if (!parallel) cut_cells(m, n, joined(m, n) ? mean_radius(m, n) : 0.0, std::abs(k), std::abs(k));
    if (parallel && !far_apart(m, n, k))
      direct_parallel(m, n, k);
    else
      direct_by_cells(m, n, k);
    kernel::add_direct(direct_, n.order, charge, m.tangent.dot(n.tangent), scalar_, vector_);
  }

  /// Whether parallel elements are so far from each other that one tensor rule does, and that tubes on one
  /// axis are as good as any other; leaves the cell in cells_.
  bool far_apart(const Frame& m, const Frame& n, Complex k) {
    constexpr double kThin = 60.0;  // the next term of the average is (a/R)^4
    if ((m.centre - n.centre).norm() - 0.5 * (m.length + n.length) < kThin * (m.radius + n.radius))
      return false;
    cut_cells(m, n, 0.0, std::abs(k), std::abs(k));
    return cells_.size() == 1;
  }

  void direct_by_cells(const Frame& m, const Frame& n, Complex k) {
    const kernel::TubeKernel tubes(m.tangent, m.radius, n.tangent, n.radius, k);
    for (const kernel::Cell& cell : cells_) {
      const std::size_t count = prepare_cell(cell, m, n);
      values_.resize(count);
      tubes.evaluate(apart_, values_.re.data(), values_.im.data());
      add_cell(m, n, values_, direct_);
    }
  }

  void direct_parallel(const Frame& m, const Frame& n, Complex k) {
    double offset = 0.0;
    const kernel::ParallelPair pair = line_up(m, n, offset);
    const bool coaxial = on_one_axis(m, n, offset);
    sample_parallel(pair, m, n, coaxial, offset, k);
    parallel_kernel(m, n, coaxial, offset, k);
    const kernel::SampledKernel kernels[] = {{wave_.re.data(), wave_.im.data(), &direct_}};
    contraction_.add(pair, samples_, kernels);
  }

  /// wave_ at samples_: exp(-jkR)/R between elements on parallel lines.
  void parallel_kernel(const Frame& m, const Frame& n, bool coaxial, double offset, Complex k) {
    const std::size_t count = samples_.size();
    wave_.resize(count);
    if (coaxial) {
      kernel::ring_averages(samples_.u.data(), count, m.radius, n.radius, k, wave_.re.data(),
                            wave_.im.data());
      return;
    }
    const Vec3 aside = m.tangent.unitOrthogonal() * offset;
    apart_.resize(count);
    for (std::size_t i = 0; i < count; ++i) {
      const double u = samples_.u[i];
      apart_.x[i] = aside.x() - u * m.tangent.x();
      apart_.y[i] = aside.y() - u * m.tangent.y();
      apart_.z[i] = aside.z() - u * m.tangent.z();
    }
    const kernel::TubeKernel tubes(m.tangent, m.radius, n.tangent, n.radius, k);
    tubes.evaluate(apart_, wave_.re.data(), wave_.im.data());
  }

  void cut_cells(const Frame& m, const Frame& n, double softening, double k_m, double k_n) {
    kernel::skew_cells({m.start, m.end, n.start, n.end, softening, m.order, n.order, k_m, k_n}, tolerance_,
                       cells_);
  }

  void sample_parallel(const kernel::ParallelPair& pair, const Frame& m, const Frame& n, bool coaxial,
                       double offset, Complex k) {
    const bool equal = std::abs(m.radius - n.radius) < 1e-9 * m.radius;
    const double scale = coaxial ? (equal ? m.radius : std::abs(m.radius - n.radius)) : offset;
    kernel::parallel_samples(pair, {scale, coaxial && equal, std::abs(k)}, tolerance_, samples_);
    sampled_ += samples_.size();
  }

  void reflected(const Frame& m, const Frame& n_true, const Side& side) {
    const Frame n = mirrored(n_true);
    const bool level = m.horizontal && n.horizontal && are_parallel(m, n);
    const bool upright = m.vertical && n.vertical;
    if (level || upright)
      reflected_parallel(m, n, upright, side);
    else
      reflected_skew(m, n, side);
  }

  /// Both horizontal and parallel (z + z' constant) or both vertical (rho constant): one variable is enough.
  void reflected_parallel(const Frame& m, const Frame& n, bool upright, const Side& side) {
    double offset = 0.0;
    const kernel::ParallelPair pair = line_up(m, n, offset);
    const bool coaxial = upright && on_one_axis(m, n, offset);
    sample_parallel(pair, m, n, coaxial, offset, side.k);
    const std::size_t count = samples_.size();
    const double sum_z = std::abs(m.centre.z() - n.centre.z());  // n is the mirror image: |z| + |z'|
    const double level_rho = upright ? offset : std::sqrt(std::max(0.0, offset * offset - sum_z * sum_z));
    // cos between the true tangents: horizontal parts are alike, vertical parts opposite in the mirror
    const double cosine = upright ? -m.tangent.dot(n.tangent) : m.tangent.dot(n.tangent);
    rho_.resize(count);
    height_.resize(count);
    for (std::size_t i = 0; i < count; ++i) {
      const double u = samples_.u[i];
      rho_[i] = upright ? level_rho : std::hypot(u, level_rho);
      height_[i] = upright ? std::abs(u) : sum_z;
    }
    look_up(count, m.below);
    parallel_kernel(m, n, coaxial, offset, side.k);
    values_.resize(count);
    values2_.resize(count);
    for (std::size_t i = 0; i < count; ++i) {
      const Complex g(wave_.re[i], wave_.im[i]);
      const media::ReflectedRest& rest = rest_[i];
      values_.set(i, cosine * (upright ? times(side.image_v, g) + rest.a_v : side.image_h * g + rest.a_h));
      values2_.set(i, times(side.image_p, g) + rest.p);
    }
    const kernel::SampledKernel kernels[] = {{values_.re.data(), values_.im.data(), &vector_},
                                             {values2_.re.data(), values2_.im.data(), &scalar_}};
    contraction_.add(pair, samples_, kernels);
  }

  /// General position; n is the mirror image of the source.
  void reflected_skew(const Frame& m, const Frame& n, const Side& side) {
    const double soft = joined_at_ground(m, n) ? mean_radius(m, n) : 0.0;
    cut_cells(m, n, soft, std::abs(side.k), std::abs(side.k));
    const kernel::TubeKernel tubes(m.tangent, m.radius, n.tangent, n.radius, side.k);
    const double vertical = -m.tangent.z() * n.tangent.z();
    const double level = m.tangent.x() * n.tangent.x() + m.tangent.y() * n.tangent.y();
    for (const kernel::Cell& cell : cells_) {
      const std::size_t count = prepare_distances(cell, m, n);
      for (std::size_t at = 0; at < count; ++at) height_[at] = std::abs(apart_.z[at]);
      look_up(count, m.below);
      wave_.resize(count);
      values_.resize(count);
      values2_.resize(count);
      tubes.evaluate(apart_, wave_.re.data(), wave_.im.data());
      const bool flat = m.horizontal && n.horizontal;  // nothing vertical has a share
      for (std::size_t at = 0; at < count; ++at) {
        const Complex g(wave_.re[at], wave_.im[at]);
        const media::ReflectedRest& rest = rest_[at];
        Complex value = level * (side.image_h * g + rest.a_h);
        // the true source tangent has the opposite z
        if (!flat)
          value += vertical * (times(side.image_v, g) + rest.a_v) +
                   mixed(m.tangent, -n.tangent.z(), n.tangent, at, rest.a_m);
        values_.set(at, value);
        values2_.set(at, times(side.image_p, g) + rest.p);
      }
      add_cell(m, n, values_, vector_);
      add_cell(m, n, values2_, scalar_);
    }
  }

  /// On different sides of the surface: the static part as a direct wave of wavenumber 0, then the rest,
  /// which is finite where the wires meet.
  void across(const Frame& m, const Frame& n) {
    const Complex charge = 2.0 / (around_.permittivity + 1.0);
    direct(m, n, 0.0, charge);
    constexpr double kFlat = 0.02;  // times 1 / |k1|: within it the rest varies little
    cut_cells(m, n, std::hypot(mean_radius(m, n), kFlat / std::abs(below_.k)),
              std::abs((m.below ? below_ : above_).k), std::abs((n.below ? below_ : above_).k));
    const double cosine = m.tangent.dot(n.tangent);
    for (const kernel::Cell& cell : cells_) {
      const std::size_t count = prepare_distances(cell, m, n);
      depth_.resize(count);
      for (std::size_t j = 0, at = 0; j < rows_n_.size(); ++j)
        for (std::size_t i = 0; i < rows_m_.size(); ++i, ++at) {
          height_[at] = m.below ? points_n_[j].z() : points_m_[i].z();
          depth_[at] = m.below ? -points_m_[i].z() : -points_n_[j].z();
        }
      rest_across_.resize(count);
      around_.across->evaluate({rho_.data(), count}, {height_.data(), count}, {depth_.data(), count},
                               {rest_across_.data(), count});
      values_.resize(count);
      values2_.resize(count);
      for (std::size_t at = 0; at < count; ++at) {
        const media::AcrossRest& rest = rest_across_[at];
        values_.set(at, cosine * rest.a + mixed(m.tangent, n.tangent.z(), n.tangent, at, rest.a_m));
        values2_.set(at, charge * rest.p);
      }
      add_cell(m, n, values_, vector_);
      add_cell(m, n, values2_, scalar_);
    }
  }

  /// (t'_z t.rho - t_z t'.rho) A_m at point `at` of the cell. A_m / rho, so that the horizontal unit vector
  /// needs no division at rho = 0.
  [[nodiscard]] Complex mixed(const Vec3& t_m, double source_z, const Vec3& t_n, std::size_t at,
                              Complex rest) const {
    const double x = apart_.x[at];
    const double y = apart_.y[at];
    const double z = apart_.z[at];
    const double r = std::sqrt(x * x + y * y + z * z);
    const Complex over_rho =
        image_ / (r * (r + std::abs(z))) + (rho_[at] > 0.0 ? rest / rho_[at] : Complex{});
    const double along_m = t_m.x() * x + t_m.y() * y;
    const double along_n = t_n.x() * x + t_n.y() * y;
    return (source_z * along_m - t_m.z() * along_n) * over_rho;
  }

  /// apart_ and rho_ between all points of a cell, those of m fastest; height_ gets the size.
  std::size_t prepare_distances(const kernel::Cell& cell, const Frame& m, const Frame& n) {
    const std::size_t count = prepare_cell(cell, m, n);
    rho_.resize(count);
    height_.resize(count);
    for (std::size_t at = 0; at < count; ++at)
      rho_[at] = std::sqrt(apart_.x[at] * apart_.x[at] + apart_.y[at] * apart_.y[at]);
    return count;
  }

  /// rest_ at rho_ and height_; P as it enters Z.
  void look_up(std::size_t count, bool below) {
    if (around_.perfect_ground) {
      rest_.assign(count, {});
      return;
    }
    rest_.resize(count);
    const std::span<const double> rho(rho_.data(), count);
    if (below) {
      around_.below->evaluate(rho, {height_.data(), count}, rest_);
      for (media::ReflectedRest& rest : rest_) rest.p *= below_.charge;
      return;
    }
    // the rest has a limit at the surface; tables end a little above it
    for (std::size_t i = 0; i < count; ++i) height_[i] = std::max(height_[i], around_.least_height_sum);
    if (around_.plane_wave) {
      for (std::size_t i = 0; i < count; ++i)
        rest_[i] = media::plane_wave_rest(around_.wavenumber, around_.permittivity, rho_[i], height_[i]);
    } else {
      around_.soil->evaluate(rho, {height_.data(), count}, rest_);
    }
  }

  /// Points of the cell's Gauss rules on both elements, weighted Legendre values there, and all distances in
  /// apart_, points of m fastest. @return how many
  std::size_t prepare_cell(const kernel::Cell& cell, const Frame& m, const Frame& n) {
    prepare_side(m, cell.xi0, cell.xi1, cell.points_m, points_m_);
    prepare_side(n, cell.eta0, cell.eta1, cell.points_n, points_n_);
    rows_m_.set_gauss(cell.points_m, cell.xi0, cell.xi1, m.order);
    rows_n_.set_gauss(cell.points_n, cell.eta0, cell.eta1, n.order);
    const std::size_t count = points_m_.size() * points_n_.size();
    apart_.resize(count);
    std::size_t at = 0;
    for (const Vec3& q : points_n_)
      for (const Vec3& p : points_m_) {
        apart_.x[at] = p.x() - q.x();
        apart_.y[at] = p.y() - q.y();
        apart_.z[at++] = p.z() - q.z();
      }
    sampled_ += count;
    return count;
  }

  static void prepare_side(const Frame& f, double x0, double x1, int count, std::vector<Vec3>& points) {
    const math::Rule& rule = math::gauss_legendre(count);
    const double half = 0.5 * (x1 - x0);
    points.resize(rule.nodes.size());
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const double x = x0 + half * (1.0 + rule.nodes[i]);
      points[i] = f.centre + (0.5 * f.length * x) * f.tangent;
    }
  }

  void add_cell(const Frame& m, const Frame& n, const Numbers& values, kernel::MomentSums& sums) {
    kernel::add_tensor(rows_m_, m.order, rows_n_, n.order, values.re.data(), values.im.data(),
                       0.25 * m.length * n.length, sums);
  }

  const geometry::Mesh& mesh_;
  const Surroundings& around_;
  double tolerance_;
  Side above_, below_;
  Complex image_ = 0.0;
  std::size_t sampled_ = 0;
  kernel::MomentSums vector_, scalar_, direct_;
  kernel::LegendreRows rows_m_, rows_n_;
  kernel::ParallelContraction contraction_;
  std::vector<Vec3> points_m_, points_n_;
  kernel::Separations apart_;
  kernel::ParallelSamples samples_;
  std::vector<kernel::Cell> cells_;
  Numbers wave_, values_, values2_;
  std::vector<double> rho_, height_, depth_;
  std::vector<media::ReflectedRest> rest_;
  std::vector<media::AcrossRest> rest_across_;
};

}  // namespace

struct Reactions::Impl {
  Impl(const geometry::Mesh& mesh, const Surroundings& around, double tolerance)
      : filler(mesh, around, tolerance),
        // 1/(4 pi j w eps0) with w = k0 c
        scale(Complex{0.0, -1.0} /
              (4.0 * core::kPi * around.wavenumber * core::kSpeedOfLight * core::kVacuumPermittivity)) {
    frames.reserve(mesh.elements.size());
    for (const geometry::Element& element : mesh.elements)
      frames.push_back(make_frame(element, around.below != nullptr));
  }

  std::vector<Frame> frames;
  Filler filler;
  Complex scale;
};

Reactions::Reactions(const geometry::Mesh& mesh, const Surroundings& surroundings, double tolerance)
    : impl_(std::make_unique<Impl>(mesh, surroundings, tolerance)) {}
Reactions::~Reactions() = default;

Moments Reactions::block(std::size_t m, std::size_t n) {
  return impl_->filler.block(impl_->frames[m], impl_->frames[n], impl_->scale);
}

std::size_t Reactions::samples() const {
  return impl_->filler.samples();
}

}  // namespace feldspar::moment

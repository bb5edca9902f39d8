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

namespace feldspar::moment {

namespace {

using geometry::Vec3;
using kernel::Complex;
using kernel::Moments;

constexpr double kParallel = 1e-10;  // sine of an angle below which lines count as parallel

/// An element with what every pair needs of it.
struct Frame {
  Vec3 start, end, centre, tangent;
  double length = 0.0;
  double radius = 0.0;
  int order = 1;
  int leg = 0;
  bool horizontal = false;
  bool vertical = false;
  bool below = false;
  LocalMatrix current;  // local functions -> Legendre
  LocalMatrix derivative;
};

Frame make_frame(const geometry::Element& element, bool over_soil) {
  Frame f;
  f.start = element.start;
  f.end = element.end;
  f.centre = 0.5 * (f.start + f.end);
  f.length = (f.end - f.start).norm();
  f.tangent = (f.end - f.start) / f.length;
  f.radius = element.radius;
  f.order = element.order;
  f.leg = element.leg;
  f.horizontal = std::abs(f.tangent.z()) < kParallel;
  f.vertical = std::hypot(f.tangent.x(), f.tangent.y()) < kParallel;
  f.below = over_soil && f.centre.z() < 0.0;
  f.current = current_coefficients(f.order);
  f.derivative = derivative_coefficients(f.order, f.length);
  return f;
}

Frame mirrored(const Frame& f) {
  Frame m = f;
  m.start.z() = -f.start.z();
  m.end.z() = -f.end.z();
  m.centre.z() = -f.centre.z();
  m.tangent.z() = -f.tangent.z();
  return m;
}

bool are_parallel(const Frame& m, const Frame& n) {
  return m.tangent.cross(n.tangent).norm() < kParallel;
}

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

  Moments block(const Frame& m, const Frame& n) {
    vector_.setZero(m.order + 1, n.order + 1);
    scalar_.setZero(m.order + 1, n.order + 1);
    if (m.below == n.below) {
      const Side& side = m.below ? below_ : above_;
      direct(m, n, side.k, side.charge);
      if (side.mirrors) reflected(m, n, side);
    } else {
      across(m, n);
    }
    const double k0 = around_.wavenumber;
    // charges use one degree less
    return m.current * (-k0 * k0 * vector_) * n.current.transpose() +
           m.derivative * scalar_.topLeftCorner(m.order, n.order) * n.derivative.transpose();
  }

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

  /// exp(-jkR)/R, `charge` times that between charges.
  void direct(const Frame& m, const Frame& n, Complex k, Complex charge) {
    if (are_parallel(m, n)) {
      double offset = 0.0;
      const kernel::ParallelPair pair = line_up(m, n, offset);
      const bool coaxial = offset < 1e-9 * (m.length + n.length) + 1e-3 * std::min(m.radius, n.radius);
      sample_parallel(pair, m, n, coaxial, offset, k);
      values_.resize(samples_.size());
      const kernel::TubeKernel tubes(m.tangent, m.radius, n.tangent, n.radius, k,
                                     math::closest_points(m.start, m.end, n.start, n.end).distance);
      const Vec3 across = m.tangent.unitOrthogonal() * offset;
      for (std::size_t i = 0; i < samples_.size(); ++i)
        values_[i] = coaxial ? kernel::ring_average(samples_[i].u, m.radius, n.radius, k)
                             : tubes(across - samples_[i].u * m.tangent);
      direct_.setZero(m.order + 1, n.order + 1);
      kernel::add_parallel_moments(pair, samples_, values_.data(), direct_);
    } else {
      const double soft = joined(m, n) ? mean_radius(m, n) : 0.0;
      direct_.setZero(m.order + 1, n.order + 1);
      cut_cells(m, n, soft, std::abs(k), std::abs(k));
      const kernel::TubeKernel tubes(m.tangent, m.radius, n.tangent, n.radius, k,
                                     math::closest_points(m.start, m.end, n.start, n.end).distance);
      for (const kernel::Cell& cell : cells_) {
        prepare_cell(cell, m, n);
        values_.resize(points_m_.size() * points_n_.size());
        for (std::size_t j = 0; j < points_n_.size(); ++j)
          for (std::size_t i = 0; i < points_m_.size(); ++i)
            values_[j * points_m_.size() + i] = tubes(points_m_[i] - points_n_[j]);
        add_cell(values_.data(), direct_);
      }
    }
    scalar_ += charge * direct_;
    vector_ += m.tangent.dot(n.tangent) * direct_;
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
    const bool coaxial =
        upright && offset < 1e-9 * (m.length + n.length) + 1e-3 * std::min(m.radius, n.radius);
    sample_parallel(pair, m, n, coaxial, offset, side.k);
    const std::size_t count = samples_.size();
    const double sum_z = std::abs(m.centre.z() - n.centre.z());  // n is the mirror image: |z| + |z'|
    const double level_rho = upright ? offset : std::sqrt(std::max(0.0, offset * offset - sum_z * sum_z));
    // cos between the true tangents: horizontal parts are alike, vertical parts opposite in the mirror
    const double cosine = upright ? -m.tangent.dot(n.tangent) : m.tangent.dot(n.tangent);
    values_.resize(count);
    values2_.resize(count);
    rho_.resize(count);
    height_.resize(count);
    for (std::size_t i = 0; i < count; ++i) {
      const double u = samples_[i].u;
      rho_[i] = upright ? level_rho : std::hypot(u, level_rho);
      height_[i] = upright ? std::abs(u) : sum_z;
    }
    look_up(count, m.below);
    const kernel::TubeKernel tubes(m.tangent, m.radius, n.tangent, n.radius, side.k,
                                   math::closest_points(m.start, m.end, n.start, n.end).distance);
    const Vec3 shift = m.tangent.unitOrthogonal() * offset;
    for (std::size_t i = 0; i < count; ++i) {
      const double u = samples_[i].u;
      const Complex g =
          coaxial ? kernel::ring_average(u, m.radius, n.radius, side.k) : tubes(shift - u * m.tangent);
      const media::ReflectedRest& rest = rest_[i];
      values_[i] = cosine * (upright ? side.image_v * g + rest.a_v : side.image_h * g + rest.a_h);
      values2_[i] = side.image_p * g + rest.p;
    }
    kernel::add_parallel_moments(pair, samples_, values_.data(), vector_);
    kernel::add_parallel_moments(pair, samples_, values2_.data(), scalar_);
  }

  /// General position; n is the mirror image of the source.
  void reflected_skew(const Frame& m, const Frame& n, const Side& side) {
    const double soft = joined_at_ground(m, n) ? mean_radius(m, n) : 0.0;
    cut_cells(m, n, soft, std::abs(side.k), std::abs(side.k));
    const kernel::TubeKernel tubes(m.tangent, m.radius, n.tangent, n.radius, side.k,
                                   math::closest_points(m.start, m.end, n.start, n.end).distance);
    const double vertical = -m.tangent.z() * n.tangent.z();
    const double level = m.tangent.x() * n.tangent.x() + m.tangent.y() * n.tangent.y();
    for (const kernel::Cell& cell : cells_) {
      const std::size_t count = prepare_distances(cell, m, n);
      for (std::size_t at = 0; at < count; ++at) height_[at] = std::abs(apart_[at].z());
      look_up(count, m.below);
      values_.resize(count);
      values2_.resize(count);
      for (std::size_t at = 0; at < count; ++at) {
        const Complex g = tubes(apart_[at]);
        const media::ReflectedRest& rest = rest_[at];
        // the true source tangent has the opposite z
        values_[at] = level * (side.image_h * g + rest.a_h) + vertical * (side.image_v * g + rest.a_v) +
                      mixed(m.tangent, -n.tangent.z(), n.tangent, at, rest.a_m);
        values2_[at] = side.image_p * g + rest.p;
      }
      add_cell(values_.data(), vector_);
      add_cell(values2_.data(), scalar_);
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
      for (std::size_t j = 0, at = 0; j < points_n_.size(); ++j)
        for (std::size_t i = 0; i < points_m_.size(); ++i, ++at) {
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
        values_[at] = cosine * rest.a + mixed(m.tangent, n.tangent.z(), n.tangent, at, rest.a_m);
        values2_[at] = charge * rest.p;
      }
      add_cell(values_.data(), vector_);
      add_cell(values2_.data(), scalar_);
    }
  }

  /// (t'_z t.rho - t_z t'.rho) A_m at point `at` of the cell. A_m / rho, so that the horizontal unit vector
  /// needs no division at rho = 0.
  [[nodiscard]] Complex mixed(const Vec3& t_m, double source_z, const Vec3& t_n, std::size_t at,
                              Complex rest) const {
    const Vec3& d = apart_[at];
    const double r = d.norm();
    const Complex over_rho =
        image_ / (r * (r + std::abs(d.z()))) + (rho_[at] > 0.0 ? rest / rho_[at] : Complex{});
    const double along_m = t_m.x() * d.x() + t_m.y() * d.y();
    const double along_n = t_n.x() * d.x() + t_n.y() * d.y();
    return (source_z * along_m - t_m.z() * along_n) * over_rho;
  }

  /// apart_ and rho_ between all points of a cell, those of m fastest; height_ gets the size.
  std::size_t prepare_distances(const kernel::Cell& cell, const Frame& m, const Frame& n) {
    prepare_cell(cell, m, n);
    const std::size_t count = points_m_.size() * points_n_.size();
    apart_.resize(count);
    rho_.resize(count);
    height_.resize(count);
    for (std::size_t j = 0, at = 0; j < points_n_.size(); ++j)
      for (std::size_t i = 0; i < points_m_.size(); ++i, ++at) {
        apart_[at] = points_m_[i] - points_n_[j];
        rho_[at] = std::hypot(apart_[at].x(), apart_[at].y());
      }
    return count;
  }

  /// rest_ at rho_ and height_; P as it enters Z.
  void look_up(std::size_t count, bool below) {
    rest_.assign(count, {});
    if (around_.perfect_ground) return;
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

  /// Points of the cell's Gauss rules on both elements and the weighted Legendre values there.
  void prepare_cell(const kernel::Cell& cell, const Frame& m, const Frame& n) {
    prepare_side(m, cell.xi0, cell.xi1, cell.points_m, points_m_, weighted_m_);
    prepare_side(n, cell.eta0, cell.eta1, cell.points_n, points_n_, weighted_n_);
  }

  static void prepare_side(const Frame& f, double x0, double x1, int count, std::vector<Vec3>& points,
                           Eigen::MatrixXd& weighted) {
    const math::Rule& rule = math::gauss_legendre(count);
    const double half = 0.5 * (x1 - x0);
    points.resize(rule.nodes.size());
    weighted.resize(f.order + 1, count);
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const double x = x0 + half * (1.0 + rule.nodes[i]);
      points[i] = f.centre + (0.5 * f.length * x) * f.tangent;
      double* column = weighted.data() + static_cast<Eigen::Index>(i) * (f.order + 1);
      math::legendre(x, f.order, column);
      const double w = half * rule.weights[i] * 0.5 * f.length;
      for (int a = 0; a <= f.order; ++a) column[a] *= w;
    }
  }

  void add_cell(const Complex* values, Moments& moments) {
    const Eigen::Map<const Eigen::MatrixXcd> g(values, static_cast<Eigen::Index>(points_m_.size()),
                                               static_cast<Eigen::Index>(points_n_.size()));
    half_.noalias() = weighted_m_ * g;
    moments.noalias() += half_ * weighted_n_.transpose();
  }

  const geometry::Mesh& mesh_;
  const Surroundings& around_;
  double tolerance_;
  Side above_, below_;
  Complex image_ = 0.0;
  Moments vector_, scalar_, direct_;
  Eigen::MatrixXcd half_;
  Eigen::MatrixXd weighted_m_, weighted_n_;
  std::vector<Vec3> points_m_, points_n_, apart_;
  std::vector<kernel::Sample> samples_;
  std::vector<kernel::Cell> cells_;
  std::vector<Complex> values_, values2_;
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
  return impl_->scale * impl_->filler.block(impl_->frames[m], impl_->frames[n]);
}

}  // namespace feldspar::moment

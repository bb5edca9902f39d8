#include "moment/reactions_detail.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <tuple>
#include <vector>

#include "core/constants.hpp"
#include "kernel/ring_average.hpp"
#include "kernel/tube_average.hpp"
#include "math/quadrature.hpp"
#include "math/segments.hpp"
#include "moment/element_frame_detail.hpp"
#include "moment/image_samples_detail.hpp"
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

/// Room for `count` at least: what shrinks and grows again would be cleared each time.
template <class Array>
void provide(Array& array, std::size_t count) {
  if (array.size() < count) array.resize(count);
}

/// Complex numbers, real and imaginary parts apart.
struct Numbers {
  std::vector<double> re, im;
  void provide(std::size_t count) {
    moment::provide(re, count);
    moment::provide(im, count);
  }
  void zero(std::size_t count) {
    provide(count);
    std::fill_n(re.begin(), count, 0.0);
    std::fill_n(im.begin(), count, 0.0);
  }
  void set(std::size_t i, Complex value) {
    re[i] = value.real();
    im[i] = value.imag();
  }
  /// Adds `factor` times `count` of the other.
  void add(double factor, const Numbers& other, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
      re[i] += factor * other.re[i];
      im[i] += factor * other.im[i];
    }
  }
};

/// A cell of the pair of an element and one of several sources.
struct Part {
  kernel::Cell cell;
  std::size_t source = 0;
};

bool same_cell(const Part& a, const Part& b) {
  const kernel::Cell& p = a.cell;
  const kernel::Cell& q = b.cell;
  return p.xi0 == q.xi0 && p.xi1 == q.xi1 && p.eta0 == q.eta0 && p.eta1 == q.eta1 &&
         p.points_m == q.points_m && p.points_n == q.points_n;
}

bool cell_order(const Part& a, const Part& b) {
  const auto key = [](const Part& part) {
    const kernel::Cell& c = part.cell;
    return std::tuple(c.xi0, c.xi1, c.eta0, c.eta1, c.points_m, c.points_n, part.source);
  };
  return key(a) < key(b);
}

/// a b of finite numbers, without the language's care for infinite ones.
Complex times(Complex a, Complex b) {
  return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

/// Fills blocks; owns the scratch arrays so that the loop over pairs does not allocate.
///
/// An element may have several sources that differ by a turn about a vertical axis. Their cells with the same
/// rules share the points on the element, so that their kernels are summed before one contraction.
class Filler {
 public:
  Filler(const geometry::Mesh& mesh, const Surroundings& surroundings, double tolerance)
      : mesh_(mesh),
        around_(surroundings),
        counts_(tolerance),
        // 1/(4 pi j w eps0) with w = k0 c
        scale_(Complex{0.0, -1.0} /
               (4.0 * core::kPi * around_.wavenumber * core::kSpeedOfLight * core::kVacuumPermittivity)) {
    frames_.reserve(mesh.elements.size());
    for (const geometry::Element& element : mesh.elements)
      frames_.push_back(make_frame(element, around_.below != nullptr));
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

  Moments block(std::size_t element, std::span<const std::size_t> sources) {
    const Frame& m = frames_[element];
    const Frame& n = frames_[sources.front()];
    vector_.clear(n.order);
    scalar_.clear(n.order);
    sources_.clear();
    for (const std::size_t source : sources) sources_.push_back(&frames_[source]);
    if (m.below == n.below) {
      const Side& side = m.below ? below_ : above_;
      direct(m, sources_, side.k, side.charge);
      if (side.mirrors) reflected(m, side);
    } else {
      for (const Frame*& source : sources_) across(m, source);
    }
    to_currents(vector_, m.order, n.order);
    to_derivatives(scalar_, m.order, m.length, n.order, n.length);
    const double k2 = around_.wavenumber * around_.wavenumber;
    Moments result(m.order + 1, n.order + 1);
    for (int b = 0; b <= n.order; ++b)
      for (int a = 0; a <= m.order; ++a) {
        const auto at = static_cast<std::size_t>(b) * kernel::kRow + static_cast<std::size_t>(a);
        result(a, b) =
            times(scale_, {scalar_.re[at] - k2 * vector_.re[at], scalar_.im[at] - k2 * vector_.im[at]});
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
  void direct(const Frame& m, std::span<const Frame* const> sources, Complex k, Complex charge) {
    start_parts();
    for (const Frame* n : sources) {
      const bool parallel = are_parallel(m, *n);
      if (!parallel) cut_cells(m, *n, joined(m, *n) ? mean_radius(m, *n) : 0.0, std::abs(k), std::abs(k));
      if (parallel && !far_apart(m, *n, k))
        direct_parallel(m, *n, k, charge);
      else
        take_cells(m, *n, k);
    }
    for_equal_cells([&](std::span<const Part> parts) { direct_by_cells(m, parts, charge); });
  }

  void start_parts() {
    parts_.clear();
    taken_.clear();
    tubes_.clear();
  }

  /// cells_ as cells between m and n.
  void take_cells(const Frame& m, const Frame& n, Complex k) {
    for (const kernel::Cell& cell : cells_) parts_.push_back({cell, taken_.size()});
    taken_.push_back(&n);
    tubes_.emplace_back(m.tangent, m.radius, n.tangent, n.radius, k);
  }

  template <class Use>
  void for_equal_cells(const Use& use) {
    const auto same = [&](const Part& part) { return same_cell(part, parts_.front()); };
    if (taken_.size() > 1 && !std::all_of(parts_.begin(), parts_.end(), same))
      std::sort(parts_.begin(), parts_.end(), cell_order);
    for (std::size_t from = 0; from < parts_.size();) {
      std::size_t to = from + 1;
      while (to < parts_.size() && same_cell(parts_[from], parts_[to])) ++to;
      use(std::span<const Part>(parts_).subspan(from, to - from));
      from = to;
    }
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

  void direct_by_cells(const Frame& m, std::span<const Part> parts, Complex charge) {
    const Frame& first = *taken_[parts.front().source];
    const std::size_t count = prepare_rules(parts.front().cell, m, first);
    provide(apart_, count + kernel::kSpare);
    wave_.provide(count);
    values_.zero(count);
    values2_.zero(count);
    double cosine = 0.0;
    for (const Part& part : parts) {
      const Frame& n = *taken_[part.source];
      separate(part.cell, n, 0);
      tubes_[part.source].evaluate(apart_, 0, count, wave_.re.data(), wave_.im.data());
      cosine = m.tangent.dot(n.tangent);
      if (parts.size() == 1) break;
      values_.add(cosine, wave_, count);
      values2_.add(1.0, wave_, count);
    }
    direct_.clear(first.order);
    if (parts.size() == 1) {
      add_cell(m, first, wave_, direct_);
    } else {
      add_cell(m, first, values_, vector_);
      add_cell(m, first, values2_, direct_);
      cosine = 0.0;
    }
    kernel::add_direct(direct_, first.order, charge, cosine, scalar_, vector_);
  }

  void direct_parallel(const Frame& m, const Frame& n, Complex k, Complex charge) {
    direct_.clear(n.order);
    double offset = 0.0;
    const kernel::ParallelPair pair = line_up(m, n, offset);
    const bool coaxial = on_one_axis(m, n, offset);
    sample_parallel(pair, m, n, coaxial, offset, k);
    parallel_kernel(m, n, coaxial, offset, k);
    const kernel::SampledKernel kernels[] = {{wave_.re.data(), wave_.im.data(), &direct_}};
    contraction_.add(pair, samples_, kernels);
    kernel::add_direct(direct_, n.order, charge, m.tangent.dot(n.tangent), scalar_, vector_);
  }

  /// wave_ at samples_: exp(-jkR)/R between elements on parallel lines.
  void parallel_kernel(const Frame& m, const Frame& n, bool coaxial, double offset, Complex k) {
    const std::size_t count = samples_.size();
    wave_.provide(count);
    if (coaxial) {
      kernel::ring_averages(samples_.u.data(), count, m.radius, n.radius, k, wave_.re.data(),
                            wave_.im.data());
      return;
    }
    const Vec3 aside = m.tangent.unitOrthogonal() * offset;
    provide(apart_, count + kernel::kSpare);
    for (std::size_t i = 0; i < count; ++i) {
      const double u = samples_.u[i];
      apart_.x[i] = aside.x() - u * m.tangent.x();
      apart_.y[i] = aside.y() - u * m.tangent.y();
      apart_.z[i] = aside.z() - u * m.tangent.z();
    }
    kernel::TubeKernel tubes(m.tangent, m.radius, n.tangent, n.radius, k);
    tubes.evaluate(apart_, 0, count, wave_.re.data(), wave_.im.data());
  }

  void cut_cells(const Frame& m, const Frame& n, double softening, double k_m, double k_n) {
    kernel::skew_cells({m.start, m.end, n.start, n.end, softening, m.order, n.order, k_m, k_n}, counts_,
                       cells_);
  }

  void sample_parallel(const kernel::ParallelPair& pair, const Frame& m, const Frame& n, bool coaxial,
                       double offset, Complex k) {
    const bool equal = std::abs(m.radius - n.radius) < 1e-9 * m.radius;
    const double scale = coaxial ? (equal ? m.radius : std::abs(m.radius - n.radius)) : offset;
    kernel::parallel_samples(pair, {scale, coaxial && equal, std::abs(k)}, counts_, samples_);
    sampled_ += samples_.size();
  }

  /// What the surface reflects of all sources_.
  void reflected(const Frame& m, const Side& side) {
    start_parts();
    images_.clear();
    for (const Frame* n : sources_) images_.push_back(mirrored(*n));
    for (const Frame& n : images_) {
      const bool level = m.horizontal && n.horizontal && are_parallel(m, n);
      const bool upright = m.vertical && n.vertical;
      if (level || upright) {
        reflected_parallel(m, n, upright, side);
        continue;
      }
      const double soft = joined_at_ground(m, n) ? mean_radius(m, n) : 0.0;
      cut_cells(m, n, soft, std::abs(side.k), std::abs(side.k));
      take_cells(m, n, side.k);
    }
    for_equal_cells([&](std::span<const Part> parts) { reflected_by_cells(m, parts, side); });
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
    provide(rho_, count);
    provide(height_, count);
    for (std::size_t i = 0; i < count; ++i) {
      const double u = samples_.u[i];
      rho_[i] = upright ? level_rho : std::hypot(u, level_rho);
      height_[i] = upright ? std::abs(u) : sum_z;
    }
    look_up(count, m.below);
    parallel_kernel(m, n, coaxial, offset, side.k);
    values_.provide(count);
    values2_.provide(count);
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

  /// General position; what is taken are mirror images of the sources.
  void reflected_by_cells(const Frame& m, std::span<const Part> parts, const Side& side) {
    constexpr std::size_t kTogether =
        2048;  // samples whose ground is looked up in one call, at least one part
    const Frame& first = *taken_[parts.front().source];
    const std::size_t count = prepare_rules(parts.front().cell, m, first);
    const std::size_t most = std::max<std::size_t>(1, kTogether / count);
    values_.zero(count);
    values2_.zero(count);
    wave_.provide(count);
    for (std::size_t from = 0; from < parts.size(); from += most) {
      const std::span<const Part> some = parts.subspan(from, std::min(most, parts.size() - from));
      prepare_distances(some, count);
      look_up(some.size() * count, m.below);
      for (std::size_t i = 0; i < some.size(); ++i) add_reflected(m, some[i].source, i * count, count, side);
    }
    add_cell(m, first, values_, vector_);
    add_cell(m, first, values2_, scalar_);
  }

  /// Adds `count` samples from `at` on, those of one image, to values_ and values2_.
  void add_reflected(const Frame& m, std::size_t source, std::size_t at, std::size_t count,
                     const Side& side) {
    const Frame& n = *taken_[source];
    tubes_[source].evaluate(apart_, at, count, wave_.re.data(), wave_.im.data());
    add_image_samples({side.image_h, side.image_v, side.image_p, image_}, m, n,
                      {&apart_.x[at], &apart_.y[at], &apart_.z[at], &rho_[at], wave_.re.data(),
                       wave_.im.data(), &rest_[at], count},
                      {values_.re.data(), values_.im.data(), values2_.re.data(), values2_.im.data()});
  }

  /// On different sides of the surface: the static part as a direct wave of wavenumber 0, then the rest,
  /// which is finite where the wires meet.
  void across(const Frame& m, const Frame*& source) {
    const Frame& n = *source;
    const Complex charge = 2.0 / (around_.permittivity + 1.0);
    direct(m, {&source, 1}, 0.0, charge);
    constexpr double kFlat = 0.02;  // times 1 / |k1|: within it the rest varies little
    cut_cells(m, n, std::hypot(mean_radius(m, n), kFlat / std::abs(below_.k)),
              std::abs((m.below ? below_ : above_).k), std::abs((n.below ? below_ : above_).k));
    const double cosine = m.tangent.dot(n.tangent);
    start_parts();
    take_cells(m, n, 0.0);
    for (const Part& part : parts_) {
      const std::size_t count = prepare_rules(part.cell, m, n);
      prepare_distances({&part, 1}, count);
      provide(depth_, count);
      for (std::size_t j = 0, at = 0; j < rows_n_.size(); ++j)
        for (std::size_t i = 0; i < rows_m_.size(); ++i, ++at) {
          height_[at] = m.below ? points_n_.z[j] : points_m_.z[i];
          depth_[at] = m.below ? -points_m_.z[i] : -points_n_.z[j];
        }
      provide(rest_across_, count);
      around_.across->evaluate({rho_.data(), count}, {height_.data(), count}, {depth_.data(), count},
                               {rest_across_.data(), count});
      values_.provide(count);
      values2_.provide(count);
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

  /// apart_, rho_ and height_ (|z|) of parts with equal cells, `count` samples each.
  void prepare_distances(std::span<const Part> parts, std::size_t count) {
    const std::size_t all = parts.size() * count;
    provide(apart_, all + kernel::kSpare);
    provide(rho_, all);
    provide(height_, all);
    for (std::size_t i = 0; i < parts.size(); ++i)
      separate(parts[i].cell, *taken_[parts[i].source], i * count);
    measure(apart_.x.data(), apart_.y.data(), apart_.z.data(), all, rho_.data(), height_.data());
  }

  /// rest_ at rho_ and height_; P as it enters Z.
  void look_up(std::size_t count, bool below) {
    if (around_.perfect_ground) {
      provide(rest_, count);  // zeros
      return;
    }
    provide(rest_, count);
    const std::span<const double> rho(rho_.data(), count);
    if (below) {
      around_.below->evaluate(rho, {height_.data(), count}, {rest_.data(), count});
      for (std::size_t i = 0; i < count; ++i) rest_[i].p *= below_.charge;
      return;
    }
    // the rest has a limit at the surface; tables end a little above it
    for (std::size_t i = 0; i < count; ++i) height_[i] = std::max(height_[i], around_.least_height_sum);
    if (around_.plane_wave) {
      for (std::size_t i = 0; i < count; ++i)
        rest_[i] = media::plane_wave_rest(around_.wavenumber, around_.permittivity, rho_[i], height_[i]);
    } else {
      around_.soil->evaluate(rho, {height_.data(), count}, {rest_.data(), count});
    }
  }

  /// The cell's Gauss rules: points on m, weighted Legendre values at those of both. @return samples
  std::size_t prepare_rules(const kernel::Cell& cell, const Frame& m, const Frame& n) {
    prepare_side(m, cell.xi0, cell.xi1, cell.points_m, points_m_);
    rows_m_.set_gauss(cell.points_m, cell.xi0, cell.xi1, m.order);
    rows_n_.set_gauss(cell.points_n, cell.eta0, cell.eta1, n.order);
    return rows_m_.size() * rows_n_.size();
  }

  /// Points of the cell's rule on n, and all distances to points_m_ in apart_ from `at` on, points of m
  /// fastest.
  void separate(const kernel::Cell& cell, const Frame& n, std::size_t at) {
    prepare_side(n, cell.eta0, cell.eta1, cell.points_n, points_n_);
    kernel::separate(points_m_, rows_m_.size(), points_n_, rows_n_.size(), at, apart_);
    sampled_ += rows_m_.size() * rows_n_.size();
  }

  static void prepare_side(const Frame& f, double x0, double x1, int count, kernel::Vectors& points) {
    const math::Rule& rule = math::gauss_legendre(count);
    const double half = 0.5 * (x1 - x0);
    provide(points, rule.nodes.size() + kernel::kSpare);
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const double along = 0.5 * f.length * (x0 + half * (1.0 + rule.nodes[i]));
      points.x[i] = f.centre.x() + along * f.tangent.x();
      points.y[i] = f.centre.y() + along * f.tangent.y();
      points.z[i] = f.centre.z() + along * f.tangent.z();
    }
  }

  void add_cell(const Frame& m, const Frame& n, const Numbers& values, kernel::MomentSums& sums) {
    kernel::add_tensor(rows_m_, m.order, rows_n_, n.order, values.re.data(), values.im.data(),
                       0.25 * m.length * n.length, sums);
  }

  const geometry::Mesh& mesh_;
  const Surroundings& around_;
  kernel::GaussCounts counts_;
  Complex scale_;
  std::vector<Frame> frames_;
  Side above_, below_;
  Complex image_ = 0.0;
  std::size_t sampled_ = 0;
  kernel::MomentSums vector_, scalar_, direct_;
  kernel::LegendreRows rows_m_, rows_n_;
  kernel::ParallelContraction contraction_;
  kernel::Vectors points_m_, points_n_, apart_;
  kernel::ParallelSamples samples_;
  std::vector<kernel::Cell> cells_;
  std::vector<const Frame*> sources_, taken_;
  std::vector<Frame> images_;
  std::vector<Part> parts_;                // of taken_
  std::vector<kernel::TubeKernel> tubes_;  // with taken_
  Numbers wave_, values_, values2_;
  std::vector<double> rho_, height_, depth_;
  std::vector<media::ReflectedRest> rest_;
  std::vector<media::AcrossRest> rest_across_;
};

}  // namespace

struct Reactions::Impl {
  Impl(const geometry::Mesh& mesh, const Surroundings& surroundings, double tolerance)
      : filler(mesh, surroundings, tolerance) {}
  Filler filler;
};

Reactions::Reactions(const geometry::Mesh& mesh, const Surroundings& surroundings, double tolerance)
    : impl_(std::make_unique<Impl>(mesh, surroundings, tolerance)) {}
Reactions::~Reactions() = default;

Moments Reactions::block(std::size_t m, std::size_t n) {
  return impl_->filler.block(m, {&n, 1});
}

Moments Reactions::sum(std::size_t m, std::span<const std::size_t> turned) {
  return impl_->filler.block(m, turned);
}

std::size_t Reactions::samples() const {
  return impl_->filler.samples();
}

}  // namespace feldspar::moment

#include <cmath>
#include <cstddef>
#include <vector>

#include "media/node_rows_detail.hpp"
#include "media/through_path.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
using math::Lanes;

using detail::NodeRows;
using detail::Radial;
using detail::sum_of_lanes;

enum Number : std::size_t { kLambda, kU0, kU1, kWeights };  // three weights

NodeRows rows_of(const std::vector<PathNode>& nodes) {
  NodeRows rows(nodes.size(), kWeights + 3);
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    const PathNode& node = nodes[i];
    rows.put(kLambda, i, node.lambda);
    rows.put(kU0, i, node.u0);
    rows.put(kU1, i, node.u1);
    rows.put(kWeights, i, node.spectrum.first);
    rows.put(kWeights + 1, i, node.spectrum.p);
    rows.put(kWeights + 2, i, node.spectrum.a_m);
  }
  for (const Number number : {kLambda, kU0, kU1}) rows.pad(number);
  return rows;
}

struct Job {
  const NodeRows& nodes;
  Radial radial;
  std::span<const double> rho;
  std::span<const double> z;
  std::span<const double> d;
  double* fall_z;   // exp(-u0 z): for each z the real parts at all nodes, then the imaginary parts
  double* fall_d;   // exp(-u1 d)
  double* radials;  // three functions times radial function at one rho
  double* lifted;   // the same times exp(-u0 z)
  std::span<ThroughRest> out;
};

// z = x y for arrays of complex numbers
[[gnu::always_inline]] inline void multiply(Lanes a, Lanes b, Lanes c, Lanes d, double* re, double* im) {
  math::store_lanes(re, a * c - b * d);
  math::store_lanes(im, a * d + b * c);
}

[[gnu::always_inline]] inline void fill_radials(const Job& job, double rho) {
  const std::size_t n = job.nodes.size();
  for (std::size_t i = 0; i < n; i += math::kLanes) {
    const Lanes x = rho * math::load_lanes(job.nodes.real(kLambda) + i);
    const Lanes y = rho * math::load_lanes(job.nodes.imag(kLambda) + i);
    const math::BesselLanes radial = detail::radial_lanes(job.radial, x, y);
    for (std::size_t f = 0; f < 3; ++f) {
      const Lanes re = f == 2 ? radial.re1 : radial.re0;  // a_m takes order 1
      const Lanes im = f == 2 ? radial.im1 : radial.im0;
      multiply(math::load_lanes(job.nodes.real(kWeights + f) + i),
               math::load_lanes(job.nodes.imag(kWeights + f) + i), re, im, job.radials + 2 * f * n + i,
               job.radials + (2 * f + 1) * n + i);
    }
  }
}

[[gnu::always_inline]] inline void lift(const Job& job, const double* fall) {
  const std::size_t n = job.nodes.size();
  for (std::size_t f = 0; f < 3; ++f) {
    const double* from = job.radials + 2 * f * n;
    double* to = job.lifted + 2 * f * n;
    for (std::size_t i = 0; i < n; i += math::kLanes)
      multiply(math::load_lanes(from + i), math::load_lanes(from + n + i), math::load_lanes(fall + i),
               math::load_lanes(fall + n + i), to + i, to + n + i);
  }
}

[[gnu::always_inline]] inline void add_sum(const Job& job, const double* fall, ThroughRest& out) {
  const std::size_t n = job.nodes.size();
  Lanes re[3] = {};
  Lanes im[3] = {};
  for (std::size_t i = 0; i < n; i += math::kLanes) {
    const Lanes x = math::load_lanes(fall + i);
    const Lanes y = math::load_lanes(fall + n + i);
    for (std::size_t f = 0; f < 3; ++f) {
      const Lanes a = math::load_lanes(job.lifted + 2 * f * n + i);
      const Lanes b = math::load_lanes(job.lifted + (2 * f + 1) * n + i);
      re[f] += a * x - b * y;
      im[f] += a * y + b * x;
    }
  }
  out.first += Complex(sum_of_lanes(re[0]), sum_of_lanes(im[0]));
  out.p += Complex(sum_of_lanes(re[1]), sum_of_lanes(im[1]));
  out.a_m += Complex(sum_of_lanes(re[2]), sum_of_lanes(im[2]));
}

[[gnu::always_inline]] inline void sample_body(const Job& job) {
  const std::size_t n = job.nodes.size();
  detail::fill_decay(job.z, job.nodes.real(kU0), job.nodes.imag(kU0), n, job.fall_z);
  detail::fill_decay(job.d, job.nodes.real(kU1), job.nodes.imag(kU1), n, job.fall_d);
  std::size_t at = 0;
  for (const double rho : job.rho) {
    fill_radials(job, rho);
    for (std::size_t j = 0; j < job.z.size(); ++j) {
      lift(job, job.fall_z + 2 * n * j);
      for (std::size_t k = 0; k < job.d.size(); ++k) add_sum(job, job.fall_d + 2 * n * k, job.out[at++]);
    }
  }
}

void sample_plain(const Job& job) {
  sample_body(job);
}

#if defined(__x86_64__)
__attribute__((target("avx2,fma"))) void sample_avx2(const Job& job) {
  sample_body(job);
}
#endif

void sample(const std::vector<PathNode>& nodes, Radial radial, std::span<const double> rho,
            std::span<const double> z, std::span<const double> d, std::span<ThroughRest> out) {
  if (nodes.empty()) return;
  const NodeRows arrays = rows_of(nodes);
  const std::size_t n = arrays.size();
  std::vector<double> work(2 * n * (z.size() + d.size() + 6));
  double* const fall_d = work.data() + 2 * n * z.size();
  double* const radials = fall_d + 2 * n * d.size();
  const Job job{arrays, radial, rho, z, d, work.data(), fall_d, radials, radials + 6 * n, out};
#if defined(__x86_64__)
  static const bool fast = __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
  if (fast) return sample_avx2(job);
#endif
  sample_plain(job);
}

}  // namespace

void sample_through(const ThroughSoil& soil, const Path& path, std::span<const double> rho,
                    std::span<const double> z, std::span<const double> d, std::span<ThroughRest> out) {
  std::size_t at = 0;
  for (const double x : rho)
    for (const double height : z)
      for (const double depth : d) {
        const double vertical = height + depth;
        const double r = std::hypot(x, vertical);
        const double tilted = x / (r * (r + vertical));  // (1 - vertical / r) / rho
        if (soil.place == PairPlace::across) {
          out[at++] = {-1.0 / r, -1.0 / r, -soil.image * tilted};
        } else {
          const Complex wave = std::exp(Complex(soil.n.imag(), -soil.n.real()) * r) / r;
          out[at++] = {0.0, -soil.image * wave, -soil.image * tilted};
        }
      }
  sample(path.bessel, Radial::bessel, rho, z, d, out);
  sample(path.hankel1, Radial::hankel1, rho, z, d, out);
  sample(path.hankel2, Radial::hankel2, rho, z, d, out);
}

}  // namespace feldspar::media

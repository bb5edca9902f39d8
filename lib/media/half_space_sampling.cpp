#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "media/half_space_cell.hpp"
#include "media/half_space_spectrum.hpp"
#include "media/node_rows_detail.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
using math::Lanes;

using detail::NodeRows;
using detail::Radial;
using detail::sum_of_lanes;

enum Number : std::size_t { kLambda, kU0, kWeights };  // three weights

NodeRows rows_of(const std::vector<ContourNode>& nodes, bool keeps_a_v) {
  NodeRows rows(nodes.size(), kWeights + 3);
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    const ContourNode& node = nodes[i];
    rows.put(kLambda, i, node.lambda);
    rows.put(kU0, i, node.u0);
    rows.put(kWeights, i, node.a_h);
    rows.put(kWeights + 1, i, keeps_a_v ? node.a_v : node.p);
    rows.put(kWeights + 2, i, node.a_m);
  }
  rows.pad(kLambda);
  rows.pad(kU0);
  return rows;
}

struct Job {
  const NodeRows& nodes;
  Radial radial;
  std::span<const double> rho;
  std::span<const double> z;
  double* decay;    // for each z the real parts of exp(-u0 z) at all nodes, then the imaginary parts
  double* factors;  // for each function the same of weight times radial function, at one rho
  bool keeps_a_v;
  std::span<ReflectedRest> out;
};

[[gnu::always_inline]] inline void fill_factors(const Job& job, double rho) {
  const std::size_t n = job.nodes.size();
  for (std::size_t i = 0; i < n; i += math::kLanes) {
    const Lanes x = rho * math::load_lanes(job.nodes.real(kLambda) + i);
    const Lanes y = rho * math::load_lanes(job.nodes.imag(kLambda) + i);
    const math::BesselLanes radial = detail::radial_lanes(job.radial, x, y);
    for (std::size_t f = 0; f < 3; ++f) {
      const Lanes re = f == 2 ? radial.re1 : radial.re0;  // a_m takes order 1
      const Lanes im = f == 2 ? radial.im1 : radial.im0;
      const Lanes a = math::load_lanes(job.nodes.real(kWeights + f) + i);
      const Lanes b = math::load_lanes(job.nodes.imag(kWeights + f) + i);
      math::store_lanes(job.factors + 2 * f * n + i, a * re - b * im);
      math::store_lanes(job.factors + (2 * f + 1) * n + i, a * im + b * re);
    }
  }
}

[[gnu::always_inline]] inline void sample_body(const Job& job) {
  const std::size_t n = job.nodes.size();
  detail::fill_decay(job.z, job.nodes.real(kU0), job.nodes.imag(kU0), n, job.decay);
  for (std::size_t k = 0; k < job.rho.size(); ++k) {
    fill_factors(job, job.rho[k]);
    for (std::size_t l = 0; l < job.z.size(); ++l) {
      const double* decay = job.decay + 2 * n * l;
      Lanes re[3] = {};
      Lanes im[3] = {};
      for (std::size_t i = 0; i < n; i += math::kLanes) {
        const Lanes x = math::load_lanes(decay + i);
        const Lanes y = math::load_lanes(decay + n + i);
        for (std::size_t f = 0; f < 3; ++f) {
          const Lanes a = math::load_lanes(job.factors + 2 * f * n + i);
          const Lanes b = math::load_lanes(job.factors + (2 * f + 1) * n + i);
          re[f] += a * x - b * y;
          im[f] += a * y + b * x;
        }
      }
      ReflectedRest& rest = job.out[k * job.z.size() + l];
      rest.a_h += Complex(sum_of_lanes(re[0]), sum_of_lanes(im[0]));
      (job.keeps_a_v ? rest.a_v : rest.p) += Complex(sum_of_lanes(re[1]), sum_of_lanes(im[1]));
      rest.a_m += Complex(sum_of_lanes(re[2]), sum_of_lanes(im[2]));
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

void sample(const std::vector<ContourNode>& nodes, Radial radial, bool keeps_a_v, std::span<const double> rho,
            std::span<const double> z, std::span<ReflectedRest> out) {
  if (nodes.empty()) return;
  const NodeRows arrays = rows_of(nodes, keeps_a_v);
  std::vector<double> work(2 * arrays.size() * (z.size() + 3));
  const Job job{arrays,    radial, rho, z, work.data(), work.data() + 2 * arrays.size() * z.size(),
                keeps_a_v, out};
#if defined(__x86_64__)
  static const bool fast = __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
  if (fast) return sample_avx2(job);
#endif
  sample_plain(job);
}

}  // namespace

void sample_rest(const CellSoil& soil, const Contour& contour, std::span<const double> rho,
                 std::span<const double> z, std::span<ReflectedRest> out) {
  for (std::size_t k = 0; k < rho.size(); ++k) {
    for (std::size_t l = 0; l < z.size(); ++l) {
      const Complex lost = contour.round_cuts ? -std::polar(1.0 / rho[k], -std::hypot(rho[k], z[l]))
                                              : image_m_difference(1.0, rho[k], z[l]);
      out[k * z.size() + l] = {0.0, 0.0, soil.image * lost, 0.0};
    }
  }
  sample(contour.bessel, Radial::bessel, soil.keeps_a_v, rho, z, out);
  sample(contour.hankel1, Radial::hankel1, soil.keeps_a_v, rho, z, out);
  sample(contour.hankel2, Radial::hankel2, soil.keeps_a_v, rho, z, out);
  for (ReflectedRest& rest : out) {
    const Complex kept = soil.keeps_a_v ? rest.a_v : rest.p;
    (soil.keeps_a_v ? rest.p : rest.a_v) = soil.from_a_h * rest.a_h + soil.from_kept * kept;
  }
}

}  // namespace feldspar::media

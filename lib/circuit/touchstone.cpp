#include "circuit/touchstone.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "circuit/coil.hpp"
#include "circuit/network_parameters.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {

namespace {

using Matrix = Parameters;

constexpr double kSlack = 1e-9;  // relative, at the ends of the rows: units cost a rounding

[[noreturn]] void refuse(const NetworkData& data, const std::string& message) {
  throw core::Error(core::ErrorKind::usage, message, {data.name, 0, 0, {}});
}

double largest_singular_value(const Matrix& s) {
  return std::sqrt(largest_power_ratio(s));
}

/// Rows first..last around an interval, with those left out that lie so much closer to it than it is wide
/// that a cubic through them would blow up their errors.
struct Support {
  std::size_t first;
  std::size_t last;
};

Support support_of(const std::vector<double>& f, std::size_t lower) {
  constexpr double kClosest =
      0.5;  // of the interval's width; the magnitudes of the weights then sum to about 3 at most
  const double least = kClosest * (f[lower + 1] - f[lower]);
  Support support{lower, lower + 1};
  const auto extend_down = [&] {
    const bool can = support.first > 0 && f[support.first] - f[support.first - 1] >= least;
    if (can) --support.first;
    return can;
  };
  const auto extend_up = [&] {
    const bool can = support.last + 1 < f.size() && f[support.last + 1] - f[support.last] >= least;
    if (can) ++support.last;
    return can;
  };
  const bool down = extend_down();
  const bool up = extend_up();
  if (!down && up && lower == 0) (void)extend_up();
  if (!up && down && lower + 2 == f.size()) (void)extend_down();
  return support;
}

Matrix lagrange(const NetworkData& data, const Support& support, double f) {
  Matrix sum{};
  for (std::size_t i = support.first; i <= support.last; ++i) {
    double weight = 1.0;
    for (std::size_t k = support.first; k <= support.last; ++k)
      if (k != i) weight *= (f - data.frequencies[k]) / (data.frequencies[i] - data.frequencies[k]);
    for (std::size_t e = 0; e < 4; ++e) sum[e] += weight * data.s[i][e];
  }
  return sum;
}

Matrix scaled_back(Matrix s, double most) {
  const double found = largest_singular_value(s);
  if (found > most)
    for (Complex& entry : s) entry *= most / found;
  return s;
}

}  // namespace

bool covers(const NetworkData& data, double f) noexcept {
  if (data.frequencies.empty()) return false;
  return f >= data.frequencies.front() * (1.0 - kSlack) && f <= data.frequencies.back() * (1.0 + kSlack);
}

Matrix scattering_at(const NetworkData& data, core::Frequency f) {
  if (!covers(data, f.si))
    refuse(data,
           data.frequencies.empty()
               ? std::string("the table has no rows")
               : fmt::format("{:.6g} MHz is outside the table, which goes from {:.6g} to {:.6g} MHz",
                             f.si / 1e6, data.frequencies.front() / 1e6, data.frequencies.back() / 1e6));
  const std::vector<double>& rows = data.frequencies;
  const double at = std::clamp(f.si, rows.front(), rows.back());
  const auto above = std::upper_bound(rows.begin(), rows.end(), at);
  const std::size_t upper = std::min(static_cast<std::size_t>(above - rows.begin()), rows.size() - 1);
  const std::size_t lower = upper > 0 ? upper - 1 : 0;
  const double worst = std::max(largest_singular_value(data.s[lower]), largest_singular_value(data.s[upper]));
  const double most = worst <= 1.0 + kPassiveTolerance ? 1.0 : worst;
  if (at == rows[upper]) return scaled_back(data.s[upper], most);
  if (at == rows[lower]) return scaled_back(data.s[lower], most);
  return scaled_back(lagrange(data, support_of(rows, lower), at), most);
}

double step_around(const NetworkData& data, core::Frequency f) noexcept {
  const std::vector<double>& rows = data.frequencies;
  const auto above = std::lower_bound(rows.begin(), rows.end(), f.si);
  if (above == rows.begin() || above == rows.end() || *above == f.si) return 0.0;
  const auto upper = static_cast<std::size_t>(above - rows.begin());
  double step = 0.0;
  for (std::size_t k = 0; k < (data.ports == 1 ? 1U : 4U); ++k)
    step = std::max(step, std::abs(data.s[upper][k] - data.s[upper - 1][k]));
  return step;
}

Complex one_port_impedance(const NetworkData& data, core::Frequency f) {
  if (data.ports != 1) refuse(data, "expected a one-port (.s1p), found a two-port");
  const Complex s = scattering_at(data, f)[0];
  const Complex z = data.reference[0] * impedance_of((1.0 - s) / (1.0 + s));
  constexpr double kRounding = 1e-12;
  return std::norm(s) <= 1.0 + kRounding ? Complex{std::max(z.real(), 0.0), z.imag()} : z;
}

TwoPort two_port_at(const NetworkData& data, core::Frequency f, bool turned_round) {
  if (data.ports != 2) refuse(data, "expected a two-port (.s2p), found a one-port");
  Matrix s = scattering_at(data, f);
  PortReferences references{data.reference[0], data.reference[1]};
  if (turned_round) {
    s = {s[3], s[2], s[1], s[0]};
    std::swap(references.radio, references.antenna);
  }
  constexpr double kNothing = 1e-12;
  if (std::abs(s[2]) < kNothing)
    refuse(data, fmt::format("nothing passes from port {} at {:.6g} MHz; is this the right file?",
                             turned_round ? "2 to port 1" : "1 to port 2", f.si / 1e6));
  return chain_from_scattering(s, references).value();
}

void check_passive(const NetworkData& data) {
  for (std::size_t i = 0; i < data.s.size(); ++i) {
    const double gain = largest_singular_value(data.s[i]);
    if (gain <= 1.0 + kPassiveTolerance) continue;
    throw core::Error(
        core::ErrorKind::model,
        fmt::format(
            "expected a passive {}, found one that makes power at {:.10g} MHz (it can give back {:.4g} "
            "times the power it takes); check the calibration and the order of the columns",
            data.ports == 1 ? "one-port" : "two-port", data.frequencies[i] / 1e6, gain * gain),
        {data.name, 0, 0, {}});
  }
}

}  // namespace feldspar::circuit

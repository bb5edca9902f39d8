#include "fields/sources_detail.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/constants.hpp"

namespace feldspar::fields::detail {

namespace {

constexpr Complex kJ(0.0, 1.0);
constexpr int kPoints = 10;            // of the interpolation
constexpr double kOversampling = 8.0;  // of the table: (pi/8)^10 (9!!/2^5)^2 / 10! = 2e-8

/// Values of a band-limited function on an even grid, interpolated locally (Lagrange).
struct Table {
  double first = 0.0;
  double step = 1.0;
  std::vector<Complex> current;
  std::vector<Complex> slope;

  [[nodiscard]] SpectrumPair at(double k) const noexcept {
    const double position = (k - first) / step;
    const int size = static_cast<int>(current.size());
    const int base =
        std::clamp(static_cast<int>(std::floor(position)) - (kPoints / 2 - 1), 0, size - kPoints);
    const double t = position - base;
    // Lagrange weights: product of (t - m) over the others, divided by i! (n-1-i)! with alternating sign.
    static constexpr std::array<double, kPoints> kInverse = {
        -1.0 / 362880, 1.0 / 40320, -1.0 / 10080, 1.0 / 4320,   -1.0 / 2880,
        1.0 / 2880,    -1.0 / 4320, 1.0 / 10080,  -1.0 / 40320, 1.0 / 362880};
    std::array<double, kPoints> below;
    double product = 1.0;
    for (int i = 0; i < kPoints; ++i) {
      below[static_cast<std::size_t>(i)] = product;
      product *= t - i;
    }
    SpectrumPair sum{0.0, 0.0, 0.0, 0.0};
    product = 1.0;
    for (int i = kPoints - 1; i >= 0; --i) {
      const auto n = static_cast<std::size_t>(i);
      const double weight = kInverse[n] * below[n] * product;
      product *= t - i;
      sum.current += weight * current[static_cast<std::size_t>(base) + n];
      sum.slope += weight * slope[static_cast<std::size_t>(base) + n];
    }
    return sum;
  }
};

/// Level elements on one line.
struct LevelRun {
  Vec3 middle;
  Vec3 tangent;
  std::vector<const Element*> elements;
  double half_length = 0.0;
  int table = 0;
};

/// Upright elements on one axis.
struct UprightRun {
  double x = 0.0;
  double y = 0.0;
  double lowest = 0.0;
  std::vector<const Element*> elements;
};

bool is_level(const Element& e) {
  return std::abs(e.half.z()) < 1e-12 * e.length;
}
bool is_upright(const Element& e) {
  return e.half.head<2>().norm() < 1e-12 * e.length;
}

bool on_line(const LevelRun& run, const Element& e) {
  const double slack = 1e-9 * (1.0 + e.length);
  const Vec3 offset = e.middle - run.elements.front()->middle;
  return std::abs(std::abs(run.tangent.dot(e.tangent)) - 1.0) < 1e-12 &&
         (offset - offset.dot(run.tangent) * run.tangent).norm() < slack;
}

}  // namespace

struct Sources::Impl {
  std::vector<Element> elements;
  std::vector<EndCharge> charges;
  std::vector<LevelRun> level;
  std::vector<UprightRun> upright;
  std::vector<const Element*> slanted;
  std::vector<Table> tables;
  Complex k = 0.0;
  double lowest = 0.0;

  void sort() {
    for (const Element& e : elements) {
      if (is_level(e)) {
        const auto run =
            std::find_if(level.begin(), level.end(), [&](const LevelRun& r) { return on_line(r, e); });
        if (run != level.end()) {
          run->elements.push_back(&e);
        } else {
          level.push_back({e.middle, e.tangent, {&e}, 0.0, 0});
        }
      } else if (is_upright(e)) {
        const auto run = std::find_if(upright.begin(), upright.end(), [&](const UprightRun& r) {
          return std::hypot(r.x - e.middle.x(), r.y - e.middle.y()) < 1e-9;
        });
        if (run != upright.end()) {
          run->elements.push_back(&e);
          run->lowest = std::min(run->lowest, e.lowest);
        } else {
          upright.push_back({e.middle.x(), e.middle.y(), e.lowest, {&e}});
        }
      } else {
        slanted.push_back(&e);
      }
    }
  }

  // Position, direction and weights of every element relative to its run: equal for copies round an axis.
  static bool same_shape(const LevelRun& a, const LevelRun& b) {
    if (a.elements.size() != b.elements.size()) return false;
    double largest = 0.0;
    for (const Element* e : a.elements) {
      for (const Complex& w : e->weights) largest = std::max(largest, std::abs(w));
    }
    for (std::size_t i = 0; i < a.elements.size(); ++i) {
      const Element& p = *a.elements[i];
      const Element& q = *b.elements[i];
      const auto along = [](const LevelRun& run, const Element& e) {
        return run.tangent.dot(e.middle - run.middle);
      };
      if (p.weights.size() != q.weights.size() || p.radius != q.radius ||
          std::abs(p.length - q.length) > 1e-11 * p.length ||
          std::abs(along(a, p) - along(b, q)) > 1e-11 * a.half_length ||
          (p.tangent.dot(a.tangent) > 0.0) != (q.tangent.dot(b.tangent) > 0.0)) {
        return false;
      }
      for (std::size_t n = 0; n < p.weights.size(); ++n) {
        if (std::abs(p.weights[n] - q.weights[n]) > 1e-10 * largest) return false;
      }
    }
    return true;
  }

  void make_tables(double highest_lambda) {
    std::vector<const LevelRun*> made;
    for (LevelRun& run : level) {
      double low = 0.0;
      double high = 0.0;
      const Vec3 origin = run.middle;
      for (const Element* e : run.elements) {
        for (const Vec3& p : {e->start, e->end}) {
          low = std::min(low, run.tangent.dot(p - origin));
          high = std::max(high, run.tangent.dot(p - origin));
        }
      }
      run.middle = origin + 0.5 * (low + high) * run.tangent;
      run.half_length = 0.5 * (high - low);
      const auto twin =
          std::find_if(made.begin(), made.end(), [&](const LevelRun* r) { return same_shape(*r, run); });
      if (twin != made.end()) {
        run.table = (*twin)->table;
        continue;
      }
      run.table = static_cast<int>(tables.size());
      made.push_back(&run);
      Table table;
      table.step = core::kPi / (kOversampling * run.half_length);
      const int steps = static_cast<int>(std::ceil(highest_lambda / table.step)) + kPoints / 2;
      table.first = -steps * table.step;
      for (int i = -steps; i <= steps; ++i) {
        SpectrumPair sum{0.0, 0.0, 0.0, 0.0};
        for (const Element* e : run.elements) {
          // Seen from the run's middle, along its line; the height comes as a factor later.
          Element local = *e;
          for (Vec3* p : {&local.start, &local.end, &local.middle}) {
            *p = Vec3(run.tangent.dot(*p - run.middle), 0.0, 0.0);
          }
          local.half = 0.5 * (local.end - local.start);
          const SpectrumPair v = spectrum_pair(local, i * table.step, 0.0, 0.0, k);
          sum.current += (e->tangent.dot(run.tangent) > 0.0 ? 1.0 : -1.0) * v.current;
          sum.slope += v.slope;
        }
        table.current.push_back(sum.current);
        table.slope.push_back(sum.slope);
      }
      tables.push_back(std::move(table));
    }
  }
};

Sources::Sources(const moment::Currents& currents, std::vector<EndCharge> charges, Complex k,
                 double highest_lambda)
    : impl_(std::make_unique<Impl>()) {
  impl_->elements = prepare(currents);
  impl_->charges = std::move(charges);
  impl_->k = k;
  impl_->lowest = impl_->elements.empty() ? 0.0 : impl_->elements.front().lowest;
  for (const Element& e : impl_->elements) impl_->lowest = std::min(impl_->lowest, e.lowest);
  impl_->sort();
  impl_->make_tables(highest_lambda);
}

Sources::~Sources() = default;

double Sources::lowest() const noexcept {
  return impl_->lowest;
}

Sources::Alive Sources::up_to(double height) const {
  Alive alive;
  const auto see = [&](const Element& e) {
    alive.low = alive.low.cwiseMin(e.start).cwiseMin(e.end);
    alive.high = alive.high.cwiseMax(e.start).cwiseMax(e.end);
  };
  const auto pick = [&](std::vector<int>& list, const auto& from, auto&& height_of, auto&& visit) {
    for (std::size_t i = 0; i < from.size(); ++i) {
      if (height_of(from[i]) > height) continue;
      list.push_back(static_cast<int>(i));
      visit(from[i]);
    }
  };
  const auto see_all = [&](const auto& run) {
    for (const Element* e : run.elements) see(*e);
  };
  pick(
      alive.level, impl_->level, [](const LevelRun& r) { return r.middle.z(); }, see_all);
  pick(
      alive.upright, impl_->upright, [](const UprightRun& r) { return r.lowest; }, see_all);
  pick(
      alive.slanted, impl_->slanted, [](const Element* e) { return e->lowest; },
      [&](const Element* e) { see(*e); });
  pick(
      alive.charges, impl_->charges, [](const EndCharge& c) { return c.at.z(); }, [](const EndCharge&) {});
  return alive;
}

double Sources::separation(const Alive& a) noexcept {
  return a.low.x() > a.high.x() ? 0.0 : (a.high - a.low).head<2>().norm();
}

double Sources::separation(const Alive& a, const Alive& b) noexcept {
  Alive both;
  both.low = a.low.cwiseMin(b.low);
  both.high = a.high.cwiseMax(b.high);
  return separation(both);
}

std::vector<int> Sources::elements(const Alive& alive) const {
  std::vector<int> indices;
  const auto add = [&](const Element* e) { indices.push_back(static_cast<int>(e - impl_->elements.data())); };
  for (const int i : alive.level) {
    for (const Element* e : impl_->level[static_cast<std::size_t>(i)].elements) add(e);
  }
  for (const int i : alive.upright) {
    for (const Element* e : impl_->upright[static_cast<std::size_t>(i)].elements) add(e);
  }
  for (const int i : alive.slanted) add(impl_->slanted[static_cast<std::size_t>(i)]);
  return indices;
}

Sources::Ring::Ring(const Sources& sources, const Alive& alive, double lambda, Complex g)
    : sources_(sources), alive_(alive), lambda_(lambda), g_(g), k_(std::sqrt(lambda * lambda - g * g)) {
  const Impl& m = *sources.impl_;
  for (const int i : alive.level) {
    level_factor_.push_back(std::exp(-g * m.level[static_cast<std::size_t>(i)].middle.z()));
  }
  for (const int i : alive.upright) {
    SpectrumPair sum{0.0, 0.0, 0.0, 0.0};
    for (const Element* e : m.upright[static_cast<std::size_t>(i)].elements) {
      const SpectrumPair v = spectrum_pair(*e, 0.0, 0.0, g, k_);
      sum.current += (e->half.z() > 0.0 ? 1.0 : -1.0) * v.current;
      sum.slope += v.slope;
      sum.lift += v.lift;
      sum.arm += (e->half.z() > 0.0 ? 1.0 : -1.0) * v.arm;
    }
    upright_.push_back(sum);
  }
}

Spectrum Sources::Ring::at(double c, double s) const {
  const Impl& m = *sources_.impl_;
  const double kx = lambda_ * c;
  const double ky = lambda_ * s;
  const auto phase = [&](double x, double y) {
    const double angle = kx * x + ky * y;
    return Complex(std::cos(angle), std::sin(angle));
  };
  Spectrum sum;
  for (std::size_t i = 0; i < alive_.level.size(); ++i) {
    const LevelRun& run = m.level[static_cast<std::size_t>(alive_.level[i])];
    const SpectrumPair v =
        m.tables[static_cast<std::size_t>(run.table)].at(kx * run.tangent.x() + ky * run.tangent.y());
    const Complex factor = level_factor_[i] * phase(run.middle.x(), run.middle.y());
    const Complex current = factor * v.current;
    const Complex slope = factor * v.slope;
    sum.x += current * run.tangent.x();
    sum.y += current * run.tangent.y();
    sum.slope += slope;
    sum.lift += run.middle.z() * slope;
    sum.arm_x += run.middle.z() * current * run.tangent.x();
    sum.arm_y += run.middle.z() * current * run.tangent.y();
  }
  for (std::size_t i = 0; i < alive_.upright.size(); ++i) {
    const UprightRun& run = m.upright[static_cast<std::size_t>(alive_.upright[i])];
    const Complex factor = phase(run.x, run.y);
    sum.z += factor * upright_[i].current;
    sum.slope += factor * upright_[i].slope;
    sum.lift += factor * upright_[i].lift;
    sum.arm_z += factor * upright_[i].arm;
  }
  for (const int i : alive_.slanted) {
    const Element& e = *m.slanted[static_cast<std::size_t>(i)];
    const SpectrumPair v = spectrum_pair(e, kx, ky, g_, k_);
    sum.x += v.current * e.tangent.x();
    sum.y += v.current * e.tangent.y();
    sum.z += v.current * e.tangent.z();
    sum.slope += v.slope;
    sum.lift += v.lift;
    sum.arm_x += v.arm * e.tangent.x();
    sum.arm_y += v.arm * e.tangent.y();
    sum.arm_z += v.arm * e.tangent.z();
  }
  for (const int i : alive_.charges) {
    const EndCharge& p = m.charges[static_cast<std::size_t>(i)];
    const Complex charge = p.out * phase(p.at.x(), p.at.y()) * std::exp(-g_ * p.at.z());
    sum.slope -= charge;
    sum.lift -= p.at.z() * charge;
  }
  return sum;
}

}  // namespace feldspar::fields::detail

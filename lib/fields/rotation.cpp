#include "fields/rotation_detail.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "core/constants.hpp"

namespace feldspar::fields::detail {

namespace {

using geometry::Vec3;

class Comparer {
 public:
  explicit Comparer(const moment::Currents& currents) : currents_(currents) {
    for (const moment::ElementCurrent& e : currents) {
      place_ = std::max({place_, e.start.norm(), e.end.norm()});
      if (e.coefficients.size() > 0) current_ = std::max(current_, e.coefficients.cwiseAbs().maxCoeff());
    }
    place_ *= 1e-9;
    current_ *= 1e-8;
  }

  [[nodiscard]] bool on_axis(const moment::ElementCurrent& e) const {
    return e.start.head<2>().norm() <= place_ && e.end.head<2>().norm() <= place_;
  }

  /// Equal but for a turn round the axis.
  [[nodiscard]] bool alike(const moment::ElementCurrent& a, const moment::ElementCurrent& b) const {
    return a.radius == b.radius && std::abs(a.start.z() - b.start.z()) <= place_ &&
           std::abs(a.end.z() - b.end.z()) <= place_ &&
           std::abs(a.start.head<2>().norm() - b.start.head<2>().norm()) <= place_ &&
           std::abs(a.end.head<2>().norm() - b.end.head<2>().norm()) <= place_ &&
           a.coefficients.size() == b.coefficients.size() &&
           (a.coefficients - b.coefficients).cwiseAbs().maxCoeff() <= current_;
  }

  /// Does a turn by 2 pi / n map the currents onto themselves?
  [[nodiscard]] bool maps(int n) const {
    const double c = std::cos(2.0 * core::kPi / n);
    const double s = std::sin(2.0 * core::kPi / n);
    const auto turned = [&](const Vec3& p) {
      return Vec3(c * p.x() - s * p.y(), s * p.x() + c * p.y(), p.z());
    };
    auto next = currents_.begin();  // the image mostly follows that of the element before
    return std::all_of(currents_.begin(), currents_.end(), [&](const moment::ElementCurrent& a) {
      if (on_axis(a)) return true;
      const Vec3 start = turned(a.start);
      const Vec3 end = turned(a.end);
      const auto is_image = [&](const moment::ElementCurrent& b) {
        return (b.start - start).norm() <= place_ && (b.end - end).norm() <= place_ && alike(a, b);
      };
      auto image = std::find_if(next, currents_.end(), is_image);
      if (image == currents_.end()) {
        image = std::find_if(currents_.begin(), next, is_image);
        if (image == next) return false;
      }
      next = image + 1;
      return true;
    });
  }

 private:
  const moment::Currents& currents_;
  double place_ = 0.0;
  double current_ = 0.0;
};

}  // namespace

int rotation_order(const moment::Currents& currents) {
  const Comparer comparer(currents);
  const auto first = std::find_if(currents.begin(), currents.end(),
                                  [&](const moment::ElementCurrent& e) { return !comparer.on_axis(e); });
  if (first == currents.end()) return 360;  // all on the axis: round
  const auto orbit = std::count_if(currents.begin(), currents.end(), [&](const moment::ElementCurrent& e) {
    return comparer.alike(*first, e);
  });
  for (int n = static_cast<int>(orbit); n > 1; --n) {
    if (orbit % n == 0 && comparer.maps(n)) return n;
  }
  return 1;
}

namespace {

/// Copies that stand for any larger number of them.
int enough_copies(double x) {
  double bound = 1.0;
  int order = 0;
  while (bound > 1e-16 || order < x) bound *= 0.5 * x / ++order;
  return order + 2;
}

double azimuth(const moment::ElementCurrent& e) {
  const Vec3 middle = 0.5 * (e.start + e.end);
  return std::atan2(middle.y(), middle.x());
}

/// One element of each orbit; the others are turned by a multiple of 2 pi / rotation.
std::vector<const moment::ElementCurrent*> sector_of(const moment::Currents& currents,
                                                     const Comparer& comparer, int rotation) {
  constexpr double kSameAngle = 1e-6;
  const double step = 2.0 * core::kPi / rotation;
  std::vector<const moment::ElementCurrent*> sector;
  for (const moment::ElementCurrent& e : currents) {
    if (comparer.on_axis(e)) continue;
    const bool known = std::any_of(sector.begin(), sector.end(), [&](const moment::ElementCurrent* other) {
      return comparer.alike(*other, e) &&
             std::abs(std::remainder(azimuth(e) - azimuth(*other), step)) < kSameAngle * step;
    });
    if (!known) sector.push_back(&e);
  }
  return sector;
}

}  // namespace

moment::Currents thinned(const moment::Currents& currents, int rotation, double k0) {
  double farthest = 0.0;
  for (const moment::ElementCurrent& e : currents)
    farthest = std::max({farthest, e.start.head<2>().norm(), e.end.head<2>().norm()});
  const int copies = enough_copies(k0 * farthest);
  if (copies >= rotation) return currents;
  const Comparer comparer(currents);
  const std::vector<const moment::ElementCurrent*> sector = sector_of(currents, comparer, rotation);
  moment::Currents result;
  for (const moment::ElementCurrent& e : currents)
    if (comparer.on_axis(e)) result.push_back(e);
  if (result.size() + sector.size() * static_cast<std::size_t>(rotation) != currents.size()) return currents;
  for (int j = 0; j < copies; ++j) {
    const double c = std::cos(2.0 * core::kPi * j / copies);
    const double s = std::sin(2.0 * core::kPi * j / copies);
    for (const moment::ElementCurrent* e : sector) {
      moment::ElementCurrent turned = *e;
      for (Vec3* p : {&turned.start, &turned.end})
        *p = Vec3(c * p->x() - s * p->y(), s * p->x() + c * p->y(), p->z());
      turned.coefficients *= static_cast<double>(rotation) / copies;
      result.push_back(std::move(turned));
    }
  }
  return result;
}

}  // namespace feldspar::fields::detail

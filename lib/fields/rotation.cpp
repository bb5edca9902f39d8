#include "fields/rotation_detail.hpp"

#include <algorithm>
#include <cmath>

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
    return std::all_of(currents_.begin(), currents_.end(), [&](const moment::ElementCurrent& a) {
      if (on_axis(a)) return true;
      const Vec3 start = turned(a.start);
      const Vec3 end = turned(a.end);
      return std::any_of(currents_.begin(), currents_.end(), [&](const moment::ElementCurrent& b) {
        return (b.start - start).norm() <= place_ && (b.end - end).norm() <= place_ && alike(a, b);
      });
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

}  // namespace feldspar::fields::detail

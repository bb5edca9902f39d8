#include <algorithm>
#include <cmath>
#include <numeric>

#include "core/constants.hpp"
#include "moment/rotation_detail.hpp"

namespace feldspar::moment {

namespace {

using geometry::Element;
using geometry::Mesh;
using geometry::Vec3;

constexpr double kSamePlace = 1e-12;  // of the extent
constexpr double kSameLaw = 1e-12;    // relative

bool close(double a, double b) {
  if (!std::isfinite(a) || !std::isfinite(b)) return a == b;  // bare and coated are not alike
  return std::abs(a - b) <= kSameLaw * std::max(std::abs(a), std::abs(b));
}

/// Searches one mesh; all places relative to the axis.
class Finder {
 public:
  Finder(const Mesh& mesh, const std::vector<ElementLaw>& laws) : mesh_(mesh), laws_(laws) { place_axis(); }

  std::optional<Rotation> run() {
    if (!make_classes()) return std::nullopt;
    std::size_t most = 0;
    for (const std::vector<std::size_t>& members : classes_) most = std::gcd(most, members.size());
    for (std::size_t n = most; n > 1; --n)
      if (most % n == 0)
        if (std::optional<Rotation> found = turn(static_cast<int>(n))) return found;
    return std::nullopt;
  }

 private:
  /// The mean of all elements' middles lies on the axis of whatever turn there is.
  void place_axis() {
    Vec3 sum = Vec3::Zero();
    double extent = 0.0;
    for (const Element& e : mesh_.elements) {
      sum += 0.5 * (e.start + e.end);
      extent = std::max({extent, e.start.norm(), e.end.norm()});
    }
    place_ = kSamePlace * extent;
    axis_ = sum / static_cast<double>(std::max<std::size_t>(1, mesh_.elements.size()));
    axis_.z() = 0.0;
    if (axis_.norm() <= place_) axis_.setZero();
  }

  [[nodiscard]] double away(const Vec3& p) const { return (p - axis_).head<2>().norm(); }

  [[nodiscard]] bool on_axis(const Element& e) const {
    return away(e.start) <= place_ && away(e.end) <= place_;
  }

  /// Equal but for a turn by any angle.
  [[nodiscard]] bool alike(std::size_t i, std::size_t j) const {
    const Element& a = mesh_.elements[i];
    const Element& b = mesh_.elements[j];
    return a.order == b.order && close(a.radius, b.radius) && std::abs(a.start.z() - b.start.z()) <= place_ &&
           std::abs(a.end.z() - b.end.z()) <= place_ && std::abs(away(a.start) - away(b.start)) <= place_ &&
           std::abs(away(a.end) - away(b.end)) <= place_ &&
           std::abs((a.end - a.start).norm() - (b.end - b.start).norm()) <= place_ &&
           close(laws_[i].per_metre.real(), laws_[j].per_metre.real()) &&
           close(laws_[i].per_metre.imag(), laws_[j].per_metre.imag()) &&
           close(laws_[i].sheath_capacitance, laws_[j].sheath_capacitance);
  }

  /// Elements off the axis in classes of alike ones, each sorted by angle. False: some element is alone.
  bool make_classes() {
    std::vector<std::size_t> off;
    for (std::size_t e = 0; e < mesh_.elements.size(); ++e)
      (on_axis(mesh_.elements[e]) ? axis_elements_ : off).push_back(e);
    for (const std::size_t e : off) {
      const auto known = std::find_if(classes_.begin(), classes_.end(),
                                      [&](const auto& members) { return alike(members.front(), e); });
      if (known != classes_.end())
        known->push_back(e);
      else if (2 * classes_.size() >= off.size())
        return false;
      else
        classes_.push_back({e});
    }
    for (std::vector<std::size_t>& members : classes_) {
      if (members.size() < 2) return false;
      std::sort(members.begin(), members.end(), [&](std::size_t a, std::size_t b) {
        return angle(mesh_.elements[a]) < angle(mesh_.elements[b]);
      });
    }
    return !classes_.empty();
  }

  [[nodiscard]] double angle(const Element& e) const {
    const Vec3 middle = 0.5 * (e.start + e.end) - axis_;
    const double phi = std::atan2(middle.y(), middle.x());
    return phi < -1e-9 ? phi + 2.0 * core::kPi : phi;  // 0 and -0.0 stay together
  }

  /// A turn keeps the cyclic order of a class, so image i is known; the places decide.
  std::optional<Rotation> turn(int n) const {
    const double c = std::cos(2.0 * core::kPi / n);
    const double s = std::sin(2.0 * core::kPi / n);
    const auto turned = [&](const Vec3& p) {
      const Vec3 q = p - axis_;
      return Vec3(Vec3(c * q.x() - s * q.y(), s * q.x() + c * q.y(), q.z()) + axis_);
    };
    std::vector<std::size_t> image(mesh_.elements.size());
    for (const std::size_t e : axis_elements_) image[e] = e;
    for (const std::vector<std::size_t>& members : classes_) {
      const std::size_t step = members.size() / static_cast<std::size_t>(n);
      for (std::size_t i = 0; i < members.size(); ++i) {
        const Element& from = mesh_.elements[members[i]];
        const std::size_t to = members[(i + step) % members.size()];
        image[members[i]] = to;
        if ((turned(from.start) - mesh_.elements[to].start).norm() > 4.0 * place_ ||
            (turned(from.end) - mesh_.elements[to].end).norm() > 4.0 * place_)
          return std::nullopt;
      }
    }
    Rotation rotation;
    rotation.copies = n;
    rotation.axis = axis_elements_;
    if (!map_nodes(image, n, rotation) || !map_legs(image)) return std::nullopt;
    collect_orbits(image, rotation);
    return rotation;
  }

  /// What meets must meet after the turn; a node is fixed or has n different images.
  bool map_nodes(const std::vector<std::size_t>& image, int n, Rotation& rotation) const {
    std::vector<int>& map = rotation.node_image;
    map.assign(mesh_.nodes.size(), -1);
    for (std::size_t e = 0; e < image.size(); ++e)
      for (const int end : {0, 1}) {
        int& to = map[static_cast<std::size_t>(mesh_.elements[e].node[end])];
        const int wanted = mesh_.elements[image[e]].node[end];
        if (to >= 0 && to != wanted) return false;
        to = wanted;
      }
    for (std::size_t i = 0; i < map.size(); ++i) {
      if (map[i] < 0) continue;
      const geometry::MeshNode& there = mesh_.nodes[static_cast<std::size_t>(map[i])];
      if (mesh_.nodes[i].grounded != there.grounded || mesh_.nodes[i].arms.size() != there.arms.size())
        return false;
      int length = 1;
      for (int at = map[i]; at != static_cast<int>(i); at = map[static_cast<std::size_t>(at)])
        if (++length > n) return false;
      if (length != 1 && length != n) return false;
    }
    return true;
  }

  [[nodiscard]] bool map_legs(const std::vector<std::size_t>& image) const {
    const std::size_t count = mesh_.legs.size();
    std::vector<int> map(count, -1);
    for (std::size_t e = 0; e < image.size(); ++e) {
      int& to = map[static_cast<std::size_t>(mesh_.elements[e].leg)];
      if (to >= 0 && to != mesh_.elements[image[e]].leg) return false;
      to = mesh_.elements[image[e]].leg;
    }
    for (std::size_t i = 0; i < count; ++i)
      for (std::size_t j = 0; j < count; ++j) {
        if (map[i] < 0 || map[j] < 0) continue;
        const std::size_t to = static_cast<std::size_t>(map[i]) * count + static_cast<std::size_t>(map[j]);
        if (mesh_.joined[i * count + j] != mesh_.joined[to] ||
            mesh_.joined_at_ground[i * count + j] != mesh_.joined_at_ground[to])
          return false;
      }
    return true;
  }

  void collect_orbits(const std::vector<std::size_t>& image, Rotation& rotation) const {
    rotation.orbit_of.assign(image.size(), -1);
    rotation.copy_of.assign(image.size(), 0);
    for (std::size_t e = 0; e < image.size(); ++e) {
      if (image[e] == e || rotation.orbit_of[e] >= 0) continue;
      const int k = static_cast<int>(rotation.orbits.size());
      rotation.orbits.emplace_back();
      for (std::size_t at = e; rotation.orbit_of[at] < 0; at = image[at]) {
        rotation.orbit_of[at] = k;
        rotation.copy_of[at] = static_cast<int>(rotation.orbits.back().size());
        rotation.orbits.back().push_back(at);
      }
    }
    const Element& first = mesh_.elements[rotation.orbits.front().front()];
    const Vec3 out = 0.5 * (first.start + first.end) - axis_;
    const double phi = std::atan2(out.y(), out.x());
    rotation.flat = std::all_of(rotation.orbits.begin(), rotation.orbits.end(), [&](const auto& orbit) {
      const Element& e = mesh_.elements[orbit.front()];
      return in_half_plane(e.start, phi) && in_half_plane(e.end, phi);
    });
  }

  [[nodiscard]] bool in_half_plane(const Vec3& p, double phi) const {
    const Vec3 q = p - axis_;
    return std::abs(q.y() * std::cos(phi) - q.x() * std::sin(phi)) <= 4.0 * place_ &&
           q.x() * std::cos(phi) + q.y() * std::sin(phi) >= -4.0 * place_;
  }

  const Mesh& mesh_;
  const std::vector<ElementLaw>& laws_;
  Vec3 axis_ = Vec3::Zero();
  double place_ = 0.0;
  std::vector<std::size_t> axis_elements_;
  std::vector<std::vector<std::size_t>> classes_;
};

}  // namespace

std::optional<Rotation> find_rotation(const Mesh& mesh, const std::vector<ElementLaw>& laws) {
  return Finder(mesh, laws).run();
}

}  // namespace feldspar::moment

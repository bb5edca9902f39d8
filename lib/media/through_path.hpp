#pragma once

#include <complex>
#include <span>
#include <vector>

#include "media/half_space_contour.hpp"

/// Quadrature of the potentials of media/through_surface.hpp over whole boxes of distances. Everything here
/// is in units of 1 / k0: lengths are k0 times lengths, functions are divided by k0.
namespace feldspar::media {

/// Where the two points of a pair are.
enum class PairPlace { below, across };

/// A box of distances: rho, height z of the point above, depth d (below: the sum of both depths; z is 0).
struct Box {
  double from[3] = {0.0, 0.0, 0.0};
  double to[3] = {0.0, 0.0, 0.0};
};

/// A soil and a kind of pair.
struct ThroughSoil {
  std::complex<double> n2;
  std::complex<double> n;      ///< k1 / k0, Im <= 0
  std::complex<double> image;  ///< K = (n2 - 1) / (n2 + 1)
  PairPlace place;

  ThroughSoil(std::complex<double> n_squared, PairPlace where);
};

/// Three functions: below a_h, p, a_m; across a, p, a_m (media/through_surface.hpp). In the sums over a path
/// the static and dynamic parts are still in them.
struct ThroughRest {
  std::complex<double> first;
  std::complex<double> p;
  std::complex<double> a_m;
};

/// One node: the spectral functions at lambda times the weight of the node, to be multiplied with
/// exp(-u0 z - u1 d) and the radial function, of order 0 for the first two and 1 for a_m.
struct PathNode {
  std::complex<double> lambda;
  std::complex<double> u0;
  std::complex<double> u1;
  ThroughRest spectrum;
};

/// The nodes by the radial function they take.
struct Path {
  std::vector<PathNode> bessel;
  std::vector<PathNode> hankel1;
  std::vector<PathNode> hankel2;
};

/// Whether one path is efficient for the whole box: vertical distance at least half of rho everywhere, or rho
/// at least half of it.
[[nodiscard]] bool has_path(const Box& box);

/// A path good for every point of `box`: error below 3e-7 / R (normal) or 1e-9 / R (fine), R the distance or
/// that to the image.
///
/// It leaves 0 into the first quadrant by no more than 1.5 / rho, so that it passes the branch points of u0
/// and u1 and the pole next to k0 at a distance, and ends when exp(-u0 z - u1 d) has died away. Where this
/// takes long (vertical distance small against rho) it returns to J = (H^(1) + H^(2)) / 2 beyond Re k1, the
/// first bent up and the second down, where they decay as exp(-t rho).
[[nodiscard]] Path make_path(const ThroughSoil& soil, const Box& box, ContourGrade grade);

/// The rest functions on the grid rho x z x d by one path: out[(i * z.size() + j) * d.size() + k].
void sample_through(const ThroughSoil& soil, const Path& path, std::span<const double> rho,
                    std::span<const double> z, std::span<const double> d, std::span<ThroughRest> out);

}  // namespace feldspar::media

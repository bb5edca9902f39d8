#pragma once

#include <complex>
#include <cstddef>
#include <optional>
#include <vector>

#include "geometry/mesh.hpp"

/// Rotational symmetry of a mesh round a vertical axis.
namespace feldspar::moment {

/// What an element is besides its place: symmetric elements have the same.
struct ElementLaw {
  std::complex<double> per_metre;   ///< series impedance, ohm/m
  double sheath_capacitance = 0.0;  ///< F/m; infinite without a coat
};

/// A turn by 2 pi / copies that maps a mesh onto itself: elements, orders, radii, laws, nodes and legs.
struct Rotation {
  int copies = 1;
  std::vector<std::size_t> axis;                 ///< elements that stay where they are
  std::vector<std::vector<std::size_t>> orbits;  ///< [k][j]: where j turns put sector element k = [k][0]
  std::vector<int> orbit_of;                     ///< per element: k, or -1 on the axis
  std::vector<int> copy_of;                      ///< per element: j
  std::vector<int> node_image;                   ///< per node: where one turn puts it
  bool flat = false;                             ///< the sector lies in one half-plane that ends at the axis
};

/// The finest such turn, or nothing when there is none. Places are compared to 1e-12 of the extent, so that
/// only rounding is forgiven; the rest must be equal to rounding as well.
/// @param laws per element
[[nodiscard]] std::optional<Rotation> find_rotation(const geometry::Mesh& mesh,
                                                    const std::vector<ElementLaw>& laws);

}  // namespace feldspar::moment

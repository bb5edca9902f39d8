#pragma once

#include "geometry/network.hpp"

/// What a thin-wire computation may be asked, and what it must refuse.
namespace feldspar::geometry {

enum class Surface { none, perfect, soil };

/// Checks a structure. Refused, with the wires, the place and the remedy: wires that cross or touch where
/// they are not joined, wires that overlap, wires in or below the surface, an end on real soil, a port
/// without a return path. Flagged in the result: thick wires, sharp bends of short parts, close parallel
/// wires, very low wires. Wires that share a joint are exempt from the touch and proximity rules near it;
/// their kernel is averaged round both tubes. @param wavelength m @throws core::Error{geometry}
[[nodiscard]] core::Warnings check_validity(const Structure& structure, const Network& network,
                                            Surface surface, double wavelength);

}  // namespace feldspar::geometry

#pragma once

#include "geometry/network.hpp"

/// What a thin-wire computation may be asked, and what it must refuse.
namespace feldspar::geometry {

/// Checks a structure. Refused, with the wires, the place and the remedy: wires that cross or touch where
/// they are not joined, wires that overlap, wires in the surface or below perfect ground, an end on real
/// soil, a port without a return path. Flagged in the result: thick wires, sharp bends of short parts, close
/// parallel wires, wires close above or below the surface. Wires that share a joint are exempt from the touch
/// and proximity rules near it; their kernel is averaged round both tubes. @param wavelength m @throws
/// core::Error{geometry}
[[nodiscard]] core::Warnings check_validity(const Structure& structure, const Network& network,
                                            Surface surface, double wavelength);

/// Whether current that a port drives out of either edge of its gap can go on: neither edge is a free end.
[[nodiscard]] bool has_return(const Port& port, const Network& network);

}  // namespace feldspar::geometry

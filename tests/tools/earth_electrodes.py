#!/usr/bin/env python3
"""Resistance to earth of rods and buried wires by an electrostatic method of moments.

Shares nothing with the library. Uniform soil below z = 0, no current through z = 0 (an image of the same sign),
equal potential everywhere on the metal, leakage constant on each of many graded pieces, equal potential asked
for in the middle of each piece (point matching). A piece acts on its own straight wire as an open tube
(averaged round the circumference), on other wires and on images beside it as a filament seen at one radius.
Writes R / resistivity in 1/m, extrapolated from two meshes, the second with twice the pieces, and by how much they
differ.

    /usr/bin/python3 tests/tools/earth_electrodes.py > tests/data/earth-electrodes.csv
"""
import numpy as np

NODES, WEIGHTS = np.polynomial.legendre.leggauss(48)
# phi = pi t^3 takes the sting out of the logarithm at phi = 0
T = 0.5 * (NODES + 1.0)
PHI, PHI_WEIGHT = np.pi * T**3, 0.5 * WEIGHTS * 3.0 * T**2


def tube(z, radius):
    """Odd primitive in z of the mean over the circumference of 1 / distance between points of one tube."""
    chord = 2.0 * radius * np.sin(0.5 * PHI)
    return np.arcsinh(np.asarray(z)[..., None] / chord) @ PHI_WEIGHT


def filament(along, across):
    return np.arcsinh(along / across)


class Wire:
    """A straight wire in `count` pieces, graded like the charge at its free ends."""

    def __init__(self, start, end, radius, count, free=(True, True)):
        self.start, self.end = np.array(start, float), np.array(end, float)
        self.length = np.linalg.norm(self.end - self.start)
        self.unit = (self.end - self.start) / self.length
        self.radius = radius
        low = -1.0 if free[0] else 0.0
        high = 1.0 if free[1] else 0.0
        u = np.linspace(low, high, count + 1)
        cut = np.sin(0.5 * np.pi * u) if low < high else np.linspace(0.0, 1.0, count + 1)
        self.cuts = self.length * (cut - cut[0]) / (cut[-1] - cut[0])
        self.middles = self.start + 0.5 * (self.cuts[1:] + self.cuts[:-1])[:, None] * self.unit

    def image(self):
        mirror = np.array([1.0, 1.0, -1.0])
        other = object.__new__(Wire)
        other.__dict__.update(self.__dict__)
        other.start, other.end, other.unit = self.start * mirror, self.end * mirror, self.unit * mirror
        return other


def potential(source, points, same_tube):
    """Integral of 1 / distance over each piece of `source` (columns) at the points (rows)."""
    offset = points - source.start
    along = offset @ source.unit
    z = source.cuts[None, :] - along[:, None]
    if same_tube:
        primitive = tube(z, source.radius)
    else:
        across2 = np.maximum(np.sum(offset**2, axis=1) - along**2, 0.0) + source.radius**2
        primitive = filament(z, np.sqrt(across2)[:, None])
    return primitive[:, 1:] - primitive[:, :-1]


def resistance(wires):
    """R / resistivity, 1/m."""
    rows = []
    for observer in wires:
        row = []
        for source in wires:
            vertical = abs(observer.unit[2]) == 1.0 and source is observer and observer.start[2] == 0.0
            row.append(potential(source, observer.middles, source is observer)
                       + potential(source.image(), observer.middles, vertical))
        rows.append(np.hstack(row))
    lengths = np.hstack([np.diff(w.cuts) for w in wires])
    # potential of 1 A per metre: resistivity / (4 pi) integral of 1 / distance
    leakage = np.linalg.solve(np.vstack(rows) / (4.0 * np.pi), np.ones(len(lengths)))
    return 1.0 / (leakage @ lengths)


def rods(count, ring, length, radius, pieces):
    angles = 2.0 * np.pi * (np.arange(count) + 0.5) / count
    reach = ring if count > 1 else 0.0
    feet = np.column_stack([reach * np.cos(angles), reach * np.sin(angles)])
    return [Wire((x, y, 0.0), (x, y, -length), radius, pieces, (False, True)) for x, y in feet]


def level(depth, length, radius, pieces):
    """A level wire with the riser in its middle that leaves the soil."""
    half = 0.5 * length
    return [Wire((0, 0, -depth), (0, -half, -depth), radius, pieces, (False, True)),
            Wire((0, 0, -depth), (0, half, -depth), radius, pieces, (False, True)),
            Wire((0, 0, 0), (0, 0, -depth), radius, max(4, pieces // 4), (False, False))]


def main():
    print("# R / resistivity (1/m) of electrodes in uniform soil; written by tests/tools/earth_electrodes.py, which")
    print("# says how. rods: count on a ring of radius `place` (m), driven from the surface to `length`, not joined")
    print("# in the soil. level: length `length` at depth `place`, with a riser in its middle.")
    print("kind,count,length,radius,place,change,value")
    cases = [("rods", 1, length, radius, 0.0) for length in (0.5, 1.0, 1.5, 3.0, 6.0) for radius in (0.004, 0.008, 0.02)]
    cases += [("rods", count, 1.5, 0.008, 3.0) for count in (2, 4, 8)]
    cases += [("level", 1, length, 0.002, depth) for length in (5.0, 10.0) for depth in (0.1, 0.3, 0.6)]
    for kind, count, length, radius, place in cases:
        def solved(pieces):
            if kind == "rods":
                return resistance(rods(count, place, length, radius, pieces))
            return resistance(level(place, length, radius, pieces))
        coarse, fine = (solved(n) for n in ((40, 80) if count > 2 else (120, 240)))
        # The error of rods falls like 1 / pieces^2 (30 to 480 pieces tried); that of level wires is below 1e-5.
        print(f"{kind},{count},{length:g},{radius:g},{place:g},{abs(fine - coarse):.2g},{fine + (fine - coarse) / 3.0:.6g}")


if __name__ == "__main__":
    main()

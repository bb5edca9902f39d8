#!/usr/bin/env python3
"""Potentials of currents in soil and across its surface (Formulation C), integrated along the real axis.

With u0 = sqrt(l^2 - k0^2), u1 = sqrt(l^2 - n2 k0^2), Re u >= 0, D1 = u0 + u1, D2 = n2 u0 + u1, G = (u0 - u1) / D1 and
W = 2 l (n2 - 1) / (D1 D2), all integrals over l from 0 to infinity:
both below, E = exp(-u1 (|z| + |z'|)), without the direct wave
    A_h = -int l G / u1 E J0                                A_m = int l W E J1
    A_v = -int [l (n2 u0 - u1) / (D2 u1) + u1 W] E J0       P = int [-l G / u1 + u1 W] E J0 / n2
across, E = exp(-u0 z - u1 d)
    A_h = A_v = int 2 l / D1 E J0       A_m = int l W E J1       P = int 2 l / D2 E J0

Nothing is subtracted and no path leaves the real axis: the ranges between the branch points are mapped so that the
square roots vanish (l = k sin t or k cosh t), panels are halved until 24 Gauss points agree with 48, and what lies beyond
follows half periods of J: to the end where the exponential ends it soon, otherwise extrapolated [levin's u transform].
exp(+j w t), 40 working digits; the last column is the largest difference between two extrapolations, or 0.

    /usr/bin/python3 tests/tools/potentials_through_surface.py > tests/data/through_surface.csv
"""
import mpmath as mp

mp.mp.dps = 40
C = mp.mpf(299792458)
EPS0 = 1 / (4 * mp.pi * mp.mpf("1e-7") * C**2)
SMALL = mp.mpf(10) ** -18


def gauss_rule(n):
    rule = []
    for i in range(n):
        x = mp.cos(mp.pi * (i + mp.mpf("0.75")) / (n + mp.mpf("0.5")))
        for _ in range(8):  # Newton
            before, here = mp.mpf(1), x
            for k in range(2, n + 1):
                before, here = here, ((2 * k - 1) * x * here - (k - 1) * before) / k
            slope = n * (x * here - before) / (x * x - 1)
            x -= here / slope
        rule.append((x, 2 / ((1 - x * x) * slope**2)))
    return rule


RULE = gauss_rule(24)


class Pair:
    def __init__(self, across, f, eps, sigma, rho, z, d):
        omega = 2 * mp.pi * mp.mpf(f)
        self.across, self.rho, self.z, self.d = across, mp.mpf(rho), mp.mpf(z), mp.mpf(d)
        self.k0 = omega / C
        self.n2 = mp.mpc(eps, -mp.mpf(sigma) / (omega * EPS0))
        self.re_k1 = self.k0 * mp.sqrt(self.n2).real
        self.r = mp.sqrt(self.rho**2 + (self.z + self.d) ** 2)

    @staticmethod
    def root(square):
        if square.imag == 0 and square.real < 0:
            return mp.mpc(0, mp.sqrt(-square.real))  # from above the real axis
        return mp.sqrt(square)

    def integrand(self, l):
        n2 = self.n2
        u0 = self.root(mp.mpc(l * l - self.k0**2))
        u1 = self.root(l * l - n2 * self.k0**2)
        d1, d2 = u0 + u1, n2 * u0 + u1
        w = 2 * l * (n2 - 1) / (d1 * d2)
        decay = mp.exp(-u0 * self.z - u1 * self.d)
        j0 = decay * mp.besselj(0, l * self.rho)
        j1 = decay * mp.besselj(1, l * self.rho)
        if self.across:
            a = 2 * l / d1 * j0
            return [a, a, l * w * j1, 2 * l / d2 * j0]
        g = l * (u0 - u1) / (d1 * u1)
        v = l * (n2 * u0 - u1) / (d2 * u1)
        return [-g * j0, -(v + u1 * w) * j0, l * w * j1, (-g + u1 * w) * j0 / n2]

    def panel(self, curve, a, b):
        middle, half = (a + b) / 2, (b - a) / 2
        total = [mp.mpc(0)] * 4
        for x, weight in RULE:
            l, slope = curve(middle + half * x)
            total = [t + weight * half * slope * v for t, v in zip(total, self.integrand(l))]
        return total

    def halved(self, curve, a, b, whole=None):
        whole = whole or self.panel(curve, a, b)
        middle = (a + b) / 2
        parts = self.panel(curve, a, middle), self.panel(curve, middle, b)
        total = [x + y for x, y in zip(*parts)]
        if max(abs(x - y) for x, y in zip(total, whole)) < SMALL / self.r:
            return total
        left, right = self.halved(curve, a, middle, parts[0]), self.halved(curve, middle, b, parts[1])
        return [x + y for x, y in zip(left, right)]

    def add(self, total, curve, *borders):
        for a, b in zip(borders, borders[1:]):
            total[:] = [t + v for t, v in zip(total, self.halved(curve, a, b))]

    def inner(self, end):
        """0 to `end` > Re k1"""
        k0, k1 = self.k0, self.re_k1
        size = 1 / mp.sqrt(abs(self.n2))  # u0 / k0 at the pole next to k0
        total = [mp.mpc(0)] * 4
        below0 = lambda t: (k0 * mp.cos(t), k0 * mp.sin(t))
        above0 = lambda t: (k0 * mp.cosh(t), k0 * mp.sinh(t))
        below1 = lambda t: (k1 * mp.cos(t), k1 * mp.sin(t))
        above1 = lambda t: (k1 * mp.cosh(t), k1 * mp.sinh(t))
        self.add(total, below0, mp.mpf(0), size, mp.pi / 2)
        middle = mp.sqrt(k0 * k1)
        top = mp.acosh(middle / k0)
        self.add(total, above0, mp.mpf(0), min(size, top), top)
        self.add(total, below1, mp.mpf(0), mp.acos(middle / k1))
        borders = [mp.mpf(0)]
        while k1 * mp.cosh(borders[-1] + 1) < end:
            borders.append(borders[-1] + 1)
        self.add(total, above1, *borders, mp.acosh(end / k1))
        return total

    def extrapolated(self, start):
        """start to infinity by half periods, and how far it moves when three of them are left out"""
        straight = lambda t: (t, 1)
        step = mp.pi / self.rho
        sums, total = [], [mp.mpc(0)] * 4
        for i in range(40):
            self.add(total, straight, start + i * step, start + (i + 1) * step)
            sums.append(list(total))

        def limit(count, which):
            levin = mp.levin(method="levin", variant="u")
            value, _ = levin.update_psum([s[which] for s in sums[:count]])
            return value

        best = [limit(40, i) for i in range(4)]
        return best, max(abs(b - limit(37, i)) for i, b in enumerate(best))

    def potentials(self):
        vertical = self.z + self.d
        # exp(-50) = 2e-22
        end = 2 * self.re_k1 + 50 / vertical if vertical > 0 else mp.inf
        beyond = mp.mpf("1.5") * self.re_k1
        if self.rho > 0 and (end - beyond) * self.rho > 600:
            beyond += 3 / self.rho
            total = self.inner(beyond)
            rest, moved = self.extrapolated(beyond)
            return [t + r for t, r in zip(total, rest)], moved * self.r
        return self.inner(end), mp.mpf(0)


SOILS = (("2", "0"), ("13", "0.005"), ("4", "0.001"), ("81", "5"), ("30", "0.03"), ("81", "0"), ("3", "0.0001"))
FREQUENCIES = ("1e4", "1e5", "1.8e6", "7.1e6", "28.5e6", "150e6")
BELOW = (("0", "0", "0.0001"), ("0.02", "0", "0.01"), ("1", "0", "0.3"), ("50", "0", "0.01"), ("0", "0", "0.3"),
         ("5", "0", "0.002"), ("200", "0", "0.5"), ("20", "0", "20"), ("0.004", "0", "0.0002"), ("0.7", "0", "2"))
ACROSS = (("0", "0.0001", "0.0001"), ("0.003", "0", "0.002"), ("0.5", "0.2", "0"), ("0", "3", "0.5"),
          ("10", "0.01", "0.02"), ("100", "2", "0.1"), ("200", "0.005", "0.3"), ("2", "10", "1"), ("30", "0", "0.001"),
          ("0.02", "0.3", "0.01"), ("0", "0", "0.05"))


# deep in soil without loss: many radians of exp(-u1 d) between k0 and k1
DEEP = ((False, "150e6", ("81", "0"), ("0.7", "0", "2")), (False, "150e6", ("2", "0"), ("5", "0", "20")),
        (True, "150e6", ("81", "0"), ("0.2", "0", "3")), (True, "28.5e6", ("13", "0"), ("3", "0.001", "25")))


def rows():
    for i in range(42):  # every soil at every frequency
        for across, places in ((False, BELOW), (True, ACROSS)):
            yield across, FREQUENCIES[i % 6], SOILS[i % 7], places[i % len(places)]
    yield from DEEP


def main():
    print("# Potentials of currents in a half-space of soil and across its surface, Formulation C, without the direct wave.")
    print("# exp(+j w t); c = 299792458 m/s, mu0 = 4 pi 1e-7 H/m, eps0 = 1/(mu0 c^2); lengths in m, potentials in 1/m.")
    print("# Both below: depth is the sum of the depths. Real-axis integration in 40 digits, printed with 13; `moved` is an")
    print("# estimate of the extrapolation's error relative to 1/R. Made by an independent program:")
    print("# /usr/bin/python3 tests/tools/potentials_through_surface.py > tests/data/through_surface.csv")
    print("place,f_hz,eps_r,sigma_s_per_m,rho,height,depth,re_ah,im_ah,re_av,im_av,re_am,im_am,re_p,im_p,moved")
    for across, f, soil, (rho, z, d) in rows():
        pair = Pair(across, f, soil[0], soil[1], rho, z, d)
        damping = -(pair.k0 * mp.sqrt(pair.n2)).imag * pair.d
        if damping > 15:  # nothing would be left
            d = mp.nstr(pair.d * 5 / damping, 2)
            pair = Pair(across, f, soil[0], soil[1], rho, z, d)
        values, moved = pair.potentials()
        numbers = [mp.nstr(part, 13) for v in values for part in (v.real, v.imag)]
        place = "across" if across else "below"
        print(",".join([place, f, *soil, rho, z, d, *numbers, mp.nstr(moved, 2)]), flush=True)


if __name__ == "__main__":
    main()

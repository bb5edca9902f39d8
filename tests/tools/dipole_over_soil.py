#!/usr/bin/env python3
"""Powers of a short dipole above a lossy half-space, without any flux integral.

Input power is what the source works against: half the real part of -E.J* at the dipole, that is the free-space
radiated power plus the reflected field at the source from its Sommerfeld integral. Sky power is the hemisphere
integral of the direct plus Fresnel-reflected far field. Ground power is the difference.
Vertical:   E_z = Il/(4 pi j w e0) int R_v lambda^3/u0 exp(-2 u0 h) dlambda
Horizontal: E_x = Il/(4 pi j w e0) 1/2 int lambda/u0 (k0^2 R_h + u0^2 R_v) exp(-2 u0 h) dlambda
(derived from E = (k^2 + grad div) Il G/(j w e0); R_v, R_h reflect H and E). exp(+j w t), Il = 1 A m peak.

    /usr/bin/python3 tests/tools/dipole_over_soil.py > tests/data/fields/dipole_over_soil.csv
"""
import mpmath as mp

mp.mp.dps = 30
C = mp.mpf(299792458)
ETA = mp.mpf("376.730313412")


def soil(eps, sigma, f):
    omega_eps0 = 2 * mp.pi * f / C / ETA
    return mp.mpc(eps, -sigma / omega_eps0)


def powers(f, eps, sigma, height, vertical):
    k = 2 * mp.pi * f / C
    n2 = soil(eps, sigma, f)
    size = mp.sqrt(abs(n2))

    def integrand(lam, u0):  # without lambda dlambda / u0
        u1 = mp.mpc(0, 1) * mp.sqrt(n2 * k**2 - lam**2)
        rv = (n2 * u0 - u1) / (n2 * u0 + u1)
        rh = (u0 - u1) / (u0 + u1)
        shape = rv * lam**2 if vertical else (k**2 * rh + u0**2 * rv) / 2
        return shape * mp.exp(-2 * u0 * height)

    # lambda = k sin t, u0 = j k cos t, lambda dlambda / u0 = -j k sin t dt
    edges = [0, mp.pi / 2 - 1 / size if size > 1.2 else mp.mpf("0.7"), mp.pi / 2 - mp.mpf("0.1") / size, mp.pi / 2]
    below = mp.quad(lambda t: mp.mpc(0, -1) * k * mp.sin(t) * integrand(k * mp.sin(t), mp.mpc(0, 1) * k * mp.cos(t)), edges)
    # u0 as the variable, lambda dlambda / u0 = du0
    k1 = k * size
    steps = [0, k / size / 4, k / size, k, k1 / 2, k1, 2 * k1, 8 * k1, 40 * k1]
    end = 40 / height
    steps = sorted(set([s for s in steps if s < end] + [end / 40, end / 4, end]))
    above = mp.quad(lambda u: integrand(mp.sqrt(u**2 + k**2), u), steps)
    field = (below + above) / (4 * mp.pi * mp.mpc(0, 1) * k / ETA)
    total = ETA * k**2 / (12 * mp.pi) - field.real / 2

    def sky(t):  # t from the zenith
        s, c = mp.cos(t), mp.sin(t)  # sine and cosine of the elevation
        root = mp.sqrt(n2 - c**2)
        rv = (n2 * s - root) / (n2 * s + root)
        rh = (s - root) / (s + root)
        turn = mp.exp(mp.mpc(0, -2) * k * height * s)
        if vertical:
            pattern = 2 * mp.pi * c**2 * abs(1 + rv * turn) ** 2
        else:  # mean of cos^2 and sin^2 over azimuth
            pattern = mp.pi * (s**2 * abs(1 - rv * turn) ** 2 + abs(1 + rh * turn) ** 2)
        return pattern * c

    sky_power = ETA * k**2 / (32 * mp.pi**2) * mp.quad(sky, edges)
    return total, sky_power


def main():
    print("# Short dipole of moment 1 A m (peak) above a lossy half-space: input power from the reflected field at the")
    print("# source, sky power from the hemisphere, ground power = difference. Independent of any flux integral; 30 digits,")
    print("# command: /usr/bin/python3 tests/tools/dipole_over_soil.py > tests/data/fields/dipole_over_soil.csv")
    print("frequency_hz,relative_permittivity,conductivity_s_per_m,height_m,vertical,sky_w,ground_w")
    for f, eps, sigma in ((1.85e6, 13, 0.005), (14.2e6, 13, 0.005), (14.2e6, 3, 0.0001), (50.1e6, 20, 0.0303), (7.1e6, 81, 5)):
        for height in ("0.02", "0.5", "6"):
            for vertical in (1, 0):
                total, sky = powers(mp.mpf(f), mp.mpf(eps), mp.mpf(str(sigma)), mp.mpf(height), vertical)
                print(f"{f:.0f},{eps},{sigma},{height},{vertical},{mp.nstr(sky, 13)},{mp.nstr(total - sky, 13)}")


if __name__ == "__main__":
    main()

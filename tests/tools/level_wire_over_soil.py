#!/usr/bin/env python3
"""Powers of a level half-wave wire with a sinusoidal current just above a lossy half-space, without any flux integral.

Current cos(k x), |x| <= lambda/4, 1 A peak, along x at height h. Input power = free-space radiated power (resistance
73.0790102 ohm from (eta/4 pi) Cin(2 pi)) minus half the real part of the reflected field's work on the current,
    1/(8 pi^2 j w e0) int int |F(kx)|^2 / u0 [k^2 R_h ky^2 + u0^2 R_v kx^2]/lambda^2 exp(-2 u0 h) dkx dky,
F(kx) = 2 k cos(kx lambda/4)/(k^2 - kx^2); sky power = hemisphere integral; ground = difference. The integral runs over kx
and ky (not polar), by Gauss panels, with square roots substituted away at lambda = k.

    /usr/bin/python3 tests/tools/level_wire_over_soil.py > tests/data/fields/level_wire_over_soil.csv
"""
import numpy as np
from scipy.special import sici

C = 299792458.0
ETA = 376.730313412
NODES, WEIGHTS = np.polynomial.legendre.leggauss(24)


def panels(edges):
    edges = np.asarray(edges)
    half = 0.5 * np.diff(edges)
    mid = 0.5 * (edges[1:] + edges[:-1])
    return (mid[:, None] + half[:, None] * NODES).ravel(), (half[:, None] * WEIGHTS).ravel()


def powers(f, eps, sigma, height):
    k = 2 * np.pi * f / C
    n2 = eps - 1j * sigma * ETA / k
    length = np.pi / k
    k1 = k * np.sqrt(abs(n2))

    def spectrum(kx):
        d = k * k - kx * kx
        close = np.abs(d) < 1e-9 * k * k
        return np.where(close, length / 2, 2 * k * np.cos(kx * length / 2) / np.where(close, 1, d))

    def kernel(kx, ky, u0):
        lam2 = kx * kx + ky * ky
        u1 = 1j * np.sqrt(n2 * k * k - lam2)
        rv = (n2 * u0 - u1) / (n2 * u0 + u1)
        rh = (u0 - u1) / (u0 + u1)
        return (k * k * rh * ky * ky + u0 * u0 * rv * kx * kx) / lam2 * np.exp(-2 * u0 * height)

    def grid(first, last):  # geometric panels from 0
        return np.concatenate(([0.0], np.geomspace(first, last, max(2, int(np.ceil(np.log(last / first) / np.log(1.7)))))))

    def inner(kx, root):  # int over all ky of kernel / u0; root = sqrt|kx^2 - k^2|
        if kx < k:
            a = root
            # ky = a sin t, u0 = j a cos t, dky / u0 = dt / j; then ky^2 = a^2 + u^2, dky / u0 = du / ky
            t, w = panels(np.pi / 2 - np.concatenate((np.geomspace(np.pi / 2, 1e-4, 18), [0.0])))
            below = np.sum(w * kernel(kx, a * np.sin(t), 1j * a * np.cos(t))) / 1j
            # near ky = a the substitution u = a sinh keeps dky / u0 smooth even for small a
            s, ws = panels(np.concatenate(([0.0], np.linspace(0, np.arcsinh(22 / height / a), 60)[1:])))
            u = a * np.sinh(s)
            above = np.sum(ws * kernel(kx, a * np.cosh(s), u.astype(complex)))
            return 2 * (below + above)
        b = root
        # u0^2 = ky^2 + b^2: ky = b sinh s, dky / u0 = ds
        s, ws = panels(np.linspace(0, np.arcsinh(22 / height / b), 60))
        return 2 * np.sum(ws * kernel(kx, b * np.sinh(s), (b * np.cosh(s)).astype(complex)))

    # kx: square-root substitutions on both sides of k, then panels short against the ripple of F
    t, wt = panels(np.concatenate((np.linspace(0, 1.4, 8), np.pi / 2 - np.geomspace(np.pi / 2 - 1.4, 1e-5, 12)[1:], [np.pi / 2])))
    total = sum(w * k * np.cos(x) * abs(spectrum(k * np.sin(x))) ** 2 * inner(k * np.sin(x), k * np.cos(x)) for x, w in zip(t, wt))
    last = 20 / height + 12 * k
    edges = np.concatenate((k * np.geomspace(1e-6, 1, 14), np.arange(k, 12 * k, 0.3 * k)[1:], np.arange(12 * k, last, 5 * k)))
    q, wq = panels(np.concatenate(([0.0], edges)))  # q = sqrt(kx^2 - k^2)
    kx = np.sqrt(q * q + k * k)
    total += sum(w * x / y * abs(spectrum(y)) ** 2 * inner(y, x) for x, y, w in zip(q, kx, wq))
    total *= 2  # both signs of kx
    work = total / (8 * np.pi**2 * 1j * k / ETA)
    sine, cosine = sici(2 * np.pi)
    cin = np.euler_gamma + np.log(2 * np.pi) - cosine
    radiated = 0.5 * ETA / (4 * np.pi) * cin
    input_power = radiated - 0.5 * work.real

    s, ws = panels(np.concatenate(([0.0], np.geomspace(0.01, 1, 20))))  # sine of the elevation
    a, wa = panels(np.linspace(0, 2 * np.pi, 9))
    s, a = s[:, None], a[None, :]
    c = np.sqrt(1 - s * s)
    root = np.sqrt(n2 - c * c)
    rv = (n2 * s - root) / (n2 * s + root)
    rh = (s - root) / (s + root)
    turn = np.exp(-2j * k * height * s)
    f2 = abs(spectrum(k * c * np.cos(a))) ** 2
    u = f2 * (np.cos(a) ** 2 * s * s * abs(1 - rv * turn) ** 2 + np.sin(a) ** 2 * abs(1 + rh * turn) ** 2)
    sky = ETA * k * k / (32 * np.pi**2) * np.sum(ws[:, None] * wa[None, :] * u)
    return input_power, sky


def main():
    print("# Level half-wave wire, current cos(k x) of 1 A (peak), above a lossy half-space: input power from the work of the")
    print("# reflected field, sky power from the hemisphere, ground = difference. Independent of any flux integral;")
    print("# command: /usr/bin/python3 tests/tools/level_wire_over_soil.py > tests/data/fields/level_wire_over_soil.csv")
    print("frequency_hz,relative_permittivity,conductivity_s_per_m,height_m,sky_w,ground_w")
    for f, eps, sigma in ((14.2e6, 13, 0.005), (50.1e6, 4, 0.001)):
        for height in (0.01, 0.05, 2.0):
            total, sky = powers(f, eps, sigma, height)
            print(f"{f:.0f},{eps},{sigma},{height},{sky:.11g},{total - sky:.11g}")


if __name__ == "__main__":
    main()

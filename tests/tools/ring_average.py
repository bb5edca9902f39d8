#!/usr/bin/python3
"""Values for tests/kernel: kernel averages by adaptive quadrature of their definition (mpmath, 30 digits)."""
import mpmath as mp

mp.mp.dps = 30


def coaxial(u, a, b, k):
    def f(phi):
        r = mp.sqrt(u * u + a * a + b * b - 2 * a * b * mp.cos(phi))
        return mp.exp(-1j * k * r) / r
    return mp.quad(f, [0, mp.mpf(1) / 100, mp.mpf(1) / 10, 1, mp.pi]) / mp.pi


def skew(d, a, b, k):
    """Tube m along z, tube n along x, d from n's axis point to m's axis point."""
    def f(p, q):
        x = d[0] + a * mp.cos(p)
        y = d[1] + a * mp.sin(p) - b * mp.cos(q)
        z = d[2] - b * mp.sin(q)
        r = mp.sqrt(x * x + y * y + z * z)
        return mp.exp(-1j * k * r) / r
    mp.mp.dps = 15
    v = mp.quad(f, [0, mp.pi, 2 * mp.pi], [0, mp.pi, 2 * mp.pi]) / (4 * mp.pi ** 2)
    mp.mp.dps = 30
    return v


for u, a, b, k in [("0.001", "0.001", "0.001", "0.3"), ("0.0001", "0.001", "0.001", "0.3"), ("0.05", "0.001", "0.001", "0.3"),
                   ("0", "0.01", "0.006", "0.6"), ("0.02", "0.01", "0.006", "0.6"), ("0.003", "0.03", "0.03", "1.05"),
                   ("2", "0.03", "0.03", "1.05")]:
    v = coaxial(*map(mp.mpf, (u, a, b, k)))
    print("coaxial", u, a, b, k, mp.nstr(v.real, 15), mp.nstr(v.imag, 15))
for d, a, b, k in [((0.02, 0.0, 0.03), 0.001, 0.001, 0.3), ((0.002, 0.004, 0.003), 0.001, 0.0005, 0.3),
                   ((0.004, 0.003, -0.008), 0.002, 0.001, 1.0)]:
    v = skew(d, a, b, k)
    print("skew", d, a, b, k, mp.nstr(v.real, 12), mp.nstr(v.imag, 12))

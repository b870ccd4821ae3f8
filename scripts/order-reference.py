#!/usr/bin/env python3
"""Reference values for the time between two events, by SciPy, along other ways than the program goes.

Sums of uniforms and a normal: by inversion of the characteristic function (Gil-Pelaez).
Several marks of one event: by integrating the areas that the marks leave over the offset's error.
Printed as Rust rows; they stand in `src/evidence/time/spread.rs` and `src/evidence/tests/order_evidence.rs`. Needs numpy and scipy.
"""
import numpy as np
from scipy.integrate import quad
from scipy.stats import norm


def below(widths, sigma, x):
    """P(sum <= x), the sum centred at 0."""
    def f(t):
        product = np.exp(-0.5 * (t * sigma) ** 2)
        for w in widths:
            product *= np.sinc(t * w / 2 / np.pi)
        return np.sinc(t * x / np.pi) * x * product
    end = 40.0 / sigma
    pieces = np.linspace(0, end, 400)
    return 0.5 + sum(quad(f, a, b, epsabs=1e-15, epsrel=1e-13)[0] for a, b in zip(pieces, pieces[1:])) / np.pi


print("// spread.rs: (widths, sigma, x, P(X <= x))")
for widths, sigma, x in [
    ([1.0, 1.0], 0.1, -0.7),
    ([1.0, 0.5], 0.25, 0.3),
    ([1.0, 2.0], 3.0, -4.0),
    ([0.02, 1.0], 1.0, 0.5),
    ([1.0, 0.5, 0.3], 0.2, -0.9),
    ([1.0, 1.0, 0.6, 0.6, 0.2, 0.2], 0.3, -1.1),
    ([1.0, 1.0, 0.05, 0.05, 0.04, 0.04], 1.0, 0.8),
]:
    print(f"        (&{widths}, {sigma}, {x}, {below(widths, sigma, x):.13f}),")


def area(a1, b1, a2, b2, x):
    """Area of E1 in (a1, b1], E2 in (a2, b2] with E2 - E1 > x."""
    if b1 <= a1 or b2 <= a2:
        return 0.0
    g = lambda t: 0.5 * max(t, 0.0) ** 2
    return g(b2 - x - a1) - g(a2 - x - a1) - g(b2 - x - b1) + g(a2 - x - b1)


def joint(name, on_a, on_b, sigma, x=0.0):
    """Marks on camera a (error 0) and camera b (offset error of this sigma): event -> interval in common time."""
    def rectangle(e):
        ends = []
        for event in (1, 2):
            lows = [on_a[event][0]] if event in on_a else []
            highs = [on_a[event][1]] if event in on_a else []
            if event in on_b:
                lows.append(on_b[event][0] + e)
                highs.append(on_b[event][1] + e)
            ends += [max(lows), min(highs)]
        return ends
    def of(which):
        def f(e):
            a1, b1, a2, b2 = rectangle(e)
            low, high = a2 - b1, b2 - a1
            if b1 <= a1 or b2 <= a2:
                return 0.0
            w1, w2 = b1 - a1, b2 - a2
            m = (a2 + b2 - a1 - b1) / 2
            value = {"p": area(a1, b1, a2, b2, x), "z": w1 * w2, "m": w1 * w2 * m,
                     "s": w1 * w2 * (m * m + (w1 * w1 + w2 * w2) / 12)}[which]
            return value * norm.pdf(e, 0, sigma)
        edges = {0.0}
        for event in (1, 2):
            if event in on_a and event in on_b:
                edges |= {p - q for p in on_a[event] for q in on_b[event]}
        for p in [v for i in (on_a, on_b) for v in i.get(2, ())]:
            for q in [v for i in (on_a, on_b) for v in i.get(1, ())]:
                edges |= {p - q - x, q - p + x}
        edges = sorted(v for v in edges | {k * sigma for k in range(-9, 10)} if abs(v) <= 9 * sigma)
        return sum(quad(f, u, v, epsabs=1e-16, epsrel=1e-12)[0] for u, v in zip(edges, edges[1:]) if v > u)
    z, m = of("z"), of("m")
    mean = m / z
    print(f"        // {name}\n        p {of('p') / z:.10f} mean {mean:.10f} sigma {np.sqrt(of('s') / z - mean * mean):.10f}")


F = lambda k, rate, offset=0.0: ((k - 1) / rate + offset, k / rate + offset)
R = 60000 / 1001
joint("both events on a, the first on b as well", {1: F(100, R), 2: F(101, R)}, {1: F(50, 30, 0.003)}, 0.004, 0.015)
joint("both on both", {1: F(100, R), 2: F(101, R)}, {1: F(50, 30, 0.003), 2: F(51, 30, 0.003)}, 0.004, 0.02)
joint("first on both, then on b alone", {1: F(100, R)}, {1: F(50, 30, 0.003), 2: F(51, 30, 0.003)}, 0.004, 0.02)
joint("a tight offset", {1: F(100, R)}, {1: F(50, 30, 0.003), 2: F(51, 30, 0.003)}, 0.0002, 0.02)
joint("a loose offset", {1: F(100, R), 2: F(102, R)}, {1: F(50, 30, 0.003), 2: F(51, 30, 0.003)}, 0.5, 0.03)

print("// cli_order.rs: the example of the format")
print(below([1 / 30, 1001 / 60000], 0.004, 19.65 + 0.412 - 1203.5 * 1001 / 60000))

"""Closed-form steps of two coupled linear equations x' = A x + c.

The drive and the motor are linear between two commands, so one exact step of
any length takes the place of thousands of small ones.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

__all__ = ["Matrix", "Pair", "advance"]

Pair = tuple[float, float]
Matrix = tuple[float, float, float, float]
"""A 2 x 2 matrix by rows: (a11, a12, a21, a22)."""


def advance(matrix: Matrix, state: Pair, rate: Pair, duration: float) -> tuple[Pair, Pair]:
    """Step x' = A x + c exactly, given the rate x'(0) = A x(0) + c.

    *Model*: x(h) = x + h phi1(A h) x'(0) and its integral over the step is
    x h + h^2 phi2(A h) x'(0), with phi1(z) = (e^z - 1)/z and
    phi2(z) = (phi1(z) - 1)/z.  A function of a 2 x 2 matrix is c0 I + c1 A
    (Cayley-Hamilton), so no general exponential is needed, and A may be singular.
    *Source*: N. Higham, Functions of Matrices, SIAM 2008, ch. 1 and 10 (from memory).

    Args:
        matrix: A, in 1/s.
        state: x at the start.
        rate: x' at the start.
        duration: h in s, not negative.

    Returns:
        The state at the end, and the integral of the state over the step.
    """
    a11, a12, a21, a22 = matrix
    middle = 0.5 * (a11 + a22)
    square = 0.25 * (a11 - a22) ** 2 + a12 * a21
    if abs(square) * duration * duration < 1e-10:
        # Nearly equal eigenvalues: the difference below becomes a derivative.
        z = middle * duration
        one, two = _phi(z)
        one1, two1 = (duration * slope for slope in _phi_slopes(z, one, two))
        one0, two0 = one - one1 * middle, two - two1 * middle
    elif square >= 0.0:
        spread = math.sqrt(square)
        one_p, two_p = _phi((middle + spread) * duration)
        one_m, two_m = _phi((middle - spread) * duration)
        one1 = (one_p - one_m) / (2.0 * spread)
        two1 = (two_p - two_m) / (2.0 * spread)
        one0 = 0.5 * (one_p + one_m) - one1 * middle
        two0 = 0.5 * (two_p + two_m) - two1 * middle
    else:
        swing = math.sqrt(-square)
        one_c, two_c = _phi_complex(complex(middle, swing) * duration)
        one1, two1 = one_c.imag / swing, two_c.imag / swing
        one0, two0 = one_c.real - one1 * middle, two_c.real - two1 * middle
    x, y = state
    p, q = rate
    ap, aq = a11 * p + a12 * q, a21 * p + a22 * q
    square_h = duration * duration
    return (
        (x + duration * (one0 * p + one1 * ap), y + duration * (one0 * q + one1 * aq)),
        (
            x * duration + square_h * (two0 * p + two1 * ap),
            y * duration + square_h * (two0 * q + two1 * aq),
        ),
    )


def _phi(z: float) -> Pair:
    if abs(z) < 1e-3:  # the quotients lose their digits near 0: use the series
        return (1.0 + z * (0.5 + z * (1 / 6 + z / 24)), 0.5 + z * (1 / 6 + z * (1 / 24 + z / 120)))
    one = math.expm1(z) / z
    return one, (one - 1.0) / z


def _phi_slopes(z: float, one: float, two: float) -> Pair:
    """Give the derivatives of phi1 and phi2 at z, where they are `one` and `two`."""
    if abs(z) < 0.05:  # here too the quotients lose their digits: six terms of the series
        first = (1 / 2, 1 / 3, 1 / 8, 1 / 30, 1 / 144, 1 / 840)
        second = (1 / 6, 1 / 12, 1 / 40, 1 / 180, 1 / 1008, 1 / 6720)
        powers = [z**k for k in range(6)]
        return _dot(first, powers), _dot(second, powers)
    return (1.0 + z * one - one) / z, (one - 2.0 * two) / z


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    return sum([a * b for a, b in zip(one, other, strict=True)])


def _phi_complex(z: complex) -> tuple[complex, complex]:
    if abs(z) < 1e-3:
        return (1.0 + z * (0.5 + z * (1 / 6 + z / 24)), 0.5 + z * (1 / 6 + z * (1 / 24 + z / 120)))
    one = (cmath.exp(z) - 1.0) / z
    return one, (one - 1.0) / z

"""Random draws that are the same in every interpreter, and the normal curve.

Knows: a small seeded generator, its helpers (shuffles, one draw per stratum), the
normal distribution and its inverse. Leaves to others: what the draws stand for.

Why not the standard library: the phone's interpreter lacks `random.gauss`, and its
other functions draw another sequence for the same seed. Why this generator: all
products stay below 2**30, where the phone's interpreter keeps integers without
allocating memory.
"""

import math

# Three multiplicative congruential generators, added: Wichmann & Hill, Algorithm
# AS 183, Applied Statistics 31 (1982) 188-190 (constants from memory; their orders
# are tested). Period about 7e12, ample for some 1e5 draws per answer.
_A1, _M1 = 171, 30269
_A2, _M2 = 172, 30307
_A3, _M3 = 170, 30323

# Rational approximations of the inverse normal: Wichura, Algorithm AS 241 (PPND7),
# Applied Statistics 37 (1988) 477-484 (constants from memory; tested against an
# independent implementation). Relative accuracy about 1e-7.
_CENTRE = (3.3871327179, 50.434271938, 159.29113202, 59.109374720)
_CENTRE_BELOW = (17.895169469, 78.757757664, 67.187563600)
_FLANK = (1.4234372777, 2.7568153900, 1.3067284816, 0.17023821103)
_FLANK_BELOW = (0.73700164250, 0.12021132975)
_TAIL = (6.6579051150, 3.0812263860, 0.42868294337, 0.017337203997)
_TAIL_BELOW = (0.24197894225, 0.012258202635)


def normal_cdf(z: float) -> float:
    """Share of a standard normal that lies at or below `z`.

    Parameters
        z: a standard normal score, any real number. [-]
    Returns
        Probability, 0 to 1. [-]
    Source
        Identity Phi(z) = erfc(-z / sqrt 2) / 2.

    >>> normal_cdf(0.0)
    0.5
    """
    return 0.5 * math.erfc(-0.7071067811865476 * z)


def normal_quantile(p: float) -> float:
    """The standard normal score below which a share `p` lies.

    Parameters
        p: probability, strictly between 0 and 1. [-]
    Returns
        Standard normal score. [-]
    Raises
        ValueError: `p` is not strictly between 0 and 1.
    Notes
        Relative accuracy 1e-7 for 1e-30 < p < 1 - 1e-15.
    Source
        Wichura, Algorithm AS 241 (PPND7), Applied Statistics 37 (1988) 477-484.

    >>> abs(normal_quantile(0.9) - 1.2815516) < 1e-6
    True
    """
    q = p - 0.5
    if -0.425 <= q <= 0.425:
        r = 0.180625 - q * q
        a0, a1, a2, a3 = _CENTRE
        b1, b2, b3 = _CENTRE_BELOW
        return q * (((a3 * r + a2) * r + a1) * r + a0) / (((b3 * r + b2) * r + b1) * r + 1.0)
    tail = p if q < 0.0 else 1.0 - p
    if not tail > 0.0:
        raise ValueError(f"Probability {p} has no normal score; give a number strictly between 0 and 1.")
    r = math.sqrt(-math.log(tail))
    if r <= 5.0:
        r -= 1.6
        c0, c1, c2, c3 = _FLANK
        d1, d2 = _FLANK_BELOW
    else:
        r -= 5.0
        c0, c1, c2, c3 = _TAIL
        d1, d2 = _TAIL_BELOW
    z = (((c3 * r + c2) * r + c1) * r + c0) / ((d2 * r + d1) * r + 1.0)
    return -z if q < 0.0 else z


class Draws:
    """A seeded source of random numbers, the same in every interpreter.

    Parameters
        seed: any whole number; the same seed gives the same draws.
        stream: any whole number; streams of one seed are unrelated, so that a part
            of the model may draw more without moving the draws of another part.

    >>> Draws(1).uniform() == Draws(1).uniform()
    True
    """

    __slots__ = ("_x", "_y", "_z")

    def __init__(self, seed: int = 1, stream: int = 0):
        x = (seed % _M1 + 7 * (stream % _M1)) % _M1
        y = (seed // _M1 % _M2 + 3 * (stream % _M2) + 1) % _M2
        z = (seed // _M1 // _M2 % _M3 + stream // _M2 % _M3 + 2) % _M3
        # Squares of the other two break the straight-line relation that neighbouring
        # seeds would keep for ever in a congruential generator. Each is added, never
        # put in place of the old value, so that no two seeds fall together.
        for _ in range(6):
            x = (x + y * y + 3 * z + 11) % _M1
            y = (y + z * z + 5 * x + 13) % _M2
            z = (z + x * x + 7 * y + 17) % _M3
        self._x = x or 1  # a component that starts at 0 stays there
        self._y = y or 1
        self._z = z or 1

    def state(self) -> list:
        """What `resume` needs to go on from here: three whole numbers."""
        return [self._x, self._y, self._z]

    def resume(self, state: list) -> None:
        """Go on from where another source stood when its `state` was taken."""
        self._x, self._y, self._z = state

    def uniform(self) -> float:
        """One draw, evenly spread strictly between 0 and 1. [-]"""
        x = self._x = _A1 * self._x % _M1
        y = self._y = _A2 * self._y % _M2
        z = self._z = _A3 * self._z % _M3
        u = (x / _M1 + y / _M2 + z / _M3) % 1.0
        return u if u > 0.0 else 1e-9  # rounding may give 0, which has no normal score

    def normal(self) -> float:
        """One draw from the standard normal distribution. [-]"""
        return normal_quantile(self.uniform())

    def below(self, n: int) -> int:
        """One whole number from 0 to n - 1, all alike in chance."""
        return int(self.uniform() * n)

    def shuffled(self, n: int) -> list:
        """The numbers 0 to n - 1 in random order, every order alike in chance."""
        order = list(range(n))
        for i in range(n - 1, 0, -1):
            j = int(self.uniform() * (i + 1))
            order[i], order[j] = order[j], order[i]
        return order

    def strata(self, n: int) -> list:
        """n uniform draws in random order, exactly one in each n-th part of 0 to 1.

        Notes
            The mean over the list wanders far less than that of plain draws, which is
            what a small ensemble needs for its starting members.
        Source
            Stratified sampling in one dimension; with one call per parameter it is the
            Latin hypercube of McKay, Beckman & Conover, Technometrics 21 (1979) 239-245.
        """
        uniform = self.uniform
        return [(k + uniform()) / n for k in self.shuffled(n)]

    def normal_strata(self, n: int) -> list:
        """n standard normal draws in random order, one in each n-th part of the chance."""
        return [normal_quantile(u) for u in self.strata(n)]

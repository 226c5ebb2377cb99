"""How daily clearness is spread about its monthly mean.

Knows: the published spread, its inverse, and how far to narrow it. Leaves to others:
what the mean is likely to be and how days follow each other (sky).

Clearness kt is the day's light on the level over that outside the air.
"""

import math

from daybank.energy import draws

_Z90 = 1.2815515655446004  # standard normal score of 90 %
LOWEST_KT = 0.05  # darkest day: Bendt, Collares-Pereira & Rabl 1981
PULL_TO_MEAN = 0.85  # spread measured within months over spread by Bendt, mean of nine site-years: 0.84
MEAN_LOW, MEAN_HIGH = 0.12, 0.76  # where the spread's formula is sound


class MonthSpread:
    """How daily clearness is spread in a month of given mean, ready for many days.

    Parameters
        mean_kt: monthly mean of daily clearness; held to 0.12-0.76. [-]
    Source
        Bendt, Collares-Pereira & Rabl, Solar Energy 27 (1981) 1-5, with the fits of
        Hollands & Huget as in Duffie & Beckman, Solar Engineering of Thermal
        Processes, 5th ed., equations 2.9.4-2.9.6.
    """

    __slots__ = ("mean_kt", "highest_kt", "_g", "_at_low", "_at_high")

    def __init__(self, mean_kt: float):
        mean = min(max(mean_kt, MEAN_LOW), MEAN_HIGH)
        self.mean_kt = mean
        off = mean - 0.75
        off *= off  # squared thrice: the eighth power
        off *= off
        high = 0.6313 + 0.267 * mean - 11.9 * off * off
        self.highest_kt = high
        x = (high - LOWEST_KT) / (high - mean)
        g = -1.498 + (1.184 * x - 27.182 * math.exp(-1.5 * x)) / (high - LOWEST_KT)
        self._g = g
        self._at_low = math.exp(g * LOWEST_KT)
        self._at_high = math.exp(g * high)

    def quantile(self, share: float) -> float:
        """Clearness that a share of the days stays below, as published. [-]"""
        if -1e-4 < self._g < 1e-4:  # all clearnesses alike; the formula would divide 0 by 0
            return LOWEST_KT + share * (self.highest_kt - LOWEST_KT)
        return math.log(self._at_low + share * (self._at_high - self._at_low)) / self._g

    def share_below(self, kt: float) -> float:
        """Share of the days below a clearness, as published. [-]"""
        if kt <= LOWEST_KT:
            return 0.0
        if kt >= self.highest_kt:
            return 1.0
        if -1e-4 < self._g < 1e-4:
            return (kt - LOWEST_KT) / (self.highest_kt - LOWEST_KT)
        return (self._at_low - math.exp(self._g * kt)) / (self._at_low - self._at_high)

    def _pull(self, z: float) -> float:
        # Measured months are narrower than published, but not in their darkest days,
        # and those are what empties a bank: full width from the tenth percentile down.
        if z >= 0.0:
            return PULL_TO_MEAN
        return PULL_TO_MEAN + (1.0 - PULL_TO_MEAN) * min(-z / _Z90, 1.0)

    def kt_at(self, z: float) -> float:
        """Clearness of a day whose standard normal score in its month is `z`; rises with z. [-]"""
        published = self.quantile(draws.normal_cdf(z))
        return self.mean_kt + (published - self.mean_kt) * self._pull(z)

    def score_of(self, kt: float) -> float:
        """Standard normal score of a day with this clearness, -2.5 to 2.5; the inverse of `kt_at`. [-]"""
        z = 0.0
        for _ in range(4):  # the pull depends on the score that is sought, but only below 0
            share = self.share_below(self.mean_kt + (kt - self.mean_kt) / self._pull(z))
            z = draws.normal_quantile(min(max(share, 0.0062), 0.9938))
            if z >= 0.0:
                break
        return min(max(z, -2.5), 2.5)

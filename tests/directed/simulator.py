"""A small camp whose truth is known: a battery, a sun, appliances and a person who writes things down.

Nothing of the model under test is imported, and its formulas are not repeated: the battery is a straight voltage curve
with one resistance, the sun a half sine from six to six with so many peak-sun hours, the fridge a duty that is straight
in the temperature. All figures are our assumptions, of the size that makers' sheets give; no source. Times are hours
since the midnight at which day 0 begins; the camp lies in a zone without summer time.
"""
import copy
import math
from dataclasses import dataclass, field
from datetime import datetime, timedelta

STEP_H = 1.0 / 6.0
MIDNIGHT = datetime(2025, 6, 10)   # day 0, in the camp's own time
ZONE, OFFSET = "America/Phoenix", "-07:00"
LAT_DEG, LON_DEG = 35.0, -105.0    # the sun is highest near noon of that clock
RUN_DAYS = 21

# Rested volts of a 12 V battery, empty and full, and the share of what is put in that comes out again.
REST_V = {"agm": (11.70, 12.82), "gel": (11.72, 12.84), "flooded": (11.65, 12.68), "lifepo4": (12.75, 13.35)}
STORED = {"agm": 0.95, "gel": 0.95, "flooded": 0.90, "lifepo4": 0.99}
OHM_PER_100_AH = {"agm": 0.010, "gel": 0.014, "flooded": 0.018, "lifepo4": 0.008}
ACCEPTED_PER_H = 0.7               # of what is missing
SURFACE_V, SURFACE_FADES_H = 0.15, 1.5
PEAK_SUN_H = {"clear": 7.0, "partly": 5.0, "overcast": 2.2, "rain": 1.3}
CHARGING_V = 13.2                  # at which a panel's watts become amps


@dataclass
class Appliance:
    """Hours are of the clock: it runs from `from_h` for `hours` each day, at `duty` of the time."""
    id: str
    amps: float
    feed: str
    when: str
    from_h: float = 0.0
    hours: float = 24.0
    duty: float = 1.0
    more: dict = field(default_factory=dict)

    def mean_a(self, clock_h: float, air_c: float) -> float:
        """Mean current in a step of the clock. [A]"""
        if (clock_h - self.from_h) % 24.0 >= self.hours:
            return 0.0
        if self.when == "thermostat":
            return self.amps * min(1.0, max(0.1, self.duty * (0.1 + 0.9 * (air_c - 4.0) / 21.0)))
        return self.amps * self.duty


def appliances() -> list:
    """A fridge at the battery, an alarm, lights, a fan and a pump behind the fuse block."""
    return [
        Appliance("fridge", 4.0, "bank", "thermostat", duty=0.35, more={"cutoff_v": 10.6, "essential": True}),
        Appliance("alarm", 0.1, "bank", "always"),
        Appliance("lights", 2.5, "fuse_block", "evening", 19.0, 4.0),
        Appliance("fan", 1.5, "fuse_block", "night", 22.0, 6.0),
        Appliance("pump", 5.0, "fuse_block", "any", 8.0, 14.0, duty=0.3 / 14.0, more={"typical_h_per_day": 0.3}),
    ]


@dataclass
class Camp:
    """What is true, and what the labels say.

    skies: word of each day, the last one standing for all days after. charges: (from_h, hours, source id).
    dead: (circuit id, from_h, until_h). selector_off: (from_h, until_h). shade: from_h -> share lost.
    """
    chemistry: str = "agm"
    rated_ah: float = 200.0
    true_ah: float = 178.0
    nominal_v: int = 12
    start_soc: float = 0.99
    start_h: float = 12.0
    trip_days: float = 10.0
    floor_soc: float = 0.5
    panel_w: float = 100.0
    harvest: float = 0.8
    standby_a: float = 0.0
    night_c: float = 10.0
    day_c: float = 28.0
    skies: tuple = ("clear",)
    loads: list = field(default_factory=appliances)
    charges: tuple = ()
    dead: tuple = ()
    selector_off: tuple = ()
    shade: dict = field(default_factory=lambda: {0.0: 0.0})
    day_0: datetime = MIDNIGHT

    def air_c(self, at_h: float) -> float:
        """Coldest at five, warmest at five in the afternoon. [C]"""
        middle, half = 0.5 * (self.day_c + self.night_c), 0.5 * (self.day_c - self.night_c)
        return middle - half * math.cos(math.pi * (at_h - 5.0) / 12.0)

    def sun_a(self, at_h: float) -> float:
        """Current that the panel offers. [A]"""
        clock_h = at_h % 24.0
        if not 6.0 < clock_h < 18.0:
            return 0.0
        day = min(int(at_h // 24.0), len(self.skies) - 1)
        shade = [lost for since, lost in sorted(self.shade.items()) if since <= at_h][-1]
        top = PEAK_SUN_H[self.skies[day]] * math.pi / 24.0
        power_w = self.panel_w * top * math.sin(math.pi * (clock_h - 6.0) / 12.0) * self.harvest * (1.0 - shade)
        return power_w / (CHARGING_V * self.nominal_v / 12.0)

    def load_a(self, at_h: float, load: Appliance) -> float:
        """Mean current of an appliance. [A]"""
        if any(cid == load.id and since <= at_h < until for cid, since, until in self.dead):
            return 0.0
        if load.feed == "fuse_block" and any(since <= at_h < until for since, until in self.selector_off):
            return 0.0
        return load.mean_a(at_h % 24.0, self.air_c(at_h))

    def charger_a(self, at_h: float) -> float:
        """What shore and tow vehicle offer: the shore charger its rating, the tow lead half of it. [A]"""
        ratings = {"shore": 10.0, "tow": 10.0}
        return sum(ratings[source] for since, hours, source in self.charges if since <= at_h < since + hours)

    def run(self) -> "Truth":
        """Go through the days."""
        truth = Truth(self)
        soc, surface = self.start_soc, 0.0
        for k in range(round((24.0 * RUN_DAYS - self.start_h) / STEP_H)):
            at_h = self.start_h + k * STEP_H
            middle_h = at_h + 0.5 * STEP_H
            amps = {load.id: self.load_a(middle_h, load) for load in self.loads}
            out_a = sum(amps.values()) + self.standby_a
            offered_a = self.sun_a(middle_h) + self.charger_a(middle_h)
            frozen = self.chemistry == "lifepo4" and self.air_c(middle_h) < 0.0
            taken_a = 0.0 if frozen else ACCEPTED_PER_H * (1.0 - soc) * self.true_ah
            net_a = min(offered_a - out_a, taken_a)
            truth.steps.append((at_h, soc, surface, net_a, out_a, net_a + out_a, amps))
            stored_a = net_a * STORED[self.chemistry] if net_a > 0.0 else net_a
            soc = max(0.0, soc + stored_a * STEP_H / self.true_ah)
            charged_at = SURFACE_V * min(1.0, max(0.0, net_a) / (0.05 * self.true_ah))
            surface = max(charged_at, surface * math.exp(-STEP_H / SURFACE_FADES_H))
        return truth


class Truth:
    """What came to pass at a camp."""

    def __init__(self, camp: Camp):
        self.camp = camp
        self.steps = []

    def _at(self, at_h):
        return self.steps[min(len(self.steps) - 1, round((at_h - self.camp.start_h) / STEP_H))]

    def soc(self, at_h: float) -> float:
        """State of charge, 0..1."""
        return self._at(at_h)[1]

    def days_to(self, soc: float, from_h: float) -> float:
        """Days from a moment until the charge is down to that; infinite when it never is."""
        for step in self.steps:
            if step[0] >= from_h - 1e-9 and step[1] <= soc:
                return max(0.0, round((step[0] - from_h) / 24.0, 9))
        return math.inf

    def sum_ah(self, what: str, from_h: float, until_h: float) -> float:
        """Amp-hours between two moments: of a circuit by its id, of all loads ("out"), or delivered ("in"). [Ah]"""
        span = [s for s in self.steps if from_h - 1e-9 <= s[0] < until_h - 1e-9]
        value = {"out": lambda s: s[4], "in": lambda s: s[5]}.get(what, lambda s: s[6][what])
        return sum(value(s) for s in span) * STEP_H

    def volts(self, at_h: float, *, amps: float | None = None, digits: int = 2) -> float:
        """Volts at the posts, with that current out of the battery (without: the step's own). [V]"""
        camp = self.camp
        _, soc, surface, net_a, _, _, _ = self._at(at_h)
        empty_v, full_v = REST_V[camp.chemistry]
        scale = camp.nominal_v / 12.0
        ohm = OHM_PER_100_AH[camp.chemistry] * 100.0 / camp.true_ah * scale
        out_a = -net_a if amps is None else amps
        return round(scale * (empty_v + (full_v - empty_v) * soc + surface) - ohm * out_a, digits)

    def rested(self, at_h: float, **more) -> dict:
        """A reading with nothing on but what is always on."""
        return {"id": f"r-{at_h:g}", "at": moment(at_h, self.camp), "gauge_id": "meter", "state": "rested",
                "volts": self.volts(at_h, amps=0.1), **more}

    def loaded(self, at_h: float, on: list, **more) -> dict:
        """A reading with those circuits running."""
        amps = 0.1 + sum(load.amps for load in self.camp.loads if load.id in on)
        return {"id": f"r-{at_h:g}", "at": moment(at_h, self.camp), "gauge_id": "meter", "state": "loaded",
                "on": on, "volts": self.volts(at_h, amps=amps), **more}

    def words(self, first_day: int, last_day: int) -> list:
        """The skies of those days as a person words them."""
        skies = self.camp.skies
        return [{"id": f"s-{d}", "day": day(d, self.camp), "condition": skies[min(d, len(skies) - 1)]}
                for d in range(first_day, last_day + 1)]

    def hours_logged(self, first_day: int, last_day: int) -> list:
        """The hours of every appliance that is switched by hand, as run."""
        rows = []
        for d in range(first_day, last_day + 1):
            for load in self.camp.loads:
                if load.when not in ("always", "thermostat"):
                    ran_h = sum(s[6][load.id] for s in self.steps if d <= s[0] / 24.0 < d + 1) * STEP_H / load.amps
                    rows.append({"id": f"u-{d}-{load.id}", "day": day(d, self.camp), "circuit_id": load.id,
                                 "hours": round(ran_h, 2)})
        return rows

    def export(self, asked_h: float, **parts) -> dict:
        """The camp as a file: the labels, and the log as given; a named part stands in place of its own."""
        camp = self.camp
        circuits = [{"id": load.id, "name": load.id, "feed": load.feed, "when": load.when, "draw_a": load.amps,
                     **({} if load.when != "thermostat" else {"duty_at_25c": load.duty}),
                     **({} if load.hours >= 24.0 or load.duty < 1.0 else {"typical_h_per_day": load.hours}),
                     **load.more}
                    for load in camp.loads]
        sources = [{"id": "shore", "kind": "shore", "max_a": 10}, {"id": "tow", "kind": "alternator", "max_a": 20}]
        if camp.panel_w:
            sources.append({"id": "panel", "kind": "solar", "panel_w": camp.panel_w, "tilt_deg": 0, "azimuth_deg": 180,
                            "controller": "mppt"})
        file = {
            "format": "daybank-export/1",
            "rig": {"name": "directed", "nominal_v": camp.nominal_v, "timezone": ZONE},
            "banks": [{"id": "bank", "chemistry": camp.chemistry, "rated_ah": camp.rated_ah, "rated_h": 20,
                       "floor_soc": camp.floor_soc}],
            "sources": sources, "circuits": circuits,
            "gauges": [{"id": "meter", "name": "meter at the posts", "at": "posts", "resolution_v": 0.01}],
            "trips": [{"id": "trip", "name": "camp", "starts_at": moment(camp.start_h, camp),
                       "ends_at": moment(camp.start_h + 24.0 * camp.trip_days, camp), "lat_deg": LAT_DEG,
                       "lon_deg": LON_DEG, "altitude_m": 1500, "night_c": camp.night_c, "day_c": camp.day_c}],
            "readings": [{"id": "r-full", "at": moment(camp.start_h, camp), "state": "full"}],
            "asked_at": moment(asked_h, camp),
        }
        return copy.deepcopy({**file, **parts})


def moment(at_h: float, camp: Camp | None = None) -> str:
    """ISO text of an hour of the camp."""
    midnight = MIDNIGHT if camp is None else camp.day_0
    return (midnight + timedelta(hours=at_h)).isoformat(timespec="seconds") + OFFSET


def day(number: int, camp: Camp | None = None) -> str:
    """ISO text of a day of the camp."""
    midnight = MIDNIGHT if camp is None else camp.day_0
    return (midnight + timedelta(days=number)).date().isoformat()

"""Three rules of thumb that people use at camp today, as the measure to beat.

Each takes a question (see records.question_from_export) and gives one number of days until the floor, capped at the
horizon. None says how wrong it may be, so each is scored by its absolute error. They know nothing of `energy/`, on
purpose: a mistake there must not flatter or spoil the comparison.
"""

HORIZON_DAYS = 14.0

# Rested voltage charts, 12 V: common practice, no source (published charts disagree by about 20 points).
LEAD_ACID_CHART = (
    (12.7, 1.00), (12.5, 0.90), (12.42, 0.80), (12.32, 0.70), (12.2, 0.60), (12.06, 0.50),
    (11.9, 0.40), (11.75, 0.30), (11.58, 0.20), (11.31, 0.10), (10.5, 0.00),
)
LITHIUM_CHART = (
    (13.6, 1.00), (13.4, 0.99), (13.3, 0.90), (13.2, 0.70), (13.1, 0.40), (13.0, 0.30),
    (12.9, 0.20), (12.8, 0.17), (12.5, 0.14), (12.0, 0.09), (10.0, 0.00),
)
LOAD_V = 12.3  # volts at which watts on a label become amps; our assumption, no source
SUN_V = 13.0  # volts at which panel watts become amps; common practice, no source
SUN_HOURS = 4.5  # full-sun hours a day, whatever the season; common practice, no source
PANEL_YIELD = 0.75  # share of the panel's watts that arrives; common practice, no source
DAY_APART_H = (16.0, 34.0)  # "about a day apart"; our assumption, no source
DAY_S = 86400.0


def charge_from_chart(volts: float, *, chemistry: str, nominal_v: float = 12) -> float:
    """State of charge [0..1] that a printed chart gives for a voltage [V], straight between its lines.

    >>> charge_from_chart(12.2, chemistry="agm")
    0.6
    """
    chart = LITHIUM_CHART if chemistry == "lifepo4" else LEAD_ACID_CHART
    at_12_v = volts * 12.0 / nominal_v
    if at_12_v >= chart[0][0]:
        return 1.0
    for (upper_v, upper), (lower_v, lower) in zip(chart, chart[1:]):
        if at_12_v >= lower_v:
            return lower + (upper - lower) * (at_12_v - lower_v) / (upper_v - lower_v)
    return 0.0


def nameplate_ah_per_day(question: dict) -> float:
    """Amp-hours a day if every circuit ran as its label and its typical hours say; inverter losses forgotten."""
    total_ah = 0.0
    volts = LOAD_V * question["rig"]["nominal_v"] / 12.0
    for circuit in question["circuits"]:
        current_a = circuit["draw_a"] if "draw_a" in circuit else circuit["draw_w"] / volts
        if circuit["when"] == "thermostat":
            hours = 24.0 * circuit.get("duty_at_25c", 0.35)
        else:
            hours = circuit.get("typical_h_per_day", 24.0 if circuit["when"] == "always" else 0.0)
        total_ah += current_a * hours
    return total_ah


def voltage_chart_days(question: dict) -> float:
    """The last voltage looked up in a chart, divided by nameplate use; no sun. Full when nobody read a voltage."""
    bank = _bank(question)
    readings = _readings_with_volts(question)
    charge = _chart(question, readings[-1]) if readings else 1.0
    return _days((charge - bank["floor_soc"]) * _rated_ah(bank), nameplate_ah_per_day(question))


def amp_hour_books_days(question: dict) -> float:
    """Full at arrival, then nameplate use less 4.5 hours of sun a day, on paper, both before and after the question."""
    bank = _bank(question)
    trip = trip_in_force(question)
    shade = trip.get("shade", 0.0) if trip else 0.0
    panel_w = sum(s["panel_w"] for s in question["sources"] if s["kind"] == "solar")
    sun_v = SUN_V * question["rig"]["nominal_v"] / 12.0
    sun_ah = PANEL_YIELD * panel_w * SUN_HOURS / sun_v * (1.0 - shade)
    net_ah = nameplate_ah_per_day(question) - sun_ah
    days_so_far = (question["asked_at"] - trip["starts_at"]) / DAY_S if trip else 0.0
    charge = min(1.0, 1.0 - net_ah * days_so_far / _rated_ah(bank))
    return _days((charge - bank["floor_soc"]) * _rated_ah(bank), net_ah)


def as_yesterday_days(question: dict) -> float:
    """The fall between two voltages about a day apart, straight on; the voltage chart where there is no such pair."""
    readings = _readings_with_volts(question)
    for earlier in reversed(readings[:-1]):
        apart_h = (readings[-1]["at"] - earlier["at"]) / 3600.0
        if DAY_APART_H[0] <= apart_h <= DAY_APART_H[1]:
            now = _chart(question, readings[-1])
            fall_per_day = (_chart(question, earlier) - now) / apart_h * 24.0
            return _days(now - _bank(question)["floor_soc"], fall_per_day)
    return voltage_chart_days(question)


RULES = {
    "voltage chart": voltage_chart_days,
    "amp-hour books": amp_hour_books_days,
    "as yesterday": as_yesterday_days,
}


def trip_in_force(question: dict) -> dict | None:
    """The trip that holds `asked_at`; the one that starts last when several do; None without one."""
    holding = [t for t in question["trips"] if t["starts_at"] <= question["asked_at"] <= t["ends_at"]]
    return max(holding, key=lambda trip: trip["starts_at"]) if holding else None


def bank_in_service(question: dict) -> dict:
    """The bank in service on the day of the question: the last one put in and not yet taken out.

    Raises
        ValueError: the file has no bank in service then.
    """
    today = ""
    for day, starts_at_s in question["days"]:
        if starts_at_s <= question["asked_at"]:
            today = day
    serving = [
        b for b in question["banks"]
        if b.get("installed_on", "") <= today and not ("removed_on" in b and b["removed_on"] <= today)
    ]
    if not serving:
        raise ValueError(
            f"no bank is in service on {today}; accepted is one bank whose dates hold that day; correct its dates"
        )
    return max(serving, key=lambda b: b.get("installed_on", ""))


_bank = bank_in_service


def _rated_ah(bank: dict) -> float:
    return bank["rated_ah"] * bank.get("in_parallel", 1)


def _readings_with_volts(question: dict) -> list:
    readings = [r for r in question["readings"] if r.get("volts") is not None]
    return sorted(readings, key=lambda r: r["at"])


def _chart(question: dict, reading: dict) -> float:
    return charge_from_chart(
        reading["volts"], chemistry=_bank(question)["chemistry"], nominal_v=question["rig"]["nominal_v"]
    )


def _days(left: float, per_day: float) -> float:
    """Time to use up what is left; the horizon when nothing is used, nothing when nothing is left and use goes on."""
    if per_day <= 0.0:
        return HORIZON_DAYS
    return max(0.0, min(HORIZON_DAYS, left / per_day))

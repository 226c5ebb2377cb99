"""Quantities as a person types them ("45 W", "20 ft", "8 AWG", "160 min reserve") to floats in the core's units.

The only module that knows pint. Text is never given to pint's own expression reader: a number and a spelling from the
table below are split off here, so that a stranger's file can't make it compute, and "m" never means minutes. A fault
is a ValueError with one sentence: what was given, what is accepted, what to do next.
"""
import math
import re
from collections import namedtuple
from functools import cache

from daybank.energy import constants, wiring
from daybank.strict_json import shown

Kind = namedtuple("Kind", ("noun", "example", "base", "symbol", "spellings"))
Measured = namedtuple("Measured", ("kind", "value"))  # value in the kind's base unit
Draw = namedtuple("Draw", ("field", "value"))  # field: draw_a [A], draw_w [W] or ah_per_day [Ah]
Wire = namedtuple("Wire", ("field", "value"))  # field: wire_mm2 [mm2] or wire_awg [AWG size]
Rated = namedtuple("Rated", ("ah", "hours"))

# spelling without spaces, dots and hyphens -> pint's name of the unit
KINDS = {
    "current": Kind("a current", "3.5 A", "ampere", "A", {
        "A": "ampere", "amp": "ampere", "amps": "ampere", "ampere": "ampere", "amperes": "ampere",
        "mA": "milliampere", "milliamp": "milliampere", "milliamps": "milliampere"}),
    "power": Kind("a power", "45 W", "watt", "W", {
        "W": "watt", "watt": "watt", "watts": "watt", "kW": "kilowatt", "mW": "milliwatt"}),
    "voltage": Kind("a voltage", "12.6 V", "volt", "V", {
        "V": "volt", "volt": "volt", "volts": "volt", "mV": "millivolt"}),
    "charge": Kind("a charge", "100 Ah", "ampere_hour", "Ah", {
        "Ah": "ampere_hour", "amphour": "ampere_hour", "amphours": "ampere_hour", "amperehours": "ampere_hour",
        "mAh": "milliampere_hour"}),
    "energy": Kind("an energy", "1280 Wh", "watt_hour", "Wh", {
        "Wh": "watt_hour", "watthour": "watt_hour", "watthours": "watt_hour", "kWh": "kilowatt_hour"}),
    "length": Kind("a length", "6 m", "metre", "m", {
        "m": "metre", "metre": "metre", "metres": "metre", "meter": "metre", "meters": "metre", "cm": "centimetre",
        "mm": "millimetre", "km": "kilometre", "ft": "foot", "foot": "foot", "feet": "foot", "'": "foot", "′": "foot",
        "in": "inch", "inch": "inch", "inches": "inch", '"': "inch", "″": "inch"}),
    "area": Kind("an area", "10 mm2", "millimetre**2", "mm2", {
        "mm2": "millimetre**2", "mm²": "millimetre**2", "mm^2": "millimetre**2", "sqmm": "millimetre**2",
        "qmm": "millimetre**2"}),
    "temperature": Kind("a temperature", "25 C", "degree_Celsius", "C", {
        "C": "degree_Celsius", "°C": "degree_Celsius", "degC": "degree_Celsius", "celsius": "degree_Celsius",
        "F": "degree_Fahrenheit", "°F": "degree_Fahrenheit", "degF": "degree_Fahrenheit",
        "fahrenheit": "degree_Fahrenheit"}),
    "time": Kind("a time", "3 h", "hour", "h", {
        "h": "hour", "hr": "hour", "hrs": "hour", "hour": "hour", "hours": "hour", "min": "minute", "mins": "minute",
        "minute": "minute", "minutes": "minute", "s": "second", "sec": "second", "seconds": "second", "day": "day",
        "days": "day"}),
    "share": Kind("a share", "50 %", "dimensionless", "", {
        "%": "percent", "percent": "percent", "per cent": "percent"}),
    "angle": Kind("an angle", "30 deg", "degree", "deg", {
        "deg": "degree", "°": "degree", "degree": "degree", "degrees": "degree"}),
}
BASE = {"ampere_hour": "ampere * hour", "milliampere_hour": "milliampere * hour", "watt_hour": "watt * hour",
        "kilowatt_hour": "kilowatt * hour"}  # names of ours that pint knows as products

_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?"
_QUANTITY = re.compile(rf"({_NUMBER})\s*([^\d+\s.,-].*|)", re.DOTALL)
_AT = re.compile(r"\s*(?:\bat\b|@)\s*")
_A_DAY = re.compile(r"\s*(?:\b(?:a|per|each|every)\s+(?:day|d)|/\s*(?:day|d)|\bdaily)\s*$", re.IGNORECASE)
_RESERVE = re.compile(r"\b(?:reserve(?:\s+capacity)?|rc)\b:?", re.IGNORECASE)
_AWG = re.compile(r"(?:(?P<before>awg)\s*)?#?\s*(?P<size>\d{1,2}|[1-4]/0|0{2,4})\s*(?P<after>awg|sae)?", re.IGNORECASE)
_ROUND_AREA = 6  # decimals of mm2

RESERVE_A = 25.0  # A to 10.5 V at 80 F: reserve minutes by the Battery Council International, from memory
AS_NOMINAL = (10.5 / 12.0, 15.0 / 12.0)  # "at 13.8 V" speaks of a 12 V rig: our assumption, no source
MAINS_V = 90.0  # from here on "at 120 V" means an appliance behind the inverter


@cache
def registry():
    """Pint's registry, made at the first conversion, since making it costs a third of a second."""
    import pint
    return pint.UnitRegistry(cache_folder=None)


@cache
def factor_and_offset(unit: str, base: str) -> tuple:
    """(f, o) with value in base = f * value + o, from pint. Both are exact where the units are defined to be."""
    quantity = registry().Quantity
    unit, base = BASE.get(unit, unit), BASE.get(base, base)
    offset = float(quantity(0.0, unit).to(base).magnitude)
    if offset == 0.0:
        return float(quantity(1.0, unit).to(base).magnitude), 0.0
    return float((quantity(100.0, unit).to(base).magnitude - offset) / 100.0), offset


def number(text: str) -> float:
    """A number as typed: 3.5, 3,5, -4, 1e3.

    Raises
        ValueError: no number; or "1,500", which is fifteen hundred to some and one and a half to others.
    """
    plain = text.strip().replace("\u2212", "-")
    if not re.fullmatch(_NUMBER, plain) or not plain.isascii():
        raise ValueError(f"{shown(text)} is not a number; accepted is such as 3.5; write it so")
    if re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", plain):
        whole, _, thousandths = plain.partition(",")
        raise ValueError(f"{shown(text)} can be read in two ways; accepted is {whole}{thousandths} or "
                         f"{whole}.{thousandths}; write one of them")
    value = float(plain.replace(",", "."))
    if not math.isfinite(value):
        raise ValueError(f"{shown(text)} is too large; accepted are finite numbers; correct it")
    return value


def quantity(text: str, *accepted: str) -> Measured:
    """Number and unit of a text, in the base unit of its kind.

    Parameters
        text: such as "20 ft" or "6 ft 4 in".
        accepted: kinds that may come back, names of KINDS; the first is what the sentences of refusal ask for.
    Raises
        ValueError: no number, no unit, a unit that is not known, or one of another kind.
    """
    wanted = _wanted(accepted)
    found = _QUANTITY.fullmatch(_plain(text))
    if not found:
        raise ValueError(f"{shown(text)} was given; accepted is {wanted}; write a number and its unit")
    amount, unit = number(found.group(1)), found.group(2).strip()
    if not unit:
        raise ValueError(f"{shown(text)} has no unit; accepted is {wanted}; add the unit")
    parts = re.fullmatch(rf"(ft|feet|foot|')\s*({_NUMBER})\s*(in|inch|inches|\"|)", unit, re.IGNORECASE)
    if parts and "length" in accepted:  # 6 ft 4 in
        inches = number(parts.group(2)) * factor_and_offset("inch", "metre")[0]
        return Measured("length", _clean(amount * factor_and_offset("foot", "metre")[0] + inches))
    kind, name = _unit(unit)
    if kind is None:
        raise ValueError(f"{shown(text)}: the unit {shown(unit, 30)} is not known; accepted is {wanted}; write it so")
    if kind not in accepted:
        raise ValueError(f"{shown(text)} is {KINDS[kind].noun}; accepted is {wanted}; correct it")
    factor, offset = factor_and_offset(name, KINDS[kind].base)
    if (factor, offset) == (1.0, 0.0):
        return Measured(kind, amount)
    value = amount * factor + offset
    if not math.isfinite(value):
        raise ValueError(f"{shown(text)} is too large; accepted is {wanted}; correct it")
    return Measured(kind, _clean(value))


def of_kind(text: str, kind: str) -> float:
    """A quantity of one kind, in its base unit: of_kind("20 ft", "length") is 6.096. ValueError as quantity."""
    return quantity(text, kind).value


def draw(text: str, *, nominal_v: float = 12.0) -> Draw:
    """What a circuit draws: "3.5 A", "45 W", "0.6 A at 24 V", "12 Ah a day", "150 Wh a day".

    Returns
        Draw with draw_a [A] for a current, draw_w [W] for a power, or ah_per_day [Ah].
    Notes
        Amps at another voltage than the rig's are a power, since what a label promises is kept: 0.6 A at 24 V
        is 14.4 W.
        Watt-hours a day become amp-hours at the rig's nominal voltage.
    Raises
        ValueError: as quantity; or volts that no rig and no inverter has.
    """
    plain = _plain(text)
    daily = _A_DAY.search(plain)
    if daily:
        kind, value = quantity(plain[: daily.start()], "charge", "energy")
        return Draw("ah_per_day", value if kind == "charge" else value / nominal_v)
    amount, *at = _AT.split(plain, maxsplit=1)
    if re.search(r"\d\s*[mk]?[aw]\s*[- ]?h", amount, re.IGNORECASE):
        raise ValueError(f"{shown(text)} does not say over what time; accepted is \"{amount} a day\", or a current "
                         "such as \"3.5 A\"; add \"a day\"")
    kind, value = quantity(amount, "current", "power")
    if not at or kind == "power":
        if at:
            of_kind(at[0], "voltage")
        return Draw("draw_w" if kind == "power" else "draw_a", value)
    volts = of_kind(at[0], "voltage")
    low, high = (share * nominal_v for share in AS_NOMINAL)
    if volts <= 0.0:
        raise ValueError(f"{shown(text)}: {volts:g} V was given; accepted is a voltage above 0; correct it")
    return Draw("draw_a", value) if low <= volts <= high else Draw("draw_w", _clean(value * volts))


def behind_inverter(text: str) -> bool:
    """Whether a draw is said to be at mains voltage, as in "1 A at 120 V"."""
    at = _AT.split(_plain(text), maxsplit=1)[1:]
    try:
        return bool(at) and of_kind(at[0], "voltage") >= MAINS_V
    except ValueError:
        return False


def wire(text: str) -> Wire:
    """A wire's size: "8 AWG", "1/0", "10 mm2"; "8 SAE" becomes its copper area.

    Raises
        ValueError: a bare "4 mm", which may be a diameter with or without insulation; a bare number; "8 gauge", which
            may be AWG or SAE; a size that no table has.
    """
    plain = _plain(text)
    found = _AWG.fullmatch(plain)
    accepted = "a gauge such as \"8 AWG\" or a copper area such as \"10 mm2\""
    named = found and (found.group("before") or found.group("after"))
    if named or found and ("/" in plain or found.group("size").startswith("00")):
        size = found.group("size")
        if (found.group("after") or "").lower() == "sae":
            return Wire("wire_mm2", round(wiring.sae_area_mm2(size), _ROUND_AREA))
        if set(size) == {"0"}:
            size = f"{len(size)}/0"
        if "/" not in size and int(size) > 24:
            raise ValueError(f"{shown(text)} is thinner than any wire here; accepted is 24 to 4/0 AWG; correct it")
        return Wire("wire_awg", size if "/" in size else int(size))
    if re.search(r"gauge|ga\b|swg", plain, re.IGNORECASE):
        raise ValueError(f"{shown(text)} may be AWG or SAE, which differ by up to a tenth in copper; accepted is "
                         f"{accepted}; look at the print on the wire")
    if re.fullmatch(_NUMBER, plain):
        raise ValueError(f"{shown(text)} may be a gauge or an area; accepted is {accepted}; add AWG or mm2")
    if re.fullmatch(rf"{_NUMBER}\s*mm", plain, re.IGNORECASE):
        raise ValueError(f"{shown(text)} may be a diameter, with or without insulation; accepted is {accepted}; give "
                         "the copper area or the gauge printed on the wire")
    return Wire("wire_mm2", _of_wire(text, plain, accepted))


def _of_wire(text: str, plain: str, accepted: str) -> float:
    try:
        return of_kind(plain, "area")
    except ValueError:
        raise ValueError(f"{shown(text)} is no size of a wire; accepted is {accepted}; write it so") from None


def rated(text: str, *, chemistry: str) -> Rated:
    """A battery's capacity from its label: amp-hours, and the hours of discharge that they were rated for.

    Parameters
        text: "100 Ah" (20 h assumed), "95 Ah at 100 h", "1280 Wh at 12.8 V", "160 min reserve" (becomes Ah at 20 h).
        chemistry: agm, flooded, gel or lifepo4; what reserve minutes stand for depends on it.
    Raises
        ValueError: as quantity; cold-cranking amps, which tell nothing of amp-hours; Wh without volts.
    """
    plain = _plain(text)
    if re.search(r"\b(cca|mca|ca)\b|crank", plain, re.IGNORECASE):
        raise ValueError(f"{shown(text)} says how the battery starts an engine, not what it holds; accepted is \"100 "
                         "Ah\", \"95 Ah at 100 h\" or \"160 min reserve\"; look for one of these on the label")
    if _RESERVE.search(plain):
        minutes = _RESERVE.sub(" ", plain).strip()
        bare = re.fullmatch(_NUMBER, minutes)  # a label says "RC 160": reserve is always minutes
        hours = number(minutes) / 60.0 if bare else of_kind(minutes, "time")
        return Rated(round(ah_of_reserve(hours, chemistry), 1), 20.0)
    amount, *at = _AT.split(plain, maxsplit=1)
    kind, value = quantity(amount, "charge", "energy")
    if kind == "energy":
        if not at:
            raise ValueError(f"{shown(text)} is an energy; accepted is amp-hours, or the volts beside it, such as "
                             "\"1280 Wh at 12.8 V\"; add the volts of the label")
        volts = of_kind(at[0], "voltage")
        if volts <= 0.0:
            raise ValueError(f"{shown(text)}: {volts:g} V was given; accepted is a voltage above 0; correct it")
        return Rated(_clean(value / volts), 20.0)
    if not at:
        return Rated(value, 20.0)
    hours = of_kind(re.sub(r"\s*rate$", "", at[0]), "time")
    return Rated(value, hours)


def ah_of_reserve(hours: float, chemistry: str) -> float:
    """Amp-hours at 20 h of a battery that gives RESERVE_A for so many hours. [Ah]

    By Peukert's rule with the model's exponent for the chemistry, since it is made for one steady pull; labels that
    print both figures agree with it to about a tenth, from memory. That the definition's 80 F is as good as the
    rating's 77 F is our assumption, no source.
    """
    if not 0.0 < hours <= 24.0:
        raise ValueError(f"A reserve of {hours * 60:g} min was given; accepted is more than 0 and up to 1440 min; "
                         "correct it")
    # capacity.peukert_runtime_h turned round; a test holds the two against each other
    return RESERVE_A * 20.0 * (hours / 20.0) ** (1.0 / constants.PEUKERT[_chemistry(chemistry)])


def hours_a_day(text: str) -> float:
    """Hours of a day: "3 h a day", "20 min", "0.5 h/day". [h]"""
    return of_kind(_A_DAY.sub("", _plain(text)), "time")


def share(text: str) -> float:
    """A share, 0..1 for 0..100 %."""
    return of_kind(text, "share")


def _chemistry(chemistry: str) -> str:
    if chemistry not in constants.KINETIC:
        known = ", ".join(sorted(constants.KINETIC))
        raise ValueError(f"The chemistry {shown(chemistry)} is not known; accepted are {known}; choose one of these")
    return chemistry


def _plain(text: str) -> str:
    if not isinstance(text, str):
        raise ValueError(f"{shown(text)} was given; accepted is text such as \"3.5 A\"; put it in quotes")
    return " ".join(text.replace("\u2212", "-").replace("\u00a0", " ").replace("\u202f", " ").split())


def _unit(spelling: str) -> tuple:
    """(kind, pint's name), or (None, None). Letters' case matters only where a capital M would mean a million."""
    bare = re.sub(r"[\s.·-]", "", spelling)
    exact, folded = _spellings()
    if bare in exact:
        return exact[bare]
    if len(bare) <= 3 and bare[:1] == "M" and bare not in ("Min", "MIN"):
        return None, None
    return folded.get(bare.casefold(), (None, None))


@cache
def _spellings() -> tuple:
    exact = {re.sub(r"[\s.·-]", "", spelling): (kind, unit)
             for kind, about in KINDS.items() for spelling, unit in about.spellings.items()}
    return exact, {spelling.casefold(): found for spelling, found in exact.items()}


def _wanted(kinds: tuple) -> str:
    return " or ".join(f"{KINDS[kind].noun} such as \"{KINDS[kind].example}\"" for kind in kinds)


def _clean(value: float) -> float:
    """Without the dust of binary arithmetic: twelve significant digits are more than any label has."""
    return float(f"{value:.12g}")

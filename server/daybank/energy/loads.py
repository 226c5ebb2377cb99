"""loads.py - what each circuit draws, hour by hour.

Knows: the patterns (always, thermostat, evening, night, day, any), logged uses, "as usual", "nobody here",
uses that are still running, blown fuses, the selector's feed, the inverter's idle. Leaves to others: how far a rig
departs from its labels (member.py) and what the bank does with the current (bank.py).

Every circuit's amps are laid on an hourly grid in one of four groups, because a rig's hidden differences act on them
differently: `thermostat` (label and duty), `standing` (label), `logged` (label, and the rounding of the log),
`habit` (label, and how far this household departs from its typical hours).
"""
import math

from daybank.energy import bank, feeds

HOUR_S = 3600.0
GROUPS = ('thermostat', 'standing', 'logged', 'habit')
THERMOSTAT, STANDING, LOGGED, HABIT = 0, 1, 2, 3

NIGHT_FROM_H = 22.0          # "night" hours begin at 22:00 (design ruling)
SUNSET_WITHOUT_PLACE_H = 18.0
DAY_WINDOW_H = (10.0, 18.0)
ANY_WINDOW_H = (8.0, 22.0)
# Hours a day when the rig file names none: our assumption, no source.
TYPICAL_H = {'evening': 4.0, 'night': 6.0, 'day': 2.0, 'any': 1.0}
# Duty of a 12 V compressor fridge of 30-50 L at 25 C: common practice, no source (0.20-0.45). A stated duty is a
# person's guess; one far from the common figure is more often a wrong guess than a rare fridge (logarithms).
DUTY_25C, DUTY_FRIDGES_LOG_SD, DUTY_GUESS_LOG_SD = 0.30, 0.35, 0.15
FRIDGE_INSIDE_C = 4.0
CABIN_WARMER_C = 1.0         # a closed cabin stands a little above the air: our assumption, no source
DOOR_SHARE = 0.10            # of the duty at 25 C that does not come through the walls: our assumption, no source
INVERTER_IDLE_W = 6.0        # while on; 1.5-12 W measured by owners for 60-700 W units
INVERTER_EFFICIENCY = 0.90   # 0.88-0.94, common practice, no source


def typical_hours(circuit: dict) -> float:
    """Hours a day that a circuit runs when nothing is logged; 24 for always and thermostat. [h]"""
    when = circuit.get('when') or 'any'
    if when in ('always', 'thermostat'):
        return 24.0
    hours = circuit.get('typical_h_per_day')
    return float(TYPICAL_H[when] if hours is None else hours)


def fridge_duty(*, air_c: float, duty_at_25c: float, inside_c: float = FRIDGE_INSIDE_C) -> float:
    """Share of the hour that a thermostat's compressor runs.

    Parameters
        air_c: temperature about the box. [C]
        duty_at_25c: duty at 25 C about the box, 0..1.
        inside_c: temperature kept inside. [C]
    Returns
        Duty, 0.01..1.
    Notes
        Heat leak grows with the difference, and each joule costs more as the difference grows (Carnot, with 15 K
        exchanger differences); DOOR_SHARE of the duty does not depend on the air (door, warm food). Our assumption
        on the shape; colder air than the box gives that floor.
    """
    def pull(c):
        lift = c - inside_c
        return lift * (lift + 30.0) if lift > 0.0 else 0.0
    duty = duty_at_25c * (DOOR_SHARE + (1.0 - DOOR_SHARE) * pull(air_c) / pull(25.0))
    return min(1.0, max(0.01, duty))


def likely_duty(stated) -> float:
    """Likely duty at 25 C of a fridge whose owner states this one (None: nothing): between it and the common figure."""
    if stated is None:
        return DUTY_25C
    weight = DUTY_FRIDGES_LOG_SD ** 2 / (DUTY_FRIDGES_LOG_SD ** 2 + DUTY_GUESS_LOG_SD ** 2)
    return math.exp(weight * math.log(max(0.02, stated)) + (1.0 - weight) * math.log(DUTY_25C))


def running_amps(circuit: dict, *, volts: float, inverter: dict = None) -> tuple:
    """Current at the bank while a circuit runs, and whether it draws constant power.

    Parameters
        circuit: a row of `circuits`.
        volts: the bank's usual voltage, to turn watts into amps. [V]
        inverter: the rig's inverter, or None.
    Returns
        (amps, constant_power): label current at the bank [A], True where the load holds its power.
    Raises
        ValueError: the circuit states neither draw_a nor draw_w.
    """
    amps, watts = circuit.get('draw_a'), circuit.get('draw_w')
    if amps is None and watts is None:
        raise ValueError(f"Circuit {circuit.get('id')} has no draw; give draw_a or draw_w")
    if circuit.get('through_inverter'):
        rig = inverter or {}
        ac_w = float(watts if watts is not None else amps * volts)
        idle_w = 0.0 if rig.get('left_on') else float(rig.get('idle_w', INVERTER_IDLE_W))
        return (ac_w / float(rig.get('efficiency') or INVERTER_EFFICIENCY) + idle_w) / volts, True
    if amps is not None:
        return float(amps), False
    return float(watts) / volts, True


# How far a household's hours lie from what it called typical (logarithms): all circuits together, each on its own,
# and one logged day about a circuit's own usual. Our assumptions, no source.
HABIT_COMMON_LOG_SD = 0.15
HABIT_EACH_LOG_SD = 0.22
HABIT_DAY_LOG_SD = 0.45
HABIT_FROM_DAYS = 60         # older uses tell of another season


class Habit:
    """What the logged hours say of a household's habits.

    Attributes
        factor: id -> likely factor on the circuit's typical hours.
        log_sd: id -> spread of its logarithm that is its own. common_log_sd: the spread that all share.
    """
    __slots__ = ('factor', 'log_sd', 'common_log_sd')


def learned_habit(question: dict) -> Habit:
    """Compare the logged hours with the typical ones.

    Notes
        A circuit's factor is common x own; both lognormal about 1. A circuit with n logged days has seen its factor
        with a spread of HABIT_DAY_LOG_SD / sqrt(n). Exact posterior of that linear Gaussian model. Today's hours
        are hours so far and say nothing yet.
    """
    asked_day = day_of(question['days'], question['asked_at'])
    since = day_of(question['days'], question['asked_at'] - HABIT_FROM_DAYS * 24 * HOUR_S)
    seen = []
    precision, weighted = 1.0 / HABIT_COMMON_LOG_SD ** 2, 0.0
    for circuit in question['circuits']:
        if circuit.get('when') in ('always', 'thermostat'):
            continue
        usual = typical_hours(circuit)
        days, hours = 0, 0.0
        for use in question.get('uses') or []:
            if use.get('circuit_id') != circuit['id'] or use.get('hours') is None:
                continue
            if since <= use['day'] < asked_day:
                days += 1
                hours += float(use['hours'])
        if days and usual > 0.0:
            # a quarter of a usual day on both sides keeps days of no use finite
            ratio = math.log((hours + 0.25 * usual) / (days * usual + 0.25 * usual))
            noise = HABIT_DAY_LOG_SD ** 2 / days
            about_common = HABIT_EACH_LOG_SD ** 2 + noise
            precision += 1.0 / about_common
            weighted += ratio / about_common
        else:
            ratio, noise = 0.0, None
        seen.append((circuit['id'], ratio, noise))
    out = Habit()
    common = weighted / precision
    out.common_log_sd = math.sqrt(1.0 / precision)
    out.factor, out.log_sd = {}, {}
    for cid, ratio, noise in seen:
        each = HABIT_EACH_LOG_SD ** 2
        gain = 0.0 if noise is None else each / (each + noise)
        out.factor[cid] = math.exp(common + gain * (ratio - common))
        out.log_sd[cid] = math.sqrt(each * (1.0 - gain))
    return out


class Loads:
    """The draws of a span of hours.

    Attributes
        starts_at_s: start of hour 0, seconds since the epoch.
        hours: number of hours.
        groups: four lists of amps per hour (see GROUPS).
        power_share: share of each hour's amps that is constant power, 0..1.
        circuits: id -> list of amps per hour (label values).
        run_a: id -> amps while running.
        volts: the voltage at which watts were turned into amps.
    """
    __slots__ = ('starts_at_s', 'hours', 'groups', 'power_share', 'circuits', 'run_a', 'volts')


def hour_loads(question: dict, *, grid, days: list, sunsets_s: list, cabin_c: list, at_home: list, volts: float,
               habit: Habit) -> Loads:
    """Lay every circuit on the hourly grid.

    Parameters
        question: the question (export rows with epoch seconds).
        grid: (starts_at_s, hours) of the hourly grid.
        days: local days [name, starts_at_s] that overlap the grid, in order, one more at the end.
        sunsets_s: sunset of each of those days, epoch seconds.
        cabin_c: temperature about the fridge for each hour. [C]
        at_home: True for each hour in which nobody camps (standing draws only).
        volts: bank voltage for turning watts into amps. [V]
        habit: see learned_habit; its factors stretch the typical hours.
    Returns
        Loads.
    """
    start_s, hours = grid
    out = Loads()
    out.starts_at_s, out.hours, out.volts = start_s, hours, volts
    out.groups = [[0.0] * hours for _ in GROUPS]
    out.power_share = [0.0] * hours
    out.circuits, out.run_a = {}, {}
    inverters = question.get('inverters') or []
    inverter = inverters[0] if inverters else None
    power_a = [0.0] * hours
    output_max_a = controller_limit(question, 'output_max_a')
    for circuit in question['circuits']:
        run_a, constant_power = running_amps(circuit, volts=volts, inverter=inverter)
        if circuit.get('feed') == 'controller_output' and output_max_a is not None:
            run_a = min(run_a, output_max_a)     # the controller limits its own output
        mine = [0.0] * hours
        out.circuits[circuit['id']] = mine
        out.run_a[circuit['id']] = run_a
        live = _live_hours(question, circuit, start_s, hours)
        shares = _shares(question, circuit, grid, days, sunsets_s, habit.factor.get(circuit['id'], 1.0))
        fridge = circuit.get('when') == 'thermostat'
        duty25 = likely_duty(circuit.get('duty_at_25c'))
        standing = circuit.get('when') == 'always'
        home_too = standing and circuit.get('feed') == 'bank'
        for group, share in shares:
            into = out.groups[group]
            for k in range(hours):
                on = share[k]
                if on <= 0.0 or not live[k] or (at_home[k] and not home_too):
                    continue
                amps = run_a * on
                if fridge:
                    amps *= fridge_duty(air_c=cabin_c[k], duty_at_25c=duty25)
                into[k] += amps
                mine[k] += amps
                if constant_power:
                    power_a[k] += amps
    for rig in inverters:
        if rig.get('left_on'):
            amps = float(rig.get('idle_w', INVERTER_IDLE_W)) / volts
            for k in range(hours):
                out.groups[STANDING][k] += amps
                power_a[k] += amps
    for k in range(hours):
        total = out.groups[0][k] + out.groups[1][k] + out.groups[2][k] + out.groups[3][k]
        if total > 0.0:
            out.power_share[k] = power_a[k] / total
    return out


def controller_limit(question: dict, name: str):
    """`output_max_a` [A] or `output_cutoff_v` [V] of the controller that has one, or None."""
    for source in question.get('sources') or []:
        if source.get(name) is not None:
            return float(source[name])
    return None


def _live_hours(question, circuit, start_s, hours):
    """True for each hour in which the circuit can draw: its fuse is whole and its feed is live."""
    live = [True] * hours
    changes = []
    for event in question.get('events') or []:
        if event.get('circuit_id') == circuit['id'] and event['kind'] in ('fuse_blown', 'restored'):
            at = event['between'][1] if event.get('at') is None else event['at']
            changes.append((at, event['kind'] == 'restored'))
    changes.sort()
    for at, works in changes:
        first = max(0, int((at - start_s) // HOUR_S))
        for k in range(first, hours):
            live[k] = works
    if circuit.get('feed') == 'fuse_block' and question.get('selector'):
        spans = feeds.position_spans(question)
        j = 0
        dead = False
        for k in range(hours):
            at = start_s + k * HOUR_S
            while j < len(spans) and spans[j][0] <= at:
                dead = not feeds.is_live('fuse_block', spans[j][1])
                j += 1
            if dead:
                live[k] = False
    return live


def _shares(question, circuit, grid, days, sunsets_s, habit_factor):
    """[(group, share of each hour that the circuit is on)] over the grid."""
    start_s, hours = grid
    when = circuit.get('when') or 'any'
    asked = question['asked_at']
    cid = circuit['id']
    by_day, spans, kinds = _logged(question, cid)
    logged, habit = [0.0] * hours, [0.0] * hours
    usual_h = typical_hours(circuit) * habit_factor
    round_the_clock = when in ('always', 'thermostat')
    usual = [0.0] * hours if round_the_clock else habit
    for d in range(len(days) - 1):
        name, day_s = days[d]
        next_s = days[d + 1][1]
        today = day_s <= asked < next_s
        window = usual_window(circuit, day_s=day_s, next_day_s=next_s, sunset_s=sunsets_s[d])
        if name in by_day:
            h = by_day[name]
            if today:
                _place_before(logged, start_s, hours, window, h, asked)
                rest = max(0.0, usual_h - h)
                if rest > 0.0 and not round_the_clock:
                    _place(habit, start_s, hours, window, rest, asked)
                elif rest > 0.0:
                    _fill(usual, start_s, hours, asked, next_s, 1.0)
            else:
                _place(logged, start_s, hours, window, h, day_s)
        elif name in spans:
            pass
        elif round_the_clock:
            _fill(usual, start_s, hours, day_s, next_s, 1.0)
        elif kinds.get(name) != 'away':
            _place(habit, start_s, hours, window, usual_h, day_s)
    for name in sorted(spans):
        for begin, end in spans[name]:
            if end is None:
                end = _usual_end(circuit, days, sunsets_s, max(begin, asked))
            _fill(logged, start_s, hours, begin, end, 1.0)
    if round_the_clock:
        group = THERMOSTAT if when == 'thermostat' else STANDING
        both = [min(1.0, usual[k] + logged[k]) for k in range(hours)]
        return [(group, both)]
    for k in range(hours):
        logged[k] = min(1.0, logged[k])
        habit[k] = min(1.0 - logged[k], habit[k])
    return [(LOGGED, logged), (HABIT, habit)]


def _logged(question, cid):
    """This circuit's hours by day, its from-until spans by day, and the day-wide kinds."""
    by_day, spans, kinds = {}, {}, day_kinds(question)
    for use in question.get('uses') or []:
        if use.get('circuit_id') != cid:
            continue
        if use.get('hours') is not None:
            by_day[use['day']] = by_day.get(use['day'], 0.0) + float(use['hours'])
        elif use.get('from') is not None:
            spans.setdefault(day_of(question['days'], use['from']), []).append((use['from'], use.get('until')))
    for name in spans:
        spans[name].sort(key=lambda s: (s[0], 0.0 if s[1] is None else s[1]))
    return by_day, spans, kinds


def day_kinds(question: dict) -> dict:
    """'as_usual' or 'away' by day. Of two entries for a day the later id stands: rows come in any order."""
    kinds, by = {}, {}
    for use in question.get('uses') or []:
        if use.get('kind') is not None and use.get('circuit_id') is None:
            name = str(use.get('id'))
            if use['day'] not in by or name > by[use['day']]:
                kinds[use['day']], by[use['day']] = use['kind'], name
    return kinds


def day_of(days: list, at_s: float) -> str:
    """Name of the local day that holds an instant (the first or last known day outside the table)."""
    low, high = 0, len(days) - 1
    while low < high:
        mid = (low + high + 1) // 2
        if days[mid][1] <= at_s:
            low = mid
        else:
            high = mid - 1
    return days[low][0]


def usual_window(circuit: dict, *, day_s: float, next_day_s: float, sunset_s: float) -> tuple:
    """When in a local day a circuit usually runs.

    Returns
        (begin_s, end_s, block): `block` True where it runs at a stretch from the beginning (evening, night),
        False where its hours are spread over the span (day, any, always).
    """
    when = circuit.get('when') or 'any'
    # clocks change in the small hours, so the clock's hours of that day are counted back from the next midnight
    clock_s = next_day_s - 24 * HOUR_S
    if when == 'evening':
        return (sunset_s, sunset_s + 24 * HOUR_S, True)
    if when == 'night':
        return (clock_s + NIGHT_FROM_H * HOUR_S, clock_s + (NIGHT_FROM_H + 24) * HOUR_S, True)
    if when in ('always', 'thermostat'):
        return (day_s, next_day_s, False)
    low, high = DAY_WINDOW_H if when == 'day' else ANY_WINDOW_H
    return (clock_s + low * HOUR_S, clock_s + high * HOUR_S, False)


def _place(share, start_s, hours, window, h, not_before_s):
    """Lay h hours into the window, from not_before_s on."""
    if h <= 0.0:
        return
    begin, end, block = window
    begin = max(begin, not_before_s)
    need_s = h * HOUR_S
    if block:
        _fill(share, start_s, hours, begin, begin + need_s, 1.0)
        return
    if end - begin < need_s:
        middle = 0.5 * (begin + max(end, begin))
        begin = max(not_before_s, middle - 0.5 * need_s)
        end = begin + need_s
    _fill(share, start_s, hours, begin, end, need_s / (end - begin))


def _place_before(share, start_s, hours, window, h, asked_s):
    """Lay h hours that were run so far today: inside the window as far as it has passed, else just before now."""
    if h <= 0.0:
        return
    begin, end, block = window
    need_s = h * HOUR_S
    end = min(end, asked_s)
    if block:
        end = min(end, begin + need_s)
    if end - begin < need_s:
        end = asked_s if end < begin else end
        begin = end - need_s
    _fill(share, start_s, hours, begin, end, need_s / (end - begin))


def _fill(share, start_s, hours, begin_s, end_s, density):
    """Add `density` to the share of each hour that [begin_s, end_s) covers."""
    if end_s <= begin_s:
        return
    first = max(0, int((begin_s - start_s) // HOUR_S))
    last = min(hours - 1, int((end_s - start_s) // HOUR_S))
    for k in range(first, last + 1):
        low = start_s + k * HOUR_S
        part = min(end_s, low + HOUR_S) - max(begin_s, low)
        if part > 0.0:
            share[k] += density * part / HOUR_S


def _usual_end(circuit, days, sunsets_s, after_s):
    """First usual end of the circuit's running at or after an instant; a day later when it has none."""
    best = after_s + 24 * HOUR_S
    for d in range(len(days) - 1):
        begin, end, block = usual_window(circuit, day_s=days[d][1], next_day_s=days[d + 1][1], sunset_s=sunsets_s[d])
        if block:
            end = begin + typical_hours(circuit) * HOUR_S
        if after_s <= end < best:
            best = end
    return best


def reference_volts(chemistry: str, nominal_v: float) -> float:
    """Bank voltage at which label watts become amps: rested at seven tenths of full. [V]"""
    return bank.open_circuit_v(0.7, chemistry, nominal_v=nominal_v)

"""estimate.py - the ensemble, and what the log teaches it.

Theory of operation: `n` members (member.py) start from the priors. The log is replayed hour by hour; at each mark
(a reading, "full", a cut-out) every member says what it would have read, and the members are moved toward those
that said the right thing: an ensemble square-root Kalman update of scores and state together, with a share of
gross errors, so that one typo never swings the answer. The same members then run on into the forecast.

Knows: priors' draws, replay, update. Leaves to others: the step (member.py), volts (gauge.py), the answer
(forecast.py).
Source of the update: Whitaker & Hamill, Monthly Weather Review 130 (2002) 1913-1924, from memory.
"""
import math

from daybank.energy import bank, capacity, checkpoints, clearness, constants, draws, loads, member, sky
from daybank.energy import course as courses
from daybank.energy import gauge as gauges

HOUR_S = 3600.0
FULL_SOC, FULL_SD = 0.985, 0.02      # "charger says finished": strong evidence, not proof
FULL_GROSS_SHARE, FULL_BELIEVED_SHARE = 0.01, 0.93
FLAT_SOC, FLAT_SD = 0.06, 0.05
CUT_OUT_SD_V = 0.15
SHUNT_SD = 0.06                      # our assumption, no source
# A reading trusted less than this widens the charge by that: our assumption, no source.
DOUBT_TRUST, DOUBT_WIDENS = 0.25, 1.4
HARVEST_LOG_SD = 0.12                # reading amp-hours off a controller, and hours the day's shape hides
# Where a trip begins: the share of banks that are charged when the log tells of charging beforehand and when it
# does not, and where the others lie. Our assumptions, no source.
CHARGED_SHARE_TOLD, CHARGED_SHARE_UNTOLD = 0.80, 0.45
CHARGED_FROM_SOC, ELSE_FROM_SOC = 0.90, 0.55
UNKNOWN_FROM_SOC = 0.20              # no trip and no record: nearly anything


class Ensemble:
    """n members as columns: z[score][i], soc[i], head[i] (Ah), surface[i] (0..1), and what follows from them.

    sun[i], logged[i], habit[i] are today's factors on clear-sky amps, logged use and usual use;
    day_sun_ah[i] is what the panel delivered today so far.
    """
    __slots__ = ('n', 'rig', 'rng', 'z', 'soc', 'head', 'surface', 'traits', 'sun', 'logged', 'habit', 'index',
                 'day_sun_ah', 'day', 'closed', 'cold', 'ranked', 'steps', 'surprises',
                 'kept', 'months', 'rates', 'heard')

    def mean_load(self, i: int, course, k: int) -> float:
        """Member i's mean draw in hour k of the grid. [A]"""
        g = course.loads.groups
        k = min(k, course.loads.hours - 1)
        t = self.traits[i]
        return (g[0][k] * t.fridge + g[1][k] * t.draw + g[2][k] * self.logged[i] + g[3][k] * self.habit[i]
                + t.standby_a)

    def mean_resistance(self) -> float:
        """Mean resistance of the bank over the members. [ohm]"""
        return sum(t.resistance_ohm for t in self.traits) / self.n


def rig_of(question: dict) -> member.Rig:
    """What the members share, from the question's rows.

    Raises
        ValueError: no bank is in service when asked.
    """
    row = bank_in_service(question, loads.day_of(question['days'], question['asked_at']))
    rig = member.Rig()
    rig.chemistry = row['chemistry']
    rig.nominal_v = float(question['rig'].get('nominal_v') or 12)
    rig.scale = rig.nominal_v / 12.0
    label_ah = capacity.label_at_20h_ah(rated_ah=float(row['rated_ah']), rated_h=float(row.get('rated_h') or 20),
                                        chemistry=rig.chemistry)
    rig.label_ah = label_ah * (row.get('in_parallel') or 1)
    rig.kinetic_c, rig.kinetic_k = bank.kinetic_constants(rig.chemistry)
    rig.efficiency = efficiency_bands(rig.chemistry)
    rig.resistance_ohm = bank.resistance_ohm(rig.chemistry, rated_ah=rig.label_ah, nominal_v=rig.nominal_v)
    rig.self_discharge_per_h = bank.self_discharge_per_hour(rig.chemistry, 20.0)
    rig.volts = loads.reference_volts(rig.chemistry, rig.nominal_v)
    trip = courses.trip_at(question, question['asked_at'])
    rig.lives = row.get('lives')
    rig.shade = float((trip or {}).get('shade') or 0.0)
    inverters = question.get('inverters') or []
    learned = loads.learned_habit(question)
    squares = total = habit_var = 0.0
    for circuit in question['circuits']:
        if circuit.get('when') == 'thermostat':
            continue
        amps, _ = loads.running_amps(circuit, volts=rig.volts, inverter=inverters[0] if inverters else None)
        ah = amps * loads.typical_hours(circuit)
        squares += ah * ah
        total += ah
        habit_var += (ah * learned.log_sd.get(circuit['id'], 0.0)) ** 2
    # independent labels average out over several circuits; one common error does not
    total = max(total, 1e-9)
    rig.draw_log_sd = math.sqrt(member.DRAW_COMMON_LOG_SD ** 2 + member.DRAW_EACH_LOG_SD ** 2 * squares / total ** 2)
    rig.habit_log_sd = math.sqrt(learned.common_log_sd ** 2 + habit_var / total ** 2)
    return rig


def efficiency_bands(chemistry: str) -> tuple:
    """(upper soc of the first band, share stored in it, upper soc and share of the second, share of the third)."""
    stages = constants.CHARGE_STAGES[chemistry]
    first, second, third = stages[0], stages[1], stages[-1]
    return first[0], first[1], second[0], second[1], third[1]


def bank_in_service(question: dict, day: str) -> dict:
    """The bank whose dates hold the day; the latest installed one of several."""
    best = None
    for row in question['banks']:
        since, until = row.get('installed_on') or '', row.get('removed_on') or '9999'
        if since <= day < until and (best is None or since >= (best.get('installed_on') or '')):
            best = row
    if best is None:
        raise ValueError(f'No bank is in service on {day}; give a bank whose dates hold that day')
    return best


def start_of_replay(question: dict) -> float:
    """Where the replay begins: the first record or the trip's start, at most 30 days back; never after the question."""
    asked = question['asked_at']
    times = [r['at'] for r in question.get('readings') or []]
    times += [c['starts_at'] for c in question.get('charges') or []]
    for event in question.get('events') or []:
        times.append(event['between'][0] if event.get('at') is None else event['at'])
    # hours before the table of days have no place in the grid: a trip that began earlier is picked up at its edge
    oldest = max(asked - courses.OLDEST_REPLAY_DAYS * 24 * HOUR_S, question['days'][0][1])
    trip = courses.trip_at(question, asked)
    if trip is not None:
        times.append(max(oldest, trip['starts_at']))
    times = [t for t in times if oldest <= t <= asked]
    return min(times) if times else asked


def stratified(e: Ensemble) -> list:
    """n standard normal scores, one from each of n equal strata, in random order: a sample that never strays."""
    ranked = e.ranked
    return [ranked[k] for k in e.rng.shuffled(e.n)]


def blank(rig: member.Rig, *, n: int, seed: int) -> Ensemble:
    """An ensemble of n members without scores or charge."""
    e = Ensemble()
    e.n, e.rig, e.rng = n, rig, draws.Draws(seed)
    e.ranked = [draws.normal_quantile((k + 0.5) / n) for k in range(n)]
    e.head, e.surface, e.day_sun_ah = [0.0] * n, [0.0] * n, [0.0] * n
    e.sun, e.logged, e.habit, e.index = [0.0] * n, [1.0] * n, [1.0] * n, [1.0] * n
    e.day = e.closed = e.kept = None
    e.months = [None] * n
    e.cold = 1.0
    e.steps = e.heard = 0
    e.surprises = []
    return e


def first_members(question: dict, course, rig: member.Rig, *, n: int, seed: int) -> Ensemble:
    """The ensemble before the log has spoken."""
    e = blank(rig, n=n, seed=seed)
    e.z = [stratified(e) for _ in member.SCORES]
    charged = _charged_share(question, course)
    u = e.rng.shuffled(n)
    e.soc = [first_soc((u[i] + 0.5) / n, charged) for i in range(n)]
    _learn_season(e, course)
    refresh(e)
    return e


def members_from(kept: dict, course, rig: member.Rig, *, seed: int) -> Ensemble:
    """The ensemble of a checkpoint, ready to go on from its midnight."""
    e = blank(rig, n=kept['members'], seed=seed)
    checkpoints.put_back(e, kept)
    for day in course.days:
        if day.name == kept['yesterday']:
            e.day = e.closed = day
    e.traits = [member.traits(rig, [c[i] for c in e.z]) for i in range(e.n)]
    return e


def _charged_share(question, course):
    """Share of members that begin charged; None when neither a trip nor a record begins there."""
    if course.trip is None and course.starts_s >= question['asked_at']:
        return None
    leaves = course.trip['starts_at'] if course.trip is not None else course.starts_s
    for reading in question.get('readings') or []:
        if reading.get('state') == 'full' and course.starts_s <= reading['at'] <= leaves:
            return CHARGED_SHARE_TOLD
    for charge in question.get('charges') or []:
        if course.starts_s <= charge['starts_at'] < leaves:
            return CHARGED_SHARE_TOLD
    return CHARGED_SHARE_UNTOLD


def first_soc(u: float, charged_share: float) -> float:
    """State of charge where the replay begins, at quantile u; charged_share None: nothing is known."""
    if charged_share is None:
        return UNKNOWN_FROM_SOC + (1.0 - UNKNOWN_FROM_SOC) * u
    low = 1.0 - charged_share
    if u < low:
        return ELSE_FROM_SOC + (CHARGED_FROM_SOC - ELSE_FROM_SOC) * u / low
    return CHARGED_FROM_SOC + (1.0 - CHARGED_FROM_SOC) * (u - low) / charged_share


def _learn_season(e, course):
    """Move the season's score by the skies that were logged: they say how cloudy this month is here."""
    rows = []
    for day in course.days:
        if day.word and day.place and day.starts_s <= course.asked_s:
            rows.append((day, sky.clear_index_from_word(day.word, 0.0) * day.clear_kt))
    if not rows:
        return
    day = rows[0][0]
    month, lat = int(day.name[5:7]), day.place['lat_deg']
    told = day.place.get('season_sky')
    middle = sky.season_mean_kt(lat, month, told, 0.0)
    sd = 0.5 * (sky.season_mean_kt(lat, month, told, 1.0) - sky.season_mean_kt(lat, month, told, -1.0))
    n_eff = max(1.0, 0.54 * len(rows))
    noise = 0.16 ** 2 / n_eff
    seen = sum(r[1] for r in rows) / len(rows)
    gain = sd * sd / (sd * sd + noise)
    shift, shrink = gain * (seen - middle) / sd, math.sqrt(1.0 - gain)
    column = e.z[member.SEASON]
    for i in range(e.n):
        column[i] = shift + shrink * column[i]


def refresh(e: Ensemble) -> None:
    """Physical values from scores, after any change of scores."""
    e.traits = [member.traits(e.rig, [c[i] for c in e.z]) for i in range(e.n)]
    _today(e)


def new_day(e: Ensemble, day) -> None:
    """Draw today's sky, logged-hours error and habits for every member; the sky remembers yesterday's."""
    n = e.n
    fresh = stratified(e)
    if e.day is not None and e.day.place and not day.word:
        if e.day.word:
            # a day that was given a word is scored within that word; its place in the season has to be found
            scores = [sky.score_of_index(e.index[i], mean_kt=_season_kt(e, e.day, i), clear_kt=e.day.clear_kt)
                      for i in range(n)]
        else:
            scores = e.z[member.SKY]
        fresh = [sky.next_score(scores[i], fresh[i]) for i in range(n)]
    e.z[member.SKY] = fresh
    e.z[member.LOG_DAY] = stratified(e)
    e.z[member.HABIT_DAY] = stratified(e)
    e.day_sun_ah = [0.0] * n
    e.day = day
    e.cold = bank.cold_acceptance(e.rig.chemistry, day.mean_c)
    _today(e)


def _season_kt(e, day, i):
    return sky.season_mean_kt(day.place['lat_deg'], int(day.name[5:7]), day.place.get('season_sky'),
                              e.z[member.SEASON][i])


def _month(e, day, i):
    """The days of member i's month; made anew only when its mean is another, since making it costs more than asking."""
    mean_kt = min(_season_kt(e, day, i), sky.MOST_OF_CLEAR * day.clear_kt)
    held = e.months[i]
    if held is None or held[0] != mean_kt:
        held = e.months[i] = (mean_kt, clearness.MonthSpread(mean_kt))
    return held[1]


def _today(e):
    """Today's factors from today's scores."""
    day = e.day
    if day is None:
        return
    habit_sd = member.HABIT_DAY_AS_USUAL_LOG_SD if day.kind == 'as_usual' else member.HABIT_DAY_LOG_SD
    for i in range(e.n):
        t = e.traits[i]
        if day.place:
            z = e.z[member.SKY][i]
            if day.word:
                index = sky.clear_index_from_word(day.word, z)
            else:
                index = sky.clear_index_from_score(z, mean_kt=_month(e, day, i), clear_kt=day.clear_kt)
            e.index[i] = index
            e.sun[i] = t.harvest * ratio_at(day.ratio, index)
        else:
            e.sun[i] = 0.0
        e.logged[i] = t.draw * math.exp(member.LOG_DAY_LOG_SD * e.z[member.LOG_DAY][i])
        e.habit[i] = t.draw * t.habit * math.exp(habit_sd * e.z[member.HABIT_DAY][i])


def ratio_at(ratio: tuple, index: float) -> float:
    """The day's harvest at a clear-sky index, over that at index 1: straight between the levels."""
    levels = courses.LEVELS
    if index <= levels[0]:
        return ratio[0] * index / levels[0]
    for j in range(1, len(levels)):
        if index <= levels[j] or j == len(levels) - 1:
            return ratio[j - 1] + (ratio[j] - ratio[j - 1]) * (index - levels[j - 1]) / (levels[j] - levels[j - 1])
    return 1.0


def factors(e: Ensemble, i: int, with_sun: bool = True) -> tuple:
    """Member i's factors of today, in the order that member.advance takes."""
    rig, t = e.rig, e.traits[i]
    v1 = rig.volts + 0.3 * rig.scale * t.slope
    v0 = rig.volts - 0.7 * rig.scale * t.slope
    return (t.fridge, t.draw, e.logged[i], e.habit[i], t.standby_a, e.sun[i] if with_sun else 0.0, t.tow_lead,
            member.SHORE_SHARE, t.acceptance_per_h * e.cold, v1, v0, rig.volts, rig.self_discharge_per_h)


def wells(rig: member.Rig) -> tuple:
    """The bank's constants in the order that member.advance takes."""
    return rig.kinetic_c, rig.kinetic_k, rig.efficiency


def replay(e: Ensemble, question: dict, course) -> None:
    """Run the log: every part's rows for every member, then what its marks say.

    Notes
        Leaves in e.kept the checkpoint of the last local midnight, from which a later replay can go on. On the day a
        new bank came into service what was learned about the old one is dropped and its charge is unknown; readings
        of the old bank say nothing about the new one.
    """
    well = wells(e.rig)
    since = bank_in_service(question, loads.day_of(question['days'], question['asked_at'])).get('installed_on') or ''
    old_bank = False
    if course.log and course.log[0].begin_s > course.log[0].day.dawn_s():
        e.closed = course.log[0].day    # amp-hours of a whole day say nothing of an afternoon
    for part in course.log:
        if part.day is not e.day:
            _close_day(e)
            if old_bank and part.day.name >= since:
                _change_bank(e)
            old_bank = part.day.name < since
            if part.begin_s == part.day.starts_s:
                e.kept = checkpoints.take(e, part.day)
            new_day(e, part.day)
        if part.rows:
            e.steps += e.n * len(part.rows)
            for i in range(e.n):
                cap = e.traits[i].capacity_ah
                state, _, _, _, sun_ah = member.advance(
                    (e.soc[i] * cap, e.head[i], e.surface[i]), cap, factors(e, i), well, part.rows, -1.0)
                e.soc[i], e.head[i], e.surface[i] = state[0] / cap, state[1], state[2]
                e.day_sun_ah[i] += sun_ah
        if not old_bank:
            for at, kind, record in part.marks:
                _hear(e, question, course, at, kind, record)
        if part.end_s >= part.day.ends_s - 1.0:
            _close_day(e)


def _change_bank(e):
    """A new bank came into service: its traits and its charge are unknown."""
    for j in member.OF_THE_BANK:
        e.z[j] = stratified(e)
    u = e.rng.shuffled(e.n)
    e.soc = [first_soc((u[i] + 0.5) / e.n, None) for i in range(e.n)]
    e.head, e.surface = [0.0] * e.n, [0.0] * e.n
    refresh(e)


def _close_day(e):
    """At midnight, amp-hours read off the controller speak about harvest and sky."""
    day = e.day
    if day is None or day is e.closed or day.harvest_ah is None or not day.place:
        return
    e.closed = day
    seen = day.harvest_ah
    sd = math.sqrt(0.5 ** 2 + (HARVEST_LOG_SD * seen) ** 2)
    update(e, list(e.day_sun_ah), seen, sd, gross_share=0.05, gross_span=max(10.0, 3.0 * seen))


def _hear(e, question, course, at, kind, record):
    """One mark: find what each member expects, and update."""
    k = int((at - course.grid[0]) // HOUR_S)
    rig = e.rig
    if kind == 'reading':
        if record.get('confirmed') and not plausible_v(record.get('volts'), rig.nominal_v):
            return
        if record.get('state') == 'full':
            _hear_full(e)
            return
        if record.get('soc') is not None:
            # a shunt's own figure: exact between full charges, adrift after weeks
            update(e, list(e.soc), record['soc'], SHUNT_SD, gross_share=0.05, gross_span=1.0)
            return
        if record.get('volts') is None:
            return
        x = gauges.expected(e, course, question, record, k)
        z = update(e, x.volts, record['volts'], x.sd_v, gross_share=x.gross_share, gross_span=x.gross_span_v)
        e.surprises.append((at, record.get('id'), record['volts'], x.taken_as, z))
    elif record['kind'] == 'flat':
        update(e, list(e.soc), FLAT_SOC, FLAT_SD, gross_share=0.03, gross_span=1.0)
    elif record['kind'] == 'jump_start':
        u = e.rng.shuffled(e.n)
        for i in range(e.n):
            e.soc[i] = 0.6 * (u[i] + 0.5) / e.n
    elif record['kind'] == 'cut_out':
        _hear_cut_out(e, question, course, k, record)


def _hear_full(e):
    """A charger had finished: members learn from it what they can, then all but a few stand full, since the charge
    that filled them is often one that nobody noted."""
    update(e, list(e.soc), FULL_SOC, FULL_SD, gross_share=FULL_GROSS_SHARE, gross_span=1.0)
    scores = stratified(e)
    order = e.rng.shuffled(e.n)
    for i in range(e.n):
        if order[i] < FULL_BELIEVED_SHARE * e.n:
            e.soc[i] = min(1.0, FULL_SOC + FULL_SD * scores[i])
            e.head[i], e.surface[i] = 0.0, 1.0


def _hear_cut_out(e, question, course, k, record):
    """The volts at an appliance fell to its cut-off: a reading of the bank taken through that appliance's wire."""
    for circuit in question['circuits']:
        if circuit['id'] == record.get('circuit_id') and circuit.get('cutoff_v') is not None:
            run = course.loads.run_a[circuit['id']]
            ohm = gauges.wire_ohm(circuit)
            reading = {'volts': circuit['cutoff_v'] + run * ohm, 'state': 'loaded', 'on': [circuit['id']]}
            x = gauges.expected(e, course, question, reading, k)
            sd = math.sqrt(x.sd_v ** 2 + (CUT_OUT_SD_V * e.rig.scale) ** 2)
            update(e, x.volts, reading['volts'], sd, gross_share=0.1, gross_span=x.gross_span_v)


def plausible_v(volts, nominal_v: float) -> bool:
    """True where a voltmeter on such a bank can show the figure."""
    return volts is None or 8.0 * nominal_v / 12.0 <= volts <= 16.0 * nominal_v / 12.0


def update(e: Ensemble, predicted: list, seen: float, sd: float, *, gross_share: float, gross_span: float) -> float:
    """Move the members toward what was seen.

    Parameters
        predicted: what each member expected; same unit as seen and sd.
        seen: the observation. sd: its spread about the true value.
        gross_share: chance that it is no observation of this at all; gross_span: it lies anywhere in this span then.
    Returns
        The surprise: (seen - expected) over its total spread.
    """
    n = e.n
    mean = sum(predicted) / n
    dev = [p - mean for p in predicted]
    var_h = sum(d * d for d in dev) / (n - 1)
    total = var_h + sd * sd
    gap = seen - mean
    surprise = gap / math.sqrt(total)
    e.heard += 1
    good = (1.0 - gross_share) * math.exp(-0.5 * min(80.0, surprise * surprise)) / math.sqrt(6.2831853 * total)
    trust = good / (good + gross_share / gross_span)
    if trust < DOUBT_TRUST:
        # either this one is wrong or those before it were: keep the answer, be less sure of it, let the next one tell
        middle = sum(e.soc) / n
        for i in range(n):
            e.soc[i] = min(1.0, max(0.0, middle + DOUBT_WIDENS * (e.soc[i] - middle)))
    if var_h <= 0.0:
        return surprise
    # as many members as it may be wrong for stay where they are: doubt stays a second opinion, not a wider middle
    gain_scale = 1.0 / total
    alpha = 1.0 / (1.0 + math.sqrt(sd * sd / total))
    order = e.rng.shuffled(n)
    moves = [gap - alpha * dev[i] if order[i] < trust * n else 0.0 for i in range(n)]
    for column in e.z:
        _move(column, dev, moves, var_h, gain_scale, n)
    _move(e.soc, dev, moves, var_h, gain_scale, n)
    _move(e.surface, dev, moves, var_h, gain_scale, n)
    for i in range(n):
        e.soc[i] = min(1.0, max(0.0, e.soc[i]))
        e.surface[i] = min(1.0, max(0.0, e.surface[i]))
    refresh(e)
    return surprise


def _move(column, dev, moves, var_h, gain_scale, n):
    """Kalman update of one column; a correlation that chance alone explains is damped."""
    mean = sum(column) / n
    cov = var = 0.0
    for i in range(n):
        c = column[i] - mean
        cov += c * dev[i]
        var += c * c
    if var <= 0.0:
        return
    cov /= n - 1
    var /= n - 1
    r2 = cov * cov / (var * var_h)
    damp = r2 / (r2 + 1.0 / n)
    gain = cov * damp * gain_scale
    for i in range(n):
        column[i] += gain * moves[i]

"""forecast.py - the answer: how long the bank will carry them, how sure that is, and why.

Knows: the members' run into the weather to come, with sun and without, and the answer's form. Leaves to others:
the log (estimate.py), the step (member.py), the reasons (reasons.py).
"""
import json
import math

from daybank.energy import bank, checkpoints, estimate, gauge, loads, member, reasons
from daybank.energy import course as courses

MODEL_VERSION = '1'
MEMBERS = 160
HOUR_S = 3600.0
FIRST_CUTOFF_SHARE = 0.1
# While a compressor runs it draws more than its hourly mean: this share of its running current on top.
RUNNING_ABOVE_MEAN = 0.65


class Ahead:
    """What the members met on the way: one entry a member unless said.

    floor_d, dark_d: days to the floor with and without sun (None: not within the span). cut_d[j]: days to cut-off j.
    dawns: [(day, [soc])]. by_day: [(day, [given_ah], [load_ah], [sun_ah])]. steps: member-rows run.
    """
    __slots__ = ('floor_d', 'dark_d', 'cut_d', 'dawns', 'by_day', 'steps')


class Asked:
    """A question with its hours laid out, ready to be answered by ensembles of several sizes.

    Parameters
        question: `daybank-export/1` with epoch seconds and the table of local days.
        like: an earlier Asked; where the two questions differ in their readings only, its hours serve again.
    Raises
        ValueError: no bank in service, a circuit without a draw, a table of days that is too short.
    """
    __slots__ = ('question', 'rig', 'horizon_days', 'starts_s', 'whole', 'shortened', 'floor', 'kept')

    def __init__(self, question: dict, like=None):
        self.question = question
        self.rig = estimate.rig_of(question)
        asked = question['asked_at']
        trip = courses.trip_at(question, asked)
        self.horizon_days = courses.HORIZON_DAYS
        if trip is not None:
            self.horizon_days = min(courses.LONGEST_TRIP_DAYS,
                                    max(courses.HORIZON_DAYS, int(math.ceil((trip['ends_at'] - asked) / 86400.0))))
        self.starts_s = estimate.start_of_replay(question)
        self.floor = floor_soc(question)
        self.whole = self.kept = None
        self.shortened = {}
        if like is not None and _same_hours(like.question, question):
            if like.whole is not None and like.starts_s == self.starts_s:
                self.whole = courses.heard(like.whole, question)
            for at in like.shortened:
                self.shortened[at] = courses.heard(like.shortened[at], question)

    def answer(self, *, members: int = MEMBERS, seed: int = 1) -> dict:
        """As the function `answer`. A checkpoint of this size in question["checkpoints"] shortens the replay."""
        kept = self._checkpoint(members)
        if kept is None:
            if self.whole is None:
                self.whole = courses.course(self.question, rig=self.rig, starts_s=self.starts_s,
                                            horizon_days=self.horizon_days)
            course = self.whole
            ensemble = estimate.first_members(self.question, course, self.rig, n=members, seed=seed)
        else:
            if kept['at'] not in self.shortened:
                self.shortened[kept['at']] = courses.course(self.question, rig=self.rig, starts_s=kept['at'],
                                                            horizon_days=self.horizon_days)
            course = self.shortened[kept['at']]
            ensemble = estimate.members_from(kept, course, self.rig, seed=seed)
        estimate.replay(ensemble, self.question, course)
        self.kept = ensemble.kept or kept
        soc_now = list(ensemble.soc)
        learned = _learned(ensemble, self.question, course)
        ahead = run_ahead(ensemble, course, self.floor)
        return _answer(self.question, course, ensemble, soc_now, learned, ahead, self.floor, members, seed)

    def _checkpoint(self, members):
        """The latest checkpoint in the question that fits, or None."""
        asked = self.question['asked_at']
        best = None
        for kept in self.question.get('checkpoints') or []:
            oldest_s = asked - courses.OLDEST_REPLAY_DAYS * 86400.0
            if checkpoints.fits(kept, members=members, rig=self.rig, asked_s=asked, oldest_s=oldest_s):
                if best is None or kept['at'] > best['at']:
                    best = kept
        return best

    def checkpoint_json(self) -> str:
        """The last answer's checkpoint as text, "null" when it has none: for `checkpoints` of a later question."""
        return json.dumps(self.kept)

    def answer_json(self, members: int = MEMBERS, seed: int = 1) -> str:
        """`answer` as text, for callers that are not Python."""
        return json.dumps({'answer': self.answer(members=members, seed=seed)})


def answer(question: dict, *, members: int = MEMBERS, seed: int = 1) -> dict:
    """Answer a question.

    Parameters
        question: `daybank-export/1` with epoch seconds and the table of local days.
        members: size of the ensemble.
        seed: of the draws; the same question, members and seed give the same answer.
    Returns
        The answer: days in days of 24 h, charge 0..1, amp-hours in Ah.
    Raises
        ValueError: as Asked.
    """
    return Asked(question).answer(members=members, seed=seed)


def _same_hours(a: dict, b: dict) -> bool:
    """Whether two questions differ in nothing that the laid-out hours know of."""
    for key in a:
        if key not in ('readings', 'checkpoints', 'checks', 'findings') and a[key] != b.get(key):
            return False
    return True


def asked_json(text: str, like=None) -> Asked:
    """The question in a text, laid out."""
    return Asked(json.loads(text), like)


def floor_soc(question: dict) -> float:
    """The state of charge that the person will not go below by plan."""
    row = estimate.bank_in_service(question, loads.day_of(question['days'], question['asked_at']))
    floor = row.get('floor_soc')
    return 0.5 if floor is None else float(floor)


def run_ahead(e: estimate.Ensemble, course: courses.Course, floor: float) -> Ahead:
    """Run every member from the question to the end of the course, with the sun as drawn and with none.

    Parameters
        e: the ensemble at the question; its state is used up.
        course: the course. floor: state of charge at which the clock stops.
    Returns
        Ahead.
    """
    n = e.n
    well = estimate.wells(e.rig)
    out = Ahead()
    out.floor_d, out.dark_d = [None] * n, [None] * n
    out.dawns, out.by_day = [], []
    out.steps = 0
    cuts = [[[low, per_amp, None] for low, per_amp in _cutoff_heads(e, i, course)] for i in range(n)]
    out.cut_d = [[None] * n for _ in course.cutoffs]
    dark = [(e.soc[i] * e.traits[i].capacity_ah, e.head[i], e.surface[i]) for i in range(n)]
    for part in course.ahead:
        if part.day is not e.day:
            estimate.new_day(e, part.day)
        if not out.by_day or out.by_day[-1][0] is not part.day:
            out.by_day.append((part.day, [0.0] * n, [0.0] * n, [0.0] * n))
        _, given, load, sun = out.by_day[-1]
        since_d = (part.begin_s - course.asked_s) / 86400.0
        for i in range(n):
            cap = e.traits[i].capacity_ah
            rates = estimate.factors(e, i)
            state, crossed, given_ah, load_ah, sun_ah = member.advance(
                (e.soc[i] * cap, e.head[i], e.surface[i]), cap, rates, well, part.rows, floor * cap, cuts[i])
            e.soc[i], e.head[i], e.surface[i] = state[0] / cap, state[1], state[2]
            given[i] += given_ah
            load[i] += load_ah
            sun[i] += sun_ah
            out.steps += len(part.rows)
            if crossed >= 0.0 and out.floor_d[i] is None:
                out.floor_d[i] = since_d + crossed / 24.0
            for j in range(len(cuts[i])):
                if cuts[i][j][2] is not None and out.cut_d[j][i] is None:
                    out.cut_d[j][i] = since_d + cuts[i][j][2] / 24.0
            if out.dark_d[i] is None:
                rates = rates[:5] + (0.0,) + rates[6:]
                dark[i], crossed, _, _, _ = member.advance(dark[i], cap, rates, well, part.rows, floor * cap)
                out.steps += len(part.rows)
                if crossed >= 0.0:
                    out.dark_d[i] = since_d + crossed / 24.0
        for _, kind, day in part.marks:
            if kind == 'dawn':
                out.dawns.append((day, list(e.soc)))
    return out


def _cutoff_heads(e, i, course):
    """For each cut-off the head (Ah) below which member i's appliance stops, at no other load and per amp of it."""
    rig, t = e.rig, e.traits[i]
    heads = []
    for circuit, cutoff_v in course.cutoffs:
        run = course.loads.run_a[circuit['id']] * t.draw
        fixed_v = cutoff_v + run * gauge.wire_ohm(circuit) + RUNNING_ABOVE_MEAN * run * t.resistance_ohm
        low = _soc_at(rig, t, fixed_v)
        high = _soc_at(rig, t, fixed_v + 5.0 * t.resistance_ohm)
        heads.append((low * t.capacity_ah, (high - low) / 5.0 * t.capacity_ah))
    return heads


def _soc_at(rig, t, volts):
    """The charge at which a member's rested voltage is this."""
    anchor = bank.open_circuit_v(0.8, rig.chemistry, nominal_v=rig.nominal_v)
    plain = (volts - t.curve_v + (t.slope - 1.0) * anchor) / t.slope
    return bank.soc_at_rest(plain, rig.chemistry, nominal_v=rig.nominal_v)


def quantiles(values: list, scale: float = 1.0) -> dict:
    """P10, P50 and P90 of equally likely values."""
    ranked = sorted(values)
    n = len(ranked)

    def at(p):
        x = p * n - 0.5
        low = min(n - 1, max(0, int(math.floor(x))))
        high = min(n - 1, low + 1)
        share = min(1.0, max(0.0, x - low))
        return (ranked[low] + (ranked[high] - ranked[low]) * share) * scale
    return {'p10': at(0.1), 'p50': at(0.5), 'p90': at(0.9)}


def _days(values, horizon):
    """Quantiles of days, capped at the horizon, with the share of members that got there."""
    capped = [horizon if v is None or v > horizon else v for v in values]
    out = quantiles(capped)
    out['beyond_horizon'] = sum(1 for v in values if v is None or v > horizon) / len(values)
    return out


def _learned(e, question, course):
    """What the log taught about the rig, as quantiles over the members."""
    t = e.traits
    n = e.n
    groups = course.loads.groups
    ah = [sum(g) for g in groups]
    total = sum(ah)

    def draw(i):
        if total <= 0.0:
            return t[i].draw
        return (ah[0] * t[i].fridge + ah[1] * t[i].draw + ah[2] * t[i].draw + ah[3] * t[i].draw * t[i].habit) / total
    return {
        'capacity_ah': quantiles([x.capacity_ah for x in t]),
        'draw_factor': quantiles([draw(i) for i in range(n)]),
        'harvest_factor': quantiles([x.harvest for x in t]),
        'standby_a': quantiles([x.standby_a for x in t]),
        'connection_mohm': quantiles([x.connection_ohm * 1000.0 for x in t]),
        'gauge_offset_v': quantiles([x.gauge_v[0] for x in t]),
    }


def _answer(question, course, e, soc_now, learned, ahead, floor, members, seed):
    """Put the answer together."""
    horizon = float(courses.HORIZON_DAYS)
    days_left = _days(ahead.floor_d, horizon)
    dark = _days(ahead.dark_d, horizon)
    soc = quantiles(soc_now)
    cutoff = _first_cutoff(course, ahead, horizon)
    reaches = None
    if course.trip is not None:
        end_d = (course.trip['ends_at'] - course.asked_s) / 86400.0
        reaches = sum(1 for v in ahead.floor_d if v is None or v >= end_d) / e.n
    out = {
        'asked_at': course.asked_s,
        'state_of_charge': soc,
        'days_left': days_left,
        'days_left_without_sun': dark,
        'horizon_days': courses.HORIZON_DAYS,
        'reaches_trip_end': reaches,
        'limit': _limit(soc, floor, days_left, cutoff),
        'first_cutoff': cutoff,
        'nights': [{'day': day.name, 'at': day.dawn_s(), 'dawn_soc': quantiles(socs)} for day, socs in ahead.dawns],
        'days': [_day_sums(course, e, ahead, d) for d in range(len(ahead.by_day))],
        'learned': learned,
        'changes': [],
        'model_version': MODEL_VERSION, 'members': members, 'seed': seed,
        'steps': e.steps + ahead.steps,
    }
    out['because'] = reasons.because(question, course, e, out)
    out['cautions'] = reasons.cautions(question, course, e, out)
    return out


def _first_cutoff(course, ahead, horizon):
    """The appliance that stops first in most members, when at least a tenth of them see one stop."""
    n = len(ahead.floor_d)
    first = [None] * n
    counts = [0] * len(course.cutoffs)
    for i in range(n):
        best = None
        for j in range(len(course.cutoffs)):
            d = ahead.cut_d[j][i]
            if d is not None and d <= horizon and (best is None or d < ahead.cut_d[best][i]):
                best = j
        if best is not None:
            first[i] = ahead.cut_d[best][i]
            counts[best] += 1
    share = sum(counts) / n
    if share < FIRST_CUTOFF_SHARE:
        return None
    most = max(range(len(counts)), key=lambda j: (counts[j], -j))
    days = _days(first, horizon)
    return {'circuit_id': course.cutoffs[most][0]['id'], 'share': share,
            'days': {'p10': days['p10'], 'p50': days['p50'], 'p90': days['p90']}}


def _limit(soc, floor, days_left, cutoff):
    """What stops them first at the median: the floor, an appliance, nothing, or they are below the floor already."""
    if days_left['p50'] <= 0.0:
        return 'below_floor'
    first = days_left['p50'] if days_left['beyond_horizon'] < 0.5 else None
    if cutoff is not None and cutoff['share'] >= 0.5 and (first is None or cutoff['days']['p50'] < first):
        return 'cutoff:' + cutoff['circuit_id']
    return 'none' if first is None else 'floor'


def _day_sums(course, e, ahead, d):
    """Amp-hours in and out of one day, by source and by circuit."""
    day, given, load, sun = ahead.by_day[d]
    sun_mean = sum(sun) / len(sun)
    clear = sum(day.by_source[s] for s in day.by_source)
    by_source = {}
    for s in sorted(day.by_source):
        by_source[s] = sun_mean * day.by_source[s] / clear if clear > 0.0 else 0.0
    rest = sum(given) / len(given) - sun_mean
    if rest > 1e-9:
        by_source['charging'] = rest
    begin = max(day.starts_s, course.asked_s)
    first = int((begin - course.grid[0]) // HOUR_S)
    last = min(course.loads.hours, int((day.ends_s - course.grid[0]) // HOUR_S))
    label = {}
    for cid in sorted(course.loads.circuits):
        label[cid] = sum(course.loads.circuits[cid][first:last])
    total = sum(label[c] for c in label)
    load_mean = sum(load) / len(load)
    standby = sum(t.standby_a for t in e.traits) / e.n * (day.ends_s - begin) / HOUR_S
    for cid in label:
        label[cid] = label[cid] / total * max(0.0, load_mean - standby) if total > 0.0 else 0.0
    label['standby'] = min(standby, load_mean)
    in_ah, out_ah = quantiles(given), quantiles(load)
    in_ah['by_source'], out_ah['by_circuit'] = by_source, label
    return {'day': day.name, 'in_ah': in_ah, 'out_ah': out_ah}


def answer_json(text: str) -> str:
    """`answer` for callers that pass text: {"question", "members", "seed"} in, {"answer"} or {"error"} out."""
    try:
        asked = json.loads(text)
        return json.dumps({'answer': answer(asked['question'], members=asked.get('members') or MEMBERS,
                                            seed=asked.get('seed') or 1)})
    except KeyError as error:
        return json.dumps({'error': f'The question lacks {error}; give a whole question'})
    except ValueError as error:
        return json.dumps({'error': str(error)})

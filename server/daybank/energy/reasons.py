"""reasons.py - why the answer is what it is, and what to take care of, as codes with figures.

Knows: which facts of the answer weigh most. Leaves to others: sentences (pwa/words/), figures (forecast.py).
"""
from daybank.energy import constants, member
from daybank.energy import course as courses

HOUR_S = 3600.0
LEARNED_STEP = 0.08          # a factor this far from the label is worth a line
LEARNED_SPREAD = 0.55        # and known at least this well: P10-P90 over P50
STANDBY_WORTH_A = 0.06
SURPRISE_SDS = 2.5


def because(question: dict, course: courses.Course, e, out: dict) -> list:
    """Reasons, most weighty first: [{"code", "args"}]. Amp-hours a day, amps, volts, hours, shares."""
    lines = []
    floor_soon = out['days_left']['p50'] <= 0.0
    if floor_soon:
        lines.append(_line('because_below_floor', soc=out['state_of_charge']['p50']))
    days = out['days'][1:4] if len(out['days']) > 2 else out['days']
    in_ah = sum(d['in_ah']['p50'] for d in days) / max(1, len(days))
    out_ah = sum(d['out_ah']['p50'] for d in days) / max(1, len(days))
    if in_ah > 0.05:
        code = 'because_balance_rises' if in_ah >= out_ah else 'because_balance_falls'
        lines.append(_line(code, in_ah=in_ah, out_ah=out_ah))
    else:
        lines.append(_line('because_no_charge', out_ah=out_ah))
    biggest = _biggest(question, days)
    if biggest is not None:
        name, ah = biggest
        lines.append(_line('because_biggest_draw', circuit=name, ah=ah, share=min(1.0, ah / max(out_ah, 0.01))))
    lines.extend(_last_readings(question, e))
    lines.extend(_learned(e, out))
    if course.log and not e.surprises and not any(True for p in course.log for m in p.marks):
        lines.append(_line('because_no_reading'))
    elif not course.log:
        lines.append(_line('because_no_log'))
    if courses.place_at(question, course.asked_s) is None:
        lines.append(_line('because_no_place'))
    return lines


def cautions(question: dict, course: courses.Course, e, out: dict) -> list:
    """Codes of the cautions that this answer calls for."""
    codes = ['caution_estimate']
    if out['days_left']['p50'] <= 0.0:
        codes.append('caution_below_floor')
    cut = out['first_cutoff']
    if cut is not None:
        circuit = _circuit(question, cut['circuit_id'])
        if circuit is not None and circuit.get('when') == 'thermostat':
            codes.append('caution_fridge_stops')
    ahead = [d for d in course.days if d.ends_s > course.asked_s]
    if e.rig.chemistry == 'lifepo4' and any(d.mean_c < constants.LITHIUM_CHARGE_MIN_C for d in ahead):
        codes.append('caution_lithium_frost')
    for position in (question.get('selector') or {}).get('positions') or []:
        if position['feeds'] == 'both':
            codes.append('caution_selector_both')
            break
    return codes


def _line(code, **args):
    return {'code': code, 'args': args}


def _circuit(question, cid):
    for circuit in question['circuits']:
        if circuit['id'] == cid:
            return circuit
    return None


def _biggest(question, days):
    """(circuit name, Ah a day) of the circuit that takes most."""
    best = None
    # of two that take alike the first by id is named, whatever the order of rows
    for circuit in sorted(question['circuits'], key=lambda row: str(row['id'])):
        ah = sum(d['out_ah']['by_circuit'].get(circuit['id'], 0.0) for d in days) / max(1, len(days))
        if best is None or ah > best[1] * (1.0 + 1e-9):
            best = (circuit.get('name') or circuit['id'], ah)
    return best if best is not None and best[1] > 0.0 else None


def _last_readings(question, e):
    """The last reading, and the last one that fell outside what was expected."""
    lines = []
    if e.surprises:
        at, _, volts, state, z = e.surprises[-1]
        hours = (question['asked_at'] - at) / HOUR_S
        lines.append(_line('because_reading_' + state, volts=volts, hours_ago=hours, at=at))
    for at, _, volts, state, z in reversed(e.surprises):
        if abs(z) > SURPRISE_SDS and state != 'charging':
            lines.append(_line('because_surprise_low' if z < 0.0 else 'because_surprise_high', volts=volts, at=at))
            break
    return lines


def _learned(e, out):
    """What the log taught, where it is both known and away from the label."""
    lines = []
    learned = out['learned']
    for key, label, more, less in (
            ('draw_factor', 1.0, 'because_draws_more', 'because_draws_less'),
            ('harvest_factor', member.HARVEST_MEAN, 'because_harvest_more', 'because_harvest_less')):
        q = learned[key]
        if abs(q['p50'] / label - 1.0) > LEARNED_STEP and (q['p90'] - q['p10']) / q['p50'] < LEARNED_SPREAD:
            code = more if q['p50'] > label else less
            lines.append(_line(code, share=abs(q['p50'] / label - 1.0), low=q['p10'], high=q['p90'], n=e.heard))
    q = learned['capacity_ah']
    if (q['p90'] - q['p10']) / q['p50'] < 0.3 and q['p50'] < 0.9 * e.rig.label_ah:
        lines.append(_line('because_capacity', ah=q['p50'], label_ah=e.rig.label_ah, n=e.heard))
    q = learned['standby_a']
    if q['p10'] > 0.02 and q['p50'] > STANDBY_WORTH_A:
        lines.append(_line('because_standby', amps=q['p50'], ah=q['p50'] * 24.0, n=e.heard))
    return lines

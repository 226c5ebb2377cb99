"""gauge.py - what a member would read on the voltmeter, and how far such a reading can be trusted.

Knows: rest, load, charge; the wire that the gauge shares with loads; surface charge; label of the reading's state.
Leaves to others: what an honest difference does to the ensemble (estimate.py).
"""
import math

from daybank.energy import bank, loads, member, wiring
from daybank.energy import course as courses

HOUR_S = 3600.0
RESOLUTION_V = 0.05          # when the gauge's own is not stated: our assumption
BASE_SD_V = {'rested': 0.025, 'loaded': 0.03, 'charging': 0.22, 'unknown': 0.05}
# Share of readings whose stated state is plainly wrong, by state: our assumption, no source.
GROSS_SHARE = {'rested': 0.03, 'loaded': 0.04, 'charging': 0.08, 'unknown': 0.12}
GROSS_SPAN_V = 2.0           # a wrong reading lies anywhere in this span
CHARGING_ABOVE_V = {'agm': 13.0, 'gel': 13.0, 'flooded': 12.9, 'lifepo4': 13.45}
BEHIND_WIRE = 'panel'
CONTACTS_ASSUMED_A = 1.0     # a "loaded" reading with nothing known to be on: some load of about this, our assumption
ABSORPTION_SPREAD_V = 0.10
# After charging the posts stand above rest by an amount that nobody knows: its spread per 12 V at the end of
# charge, and how fast it goes. Our assumptions, no source.
AFTER_CHARGE_SD_V = {'agm': 0.12, 'gel': 0.12, 'flooded': 0.12, 'lifepo4': 0.03}
AFTER_CHARGE_H = 3.0
CHARGES_ABOVE_A = 0.5
MEASURED_SHARE, MEASURED_SD_A = 0.05, 0.2      # spread of amps read off a meter: our assumption, no source
WIRE_C = 30.0                # an enclosed run in a warm trailer: common practice, no source (40-50 C in summer sun)


class Expected:
    """Volts expected by each member, and the reading's own spread.

    Attributes
        volts: one value a member. [V]
        sd_v: spread of the reading about a member's value. [V]
        gross_share, gross_span_v: chance that the reading's label is wrong, and where it lies then.
        taken_as: 'rested', 'loaded', 'charging'.
    """
    __slots__ = ('volts', 'sd_v', 'gross_share', 'gross_span_v', 'taken_as')


def taken_as(reading: dict, chemistry: str, nominal_v: float) -> str:
    """The state a reading is treated as: the person's word, unless the volts contradict it."""
    scale = nominal_v / 12.0
    high = reading['volts'] > CHARGING_ABOVE_V[chemistry] * scale
    state = reading.get('state') or 'unknown'
    if state in ('rested', 'loaded'):
        return 'charging' if reading['volts'] > (CHARGING_ABOVE_V[chemistry] + 0.15) * scale else state
    if state == 'charging':
        return state
    return 'charging' if high else 'unknown'


def shared_circuits(question: dict, gauge: dict) -> list:
    """Circuits whose current runs through the gauge's own wire: as stated, else a panel gauge's whole fuse block."""
    if gauge is None or gauge.get('at') != BEHIND_WIRE:
        return []
    if gauge.get('shared_circuits') is not None:
        return gauge['shared_circuits']
    return [c['id'] for c in question['circuits'] if c.get('feed') == 'fuse_block']


def wire_ohm(gauge: dict) -> float:
    """Loop resistance of the gauge's wire as stated; 0 when not stated. [ohm]"""
    if gauge is None or gauge.get('wire_m') is None:
        return 0.0
    if gauge.get('wire_mm2') is None and gauge.get('wire_awg') is None:
        return 0.0
    return wiring.wire_loop_ohm(wire_m=gauge['wire_m'], wire_mm2=gauge.get('wire_mm2'), wire_awg=gauge.get('wire_awg'),
                                temp_c=WIRE_C)


def expected(ensemble, course, question: dict, reading: dict, k: int) -> Expected:
    """What each member would read.

    Parameters
        ensemble: estimate.Ensemble at the moment of the reading.
        course: course.Course; question: the question; reading: the record.
        k: hour of the grid that holds the reading.
    Returns
        Expected.
    """
    rig = ensemble.rig
    gauges = sorted(question.get('gauges') or [], key=lambda row: str(row['id']))     # rows come in any order
    gauge, which = None, 0
    for g in range(len(gauges)):
        if gauges[g]['id'] == reading.get('gauge_id'):
            gauge, which = gauges[g], min(g, 1)
    state = taken_as(reading, rig.chemistry, rig.nominal_v)
    out = Expected()
    out.taken_as = state
    loaded = state in ('loaded', 'unknown')
    amps, amps_sd, shared, shared_sd = _label_currents(course, question, reading, gauge, k, loaded)
    resolution = RESOLUTION_V if gauge is None or gauge.get('resolution_v') is None else gauge['resolution_v']
    temp_c = reading.get('bank_c')
    if temp_c is None:
        temp_c = course.bank_c[min(k, len(course.bank_c) - 1)]
    wire = wire_ohm(gauge)
    behind = gauge is not None and gauge.get('at') == BEHIND_WIRE
    rested_h = reading.get('rested_h')
    if rested_h is None:
        rested_h = 1.0 if state == 'rested' else 0.0
    relax = math.exp(-rig.kinetic_k * rested_h) if state == 'rested' else 1.0
    slow = 1.0 if state != 'rested' else math.exp(-0.5 * rested_h / member.SURFACE_DECAY_H)
    absorption = bank.absorption_v(rig.chemistry, temp_c=temp_c, nominal_v=rig.nominal_v)
    heat = bank.resistance_factor(temp_c, 1.0)
    volts, drop_sum, surface_sum, head_sum = [], 0.0, 0.0, 0.0
    day_sun = courses.sun_at(course, k)
    n = ensemble.n
    for i in range(n):
        t = ensemble.traits[i]
        soc, head, surface = ensemble.soc[i], ensemble.head[i], ensemble.surface[i]
        stands = soc + (1.0 - rig.kinetic_c) * head * relax / t.capacity_ah
        v = member.open_circuit_v(rig, t, min(1.0, max(0.0, stands)), temp_c) + t.surface_v * surface * slow
        ohm = t.resistance_ohm * heat
        if state == 'charging':
            net = max(0.5, day_sun * ensemble.sun[i] - ensemble.mean_load(i, course, k))
            v = min(absorption + ABSORPTION_SPREAD_V, v + net * ohm * 2.0 + 0.8 * surface * max(0.0, absorption - v))
            i_bank, i_wire = 0.0, 0.0
        else:
            i_bank = amps * t.draw + t.standby_a
            i_wire = shared * t.draw
            if reading.get('amps') is not None:
                i_bank = reading['amps']
            elif loaded and day_sun > 0.0:
                i_bank = max(0.0, i_bank - day_sun * ensemble.sun[i])
        drop = i_bank * ohm
        feed = i_wire * (wire + (t.connection_ohm if behind else 0.0))
        volts.append(v - drop - feed + t.gauge_v[which])
        drop_sum += abs(drop) + abs(feed)
        surface_sum += t.surface_v * surface * slow
        head_sum += abs(stands - soc)
    mean_ohm = ensemble.mean_resistance() * heat
    sd = BASE_SD_V[state] * rig.scale
    var = sd * sd + resolution * resolution / 12.0
    if state != 'charging':
        var += (0.2 * drop_sum / n) ** 2 + (amps_sd * mean_ohm) ** 2 + (shared_sd * (wire + 0.004 * behind)) ** 2
        fades = math.exp(-_hours_since_charge(course, k) / AFTER_CHARGE_H)
        var += (AFTER_CHARGE_SD_V[rig.chemistry] * rig.scale * fades) ** 2
        var += (0.3 * surface_sum / n) ** 2 + (0.2 * head_sum / n * 1.2 * rig.scale) ** 2
    out.volts, out.sd_v = volts, math.sqrt(var)
    out.gross_share, out.gross_span_v = GROSS_SHARE[state], GROSS_SPAN_V * rig.scale
    return out


def _hours_since_charge(course, k):
    """Hours since the sun or a charger could last have charged the bank, at most a day. [h]"""
    for back in range(24):
        h = k - back
        if h < 0:
            break
        if courses.sun_at(course, h) > CHARGES_ABOVE_A or course.charging[min(h, len(course.charging) - 1)]:
            return float(back)
    return 24.0


def _label_currents(course, question, reading, gauge, k, loaded):
    """Label amps in the bank and in the gauge's wire at the reading, each with its spread."""
    shares = shared_circuits(question, gauge)
    k = min(k, course.loads.hours - 1)
    amps = amps_var = shared = shared_var = 0.0
    on, off = reading.get('on'), reading.get('off') or []
    for circuit in question['circuits']:
        cid = circuit['id']
        run = course.loads.run_a[cid]
        mean = course.loads.circuits[cid][k]
        if circuit.get('when') == 'always':
            a, var = mean, 0.0
        elif on is not None and cid in on:
            a, var = run, (0.1 * run) ** 2
        elif cid in off or not loaded or on is not None:
            a, var = 0.0, 0.0
        else:
            p = min(1.0, mean / run) if run > 0.0 else 0.0
            a, var = mean, run * run * p * (1.0 - p)
        amps += a
        amps_var += var
        if cid in shares:
            shared += a
            shared_var += var
    for rig in question.get('inverters') or []:
        if rig.get('left_on'):
            amps += float(rig.get('idle_w', loads.INVERTER_IDLE_W)) / course.loads.volts
    assumed_a = CONTACTS_ASSUMED_A * 12.0 / (question['rig'].get('nominal_v') or 12)
    if loaded and on is None and amps < assumed_a:
        amps_var += assumed_a ** 2
    if reading.get('amps') is not None:
        amps_var = (MEASURED_SHARE * reading['amps']) ** 2 + MEASURED_SD_A ** 2
    return amps, math.sqrt(amps_var), shared, math.sqrt(shared_var)

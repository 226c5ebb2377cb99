"""member.py - one possible rig, and the step that carries it through the hours.

A member is one guess at everything the labels do not say. Theory of operation: each hidden difference is held as a
standard normal score `z` and turned into its physical value by `traits`, so that the estimate can add and subtract
scores freely and a value can never leave its physical range. `advance` is the only place where the bank's charge
moves: the log's replay, the forecast and every change go through it.

Knows: priors and the step. Leaves to others: what the hours bring (course.py), what readings say (estimate.py).
"""
import math

from daybank.energy import bank, draws

# The scores of a member, in this order. The last three are redrawn at each local midnight.
SCORES = ('capacity', 'draw', 'fridge', 'habit', 'standby', 'harvest', 'curve', 'slope', 'resistance', 'acceptance',
          'surface', 'connection', 'tow_lead', 'season', 'gauge', 'gauge_2', 'sky', 'log_day', 'habit_day')
CAPACITY, DRAW, FRIDGE, HABIT, STANDBY, HARVEST, CURVE, SLOPE, RESISTANCE, ACCEPTANCE = range(10)
SURFACE, CONNECTION, TOW_LEAD, SEASON, GAUGE, GAUGE_2, SKY, LOG_DAY, HABIT_DAY = range(10, 19)
DAILY = (SKY, LOG_DAY, HABIT_DAY)
OF_THE_BANK = (CAPACITY, CURVE, SLOPE, RESISTANCE, ACCEPTANCE, SURFACE)

# Priors. Means and spreads are our assumptions, wide on purpose (no source), unless a source is named.
CAPACITY_OF_LABEL = {'agm': (0.86, 0.12), 'gel': (0.87, 0.12), 'flooded': (0.86, 0.12), 'lifepo4': (0.94, 0.05)}
CAPACITY_RANGE = (0.35, 1.15)
DRAW_COMMON_LOG_SD = 0.10   # all labels of a rig off together
DRAW_EACH_LOG_SD = 0.25     # each label on its own
FRIDGE_LOG_SD = 0.34        # label current and duty together
STANDBY_NONE_SHARE = 0.5     # half the rigs have no standing draw worth naming
STANDBY_MAX_A = 0.42
HARVEST_MEAN, HARVEST_SD, HARVEST_RANGE = 0.76, 0.18, (0.25, 1.30)
SHADE_SD = 0.15              # error of a shade that a person states
# Published charts for one chemistry lie up to 0.25 V apart, and ours are at their upper side: mean and spread per 12 V.
CURVE_MEAN_V = {'agm': -0.07, 'gel': -0.07, 'flooded': -0.02, 'lifepo4': -0.08}
CURVE_SD_V = {'agm': 0.11, 'gel': 0.11, 'flooded': 0.11, 'lifepo4': 0.10}
SLOPE_SD = 0.08
RESISTANCE_LOG_SD = 0.40
ACCEPTANCE_PER_H, ACCEPTANCE_LOG_SD = 0.70, 0.30      # charge accepted per hour, per unit of charge missing
SURFACE_V, SURFACE_LOG_SD = {'agm': 0.25, 'gel': 0.25, 'flooded': 0.30, 'lifepo4': 0.04}, 0.40
SURFACE_DECAY_H = 2.5
CONNECTION_MOHM, CONNECTION_LOG_SD = 5.0, 0.8
TOW_LEAD_SHARE, TOW_LEAD_LOG_SD = 0.55, 0.35          # of the alternator lead's rating that arrives
SHORE_SHARE = 0.93
GAUGE_SD_V = 0.065
LOG_DAY_LOG_SD = 0.12
HABIT_DAY_LOG_SD = 0.28
HABIT_DAY_AS_USUAL_LOG_SD = 0.14


class Rig:
    """What all members of one rig share: label values that the step and the priors need.

    Attributes
        chemistry, nominal_v, label_ah: the bank in service. [V, Ah]
        scale: nominal_v / 12.
        kinetic_c, kinetic_k: the two wells' constants. [-, 1/h]
        curve: ((soc, volts), ...) at 25 C for 12 V.
        draw_log_sd, habit_log_sd: spread of the circuits' factors, by how many circuits share the use.
        harvest_log_sd_extra: spread that a stated shade adds.
        lives: where the bank stands: inside, outside, heated or None (taken as outside).
        resistance_ohm: at 25 C, half charged. [ohm]
        self_discharge_per_h: share of charge lost per hour.
        volts: see loads.reference_volts. [V]
    """
    __slots__ = ('chemistry', 'nominal_v', 'label_ah', 'scale', 'kinetic_c', 'kinetic_k', 'curve', 'draw_log_sd',
                 'habit_log_sd', 'shade', 'lives', 'resistance_ohm', 'self_discharge_per_h', 'volts', 'efficiency')


class Traits:
    """A member's physical values, made from its scores. Units in the names; factors multiply the label."""
    __slots__ = ('capacity_ah', 'draw', 'fridge', 'habit', 'standby_a', 'harvest', 'curve_v', 'slope',
                 'resistance_ohm', 'acceptance_per_h', 'surface_v', 'connection_ohm', 'tow_lead', 'gauge_v')


def standby_a(z: float) -> float:
    """Standing draw that no circuit names, from its score: none for the lower half, then evenly up to 0.42 A. [A]"""
    p = draws.normal_cdf(z)
    if p <= STANDBY_NONE_SHARE:
        return 0.0
    return STANDBY_MAX_A * (p - STANDBY_NONE_SHARE) / (1.0 - STANDBY_NONE_SHARE)


def traits(rig: Rig, z: list) -> Traits:
    """Physical values of a member.

    Parameters
        rig: what the members share.
        z: scores in the order of SCORES.
    Returns
        Traits.
    """
    t = Traits()
    mean, sd = CAPACITY_OF_LABEL[rig.chemistry]
    low, high = CAPACITY_RANGE
    t.capacity_ah = rig.label_ah * min(high, max(low, mean + sd * z[CAPACITY]))
    t.draw = math.exp(rig.draw_log_sd * z[DRAW])
    t.fridge = math.exp(FRIDGE_LOG_SD * z[FRIDGE])
    t.habit = math.exp(rig.habit_log_sd * z[HABIT])
    t.standby_a = standby_a(z[STANDBY]) / rig.scale
    low, high = HARVEST_RANGE
    sd = math.sqrt(HARVEST_SD ** 2 + (HARVEST_MEAN * SHADE_SD / max(0.25, 1.0 - rig.shade)) ** 2
                   if rig.shade > 0.0 else HARVEST_SD ** 2)
    t.harvest = min(high + sd, max(low * 0.5, HARVEST_MEAN + sd * z[HARVEST]))
    t.curve_v = rig.scale * (CURVE_MEAN_V[rig.chemistry] + CURVE_SD_V[rig.chemistry] * z[CURVE])
    t.slope = max(0.5, 1.0 + SLOPE_SD * z[SLOPE])
    t.resistance_ohm = rig.resistance_ohm * math.exp(RESISTANCE_LOG_SD * z[RESISTANCE])
    t.acceptance_per_h = ACCEPTANCE_PER_H * math.exp(ACCEPTANCE_LOG_SD * z[ACCEPTANCE])
    t.surface_v = rig.scale * SURFACE_V[rig.chemistry] * math.exp(SURFACE_LOG_SD * z[SURFACE])
    t.connection_ohm = 0.001 * CONNECTION_MOHM * math.exp(CONNECTION_LOG_SD * z[CONNECTION])
    t.tow_lead = min(1.0, TOW_LEAD_SHARE * math.exp(TOW_LEAD_LOG_SD * z[TOW_LEAD]))
    t.gauge_v = (rig.scale * GAUGE_SD_V * z[GAUGE], rig.scale * GAUGE_SD_V * z[GAUGE_2])
    return t


def open_circuit_v(rig: Rig, t: Traits, soc: float, temp_c: float) -> float:
    """A member's rested voltage: the chemistry's curve, stretched about 80 % and shifted by its traits. [V]"""
    v = bank.open_circuit_v(soc, rig.chemistry, temp_c=temp_c, nominal_v=rig.nominal_v)
    if t.slope != 1.0:
        v += (t.slope - 1.0) * (v - bank.open_circuit_v(0.8, rig.chemistry, temp_c=temp_c, nominal_v=rig.nominal_v))
    return v + t.curve_v


def advance(state: tuple, capacity_ah: float, factors: tuple, wells: tuple, rows: list, floor_ah: float,
            cutoffs: list = None) -> tuple:
    """Carry one member through rows of hours.

    Parameters
        state: (charge_ah, head_ah, surface_share): stored charge; head difference of the two wells, scaled so that
            the available well's head is charge + (1 - c) head; share of the surface charge that stands, 0..1.
        capacity_ah: charge when full. [Ah]
        factors: (thermostat, standing, logged, habit, standby_a, harvest, tow_lead, shore, acceptance_per_h,
            volts_full, volts_empty, volts_label, self_discharge_per_h): how this member departs from the labels
            today; the volts turn constant power into amps.
        wells: (c, k_per_h, efficiency) with efficiency ((below_soc, share), ...) rising.
        rows: (dt_h, sun_a, thermostat_a, standing_a, logged_a, habit_a, power_share, tow_a, shore_a, live_cutoffs).
        floor_ah: charge at which the clock stops; below 0 never. [Ah]
        cutoffs: for each cut-off [head_ah at no load, head_ah per amp, elapsed_h of first fall or None], updated.
    Returns
        (state, elapsed_h to the floor or -1.0, given_ah, load_ah, sun_ah): what all sources delivered to bank and
        loads together, what the loads took, and the panel's part of what was delivered.
    Notes
        Loads are served first by what charges. Acceptance: the missing charge closes at `acceptance_per_h`, whatever
        the source. The wells are the kinetic model of Manwell & McGowan, Solar Energy 50 (1993), in the form of a
        total and a head difference, exact for constant current over a row.
    """
    charge, head, surface = state
    (f_fridge, f_standing, f_logged, f_habit, standby, harvest, tow, shore, accept, v_full, v_empty, v_label,
     leak) = factors
    c, k, efficiency = wells
    e1, share1, e2, share2, share3 = efficiency
    v_span = v_full - v_empty
    inv_capacity = 1.0 / capacity_ah
    draining = 40.0 * inv_capacity
    crossed = 0.0 if charge < floor_ah else -1.0
    t = net_ah = load_ah = sun_ah = 0.0
    dt_was = -1.0
    decay = spread = settle = close = leak_dt = build = 0.0
    for dt, sun, fridge, standing, logged, habit, power, tow_a, shore_a, live in rows:
        if dt != dt_was:
            dt_was = dt
            decay = math.exp(-k * dt)
            spread = (1.0 - decay) / (k * c * dt)
            settle = math.exp(-dt / SURFACE_DECAY_H)
            build = 1.0 - settle * settle * settle
            leak_dt = leak * dt
            close = 1.0 - math.exp(-accept * dt)
        soc = charge * inv_capacity
        # most of these are nought in most rows, and a product costs the phone more than a look
        load = fridge * f_fridge
        if standing:
            load += standing * f_standing
        if logged:
            load += logged * f_logged
        if habit:
            load += habit * f_habit
        if power:
            load *= 1.0 + power * (v_label / (v_empty + v_span * soc) - 1.0)
        load += standby
        source = from_sun = sun * harvest if sun else 0.0
        if tow_a:
            source += tow_a * tow
        if shore_a:
            source += shore_a * shore
        net = (source - load) * dt
        if net > 0.0:
            room = (capacity_ah - charge) * close
            limited = net > room
            if limited:
                net = room
                if sun:
                    taken = load + net / dt
                    sun_ah += (from_sun if from_sun < taken else taken) * dt
            elif sun:
                sun_ah += from_sun * dt
            net_ah += net
            # surface charge builds with the charging current; a bank that takes less than is offered stands at the
            # controller's volts, whatever the current
            target = 1.0 if limited else (0.35 + 0.65 * soc) * min(1.0, net * inv_capacity / dt * 20.0)
            if target > surface:
                surface += (target - surface) * build
            else:
                surface *= settle
            # a row that fills a band stores the rest at the next band's share: a fuller bank never ends up emptier
            stored = 0.0
            if soc < e1:
                stored = min(net * share1, e1 * capacity_ah - charge)
                net -= stored / share1
            if soc < e2 and net > 0.0:
                part = min(net * share2, e2 * capacity_ah - charge - stored)
                stored += part
                net -= part / share2
            net = stored + net * share3
        else:
            if sun:
                sun_ah += from_sun * dt
            net_ah += net
            surface *= settle / (1.0 - draining * net)
        before = charge
        charge += net - charge * leak_dt
        head = head * decay + net * spread
        if charge < floor_ah and crossed < 0.0:
            crossed = t + dt * (before - floor_ah) / (before - charge)
        if charge < 0.0:
            charge = 0.0
        if live and cutoffs:
            stands = charge + (1.0 - c) * head
            for j in live:
                cut = cutoffs[j]
                if cut[2] is None and stands < cut[0] + cut[1] * load:
                    cut[2] = t + dt
        load_ah += load * dt
        t += dt
    return (charge, head, surface), crossed, load_ah + net_ah, load_ah, sun_ah

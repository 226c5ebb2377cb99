"""sheet.py - what a rig's own wiring says: drop, fuse against wire, cut-off as the bank sees it, short-circuit current.

Knows: which of the wiring sums belongs to which circuit of a rig. Leaves to others: the sums (wiring.py, fuses.py,
bank.py), the drawing and the words (the phone). Defer to local codes and licensed practice: codes for trailers differ
by country, and the caution stands beside every figure that is shown.
"""
import json

from daybank.energy import bank, capacity, constants, feeds, fuses, loads, wire_tables, wiring

WARM_C = 40.0                  # an enclosed run in a summer trailer: common practice, no source (40-50 C)
DROP_CLOSE_SHARE = 0.03        # feeders, electronics and safety loads: ABYC E-11, ISO 13297, second-hand
DROP_FAR_SHARE = 0.10          # general lighting: the same
BLADE_LEAD_MOHM = 2.0          # battery post to fuse block and back: our assumption, no source


def nearest_awg(area_mm2: float) -> str:
    """The thickest AWG size of the table that is no thicker than this copper; the thinnest one below it. [mm2]"""
    best = wire_tables.AWG_SIZES[0]
    for size in wire_tables.AWG_SIZES:
        if wiring.awg_area_mm2(size) <= area_mm2 * 1.02:
            best = size
    return best


def circuit_line(circuit: dict, *, volts: float, nominal_v: float, chemistry: str, rated_ah: float,
                 inverter: dict = None) -> dict:
    """One circuit's figures.

    Parameters
        circuit: a row of `circuits`. volts: the bank's usual voltage. [V] nominal_v: 12 or 24. [V]
        chemistry, rated_ah: of the bank in service. [Ah]
        inverter: the rig's inverter, or None.
    Returns
        {"id", "run_a", "drop_v", "drop_percent", "drop": 'close'|'far'|'much'|None, "wire_carries_a": {"us", "eu"},
        "fuse_protects": {"us", "eu"}: True, False or None (not known), "fuse_a", "fuse_that_fits_a",
        "bank_v_at_cutoff", "soc_at_cutoff", "live_when_selector_off"}; None where the rig does not say enough.
    Raises
        ValueError: no draw, a wire that no table holds.
    """
    run_a, _ = loads.running_amps(circuit, volts=volts, inverter=inverter)
    out = {'id': circuit['id'], 'run_a': run_a, 'drop_v': None, 'drop_percent': None, 'drop': None,
           'wire_carries_a': {'us': None, 'eu': None}, 'fuse_protects': {'us': None, 'eu': None},
           'fuse_a': circuit.get('fuse_a'), 'fuse_that_fits_a': None, 'bank_v_at_cutoff': None, 'soc_at_cutoff': None,
           'live_when_selector_off': feeds.is_live(circuit.get('feed') or 'bank', 'nothing')}
    area_mm2, awg = circuit.get('wire_mm2'), circuit.get('wire_awg')
    loop_ohm = 0.0
    if area_mm2 is not None or awg is not None:
        if circuit.get('wire_m') is not None:
            per_m = wiring.wire_mohm_per_m(wire_mm2=area_mm2, wire_awg=awg, temp_c=WARM_C)
            drop = wiring.voltage_drop(current_a=run_a, mohm_per_m=per_m, wire_m=circuit['wire_m'], nominal_v=nominal_v)
            loop_ohm = drop.loop_ohm
            share = drop.drop_v / nominal_v
            out['drop_v'], out['drop_percent'] = drop.drop_v, drop.drop_percent
            out['drop'] = 'close' if share <= DROP_CLOSE_SHARE else ('far' if share <= DROP_FAR_SHARE else 'much')
        _judge_wire(out, area_mm2, awg, run_a)
    if circuit.get('cutoff_v') is not None:
        out['bank_v_at_cutoff'] = wiring.battery_v_at_cutout(cutoff_v=circuit['cutoff_v'], current_a=run_a,
                                                             loop_ohm=loop_ohm)
        out['soc_at_cutoff'] = bank.soc_at_cutoff(cutoff_v=circuit['cutoff_v'], current_a=run_a, loop_ohm=loop_ohm,
                                                  chemistry=chemistry, rated_ah=rated_ah, nominal_v=nominal_v)
    return out


def _judge_wire(out, area_mm2, awg, run_a):
    """What the wire may carry by both tables, whether its fuse guards it, and the fuse that would."""
    area = area_mm2 if area_mm2 is not None else wiring.awg_area_mm2(awg)
    size = str(awg) if awg is not None else nearest_awg(area)
    carries_us = fuses.ampacity_a(awg=size, insulation_c=fuses.UNKNOWN_INSULATION_C)
    carries_eu = None
    if area >= wire_tables.METRIC_AMPACITY_A[(70, 'C')][0][0]:
        carries_eu = fuses.ampacity_metric_a(area_mm2=area)
    out['wire_carries_a'] = {'us': carries_us, 'eu': carries_eu}
    lower = carries_us if carries_eu is None else min(carries_us, carries_eu)
    choice = fuses.fuse_for_circuit(continuous_a=run_a, conductor_ampacity_a=lower)
    out['fuse_that_fits_a'] = choice.fuse_a
    if out['fuse_a'] is not None:
        out['fuse_protects'] = {'us': out['fuse_a'] <= carries_us,
                                'eu': None if carries_eu is None else out['fuse_a'] <= carries_eu}


def rig_sheet(export: dict, day: str = None) -> dict:
    """Every figure of a rig's sheet.

    Parameters
        export: `daybank-export/1` (times do not matter). day: local date; the bank whose dates hold it, else the last.
    Returns
        {"bank": {"short_circuit_a", "blade_fuse_breaks_it", "usable_ah"}, "circuits": [circuit_line]}.
    """
    nominal_v = float(export['rig'].get('nominal_v') or 12)
    row = export['banks'][-1]
    for candidate in export['banks']:
        if day is not None and (candidate.get('installed_on') or '') <= day < (candidate.get('removed_on') or '9999'):
            row = candidate
    chemistry = row['chemistry']
    rated_ah = capacity.label_at_20h_ah(rated_ah=float(row['rated_ah']), rated_h=float(row.get('rated_h') or 20),
                                        chemistry=chemistry) * (row.get('in_parallel') or 1)
    volts = loads.reference_volts(chemistry, nominal_v)
    inverters = export.get('inverters') or []
    ohmic, _, _ = bank.resistance_parts(chemistry, rated_ah, nominal_v=nominal_v)
    short = fuses.short_circuit(open_v=bank.open_circuit_v(1.0, chemistry, nominal_v=nominal_v),
                                battery_mohm=1000.0 * ohmic, lead_mohm=BLADE_LEAD_MOHM)
    floor = 0.5 if row.get('floor_soc') is None else row['floor_soc']
    return {
        'bank': {'short_circuit_a': short.current_a, 'blade_fuse_breaks_it': short.interrupt_ok,
                 'usable_ah': rated_ah * (1.0 - floor), 'rated_ah': rated_ah,
                 'absorption_v': bank.absorption_v(chemistry, constants.REFERENCE_C, nominal_v)},
        'circuits': [circuit_line(c, volts=volts, nominal_v=nominal_v, chemistry=chemistry, rated_ah=rated_ah,
                                  inverter=inverters[0] if inverters else None) for c in export['circuits']],
    }


def rig_sheet_json(text: str) -> str:
    """`rig_sheet` for callers that pass text: {"export", "day"} in, {"sheet"} or {"error"} out."""
    try:
        asked = json.loads(text)
        return json.dumps({'sheet': rig_sheet(asked['export'], asked.get('day'))})
    except ValueError as error:
        return json.dumps({'error': str(error)})

"""Recomputes with PyBaMM the values that stand in ../cases/battery.json, and says how far each is from the record.

    python record.py            compares, exit status 1 where a value leaves the tolerance of its case
    python record.py --print    prints what it found as JSON, in the form of the cases' `expected`

Everything is PyBaMM's own: lead-acid models of Sulzer et al., Journal of The Electrochemical Society 166 (2019) A2363,
parameter set Sulzer2019 (a 17 Ah cell), default mesh and solver. Nothing of Daybank is imported.
"""
import json
import math
import os
import sys
from pathlib import Path

os.environ["PYBAMM_DISABLE_TELEMETRY"] = "true"  # before the import: nothing leaves this machine
import numpy as np  # noqa: E402
import pybamm  # noqa: E402

CASES = Path(__file__).resolve().parent.parent / "cases" / "battery.json"
NOMINAL_AH = 17.0
C20_A = NOMINAL_AH / 20.0
MODELS = {"full": pybamm.lead_acid.Full, "loqs": pybamm.lead_acid.LOQS}
_curves = {}


def discharge(current_a, model="full", cutoff_v=1.75):
    """Amp-hours drawn and volts of a cell at constant current, from full to the cut-off."""
    key = (current_a, model, cutoff_v)
    if key not in _curves:
        values = pybamm.ParameterValues("Sulzer2019")
        values.update({"Current function [A]": current_a, "Lower voltage cut-off [V]": cutoff_v})
        simulation = pybamm.Simulation(MODELS[model](), parameter_values=values)
        solution = simulation.solve(np.linspace(0.0, 1.6 * NOMINAL_AH / current_a * 3600.0, 801))
        _curves[key] = current_a * solution.t / 3600.0, solution["Voltage [V]"].entries
    return _curves[key]


def capacity_ah(current_a, model="full", cutoff_v=1.75):
    return float(discharge(current_a, model, cutoff_v)[0][-1])


def volts_after(steps, times_h):
    """Volts of a cell at the given hours of a course of steps, written in PyBaMM's own words."""
    simulation = pybamm.Simulation(MODELS["full"](), parameter_values=pybamm.ParameterValues("Sulzer2019"),
                                   experiment=pybamm.Experiment([tuple(steps)]))
    solution = simulation.solve()
    return [float(v) for v in np.interp(times_h, solution.t / 3600.0, solution["Voltage [V]"].entries)]


def capacity_ratio(case):
    model = "loqs" if "-loqs-" in case["id"] else "full"
    inputs = case["inputs"]
    return {"capacity_ratio": capacity_ah(inputs["current_A"], model)
            / capacity_ah(inputs["reference_current_A"], model)}


def apparent_exponent(case):
    rates = {"C/100": 0.17, "C/20": 0.85, "C/5": 3.4, "1C": 17.0, "2C": 34.0}
    pairs = [[rates[name] for name in pair.split("->")] for pair in case["inputs"]["pairs"]]
    return {"exponents": [1.0 + math.log(capacity_ah(a) / capacity_ah(b)) / math.log(b / a) for a, b in pairs]}


def cutoff_cost(case):
    inputs = case["inputs"]
    usual_v, early_v = inputs["cutoffs_V_per_cell"]
    kept = [capacity_ah(current, cutoff_v=early_v) / capacity_ah(current, cutoff_v=usual_v)
            for current in inputs.get("currents_A", [inputs.get("current_A")])]
    return {"fraction_kept": kept if "currents_A" in inputs else kept[0]}


def recovered(case):
    """The second leg ends by time, not at the cut-off, where the solver is unreliable after a rest."""
    inputs = case["inputs"]
    first_h = inputs["first_leg_Ah"] / inputs["I_A"]
    second_h = inputs["second_leg_Ah"] / inputs["second_I_A"]
    rest_h = inputs["rest_h"]
    steps = [f"Discharge at {inputs['I_A']} A for {first_h} hours", f"Rest for {rest_h} hours",
             f"Discharge at {inputs['second_I_A']} A for {second_h} hours"]
    ends = volts_after(steps, [first_h - 1e-6, first_h + rest_h - 1e-6, first_h + rest_h + second_h])
    return {"v_end_first_V": ends[0], "v_rested_V": ends[1], "v_end_second_V": ends[2],
            "total_over_C20": (inputs["first_leg_Ah"] + inputs["second_leg_Ah"]) / capacity_ah(C20_A)}


def relaxation(case):
    inputs = case["inputs"]
    hours = inputs["fraction_of_C20"] * capacity_ah(C20_A) / inputs["I_A"]
    steps = [f"Discharge at {inputs['I_A']} A for {hours} hours", "Rest for 24 hours (1 minute period)"]
    return {"V_per_cell": volts_after(steps, [hours - 1e-6] + [hours + m / 60.0 for m in (1, 10, 60, 1440)])}


def relaxed_path_independent(case):
    inputs = case["inputs"]
    rested_v = []
    for current in inputs["rates_A"]:
        hours = inputs["fraction_of_C20"] * capacity_ah(C20_A) / current
        steps = [f"Discharge at {current} A for {hours} hours", "Rest for 24 hours (1 minute period)"]
        rested_v += volts_after(steps, [hours + inputs["rest_h"]])
    return {"V_per_cell": rested_v}


def near_equilibrium_v(removed_fractions):
    ah, volts = discharge(0.17)
    return np.interp([f * capacity_ah(C20_A) for f in removed_fractions], ah, volts)


def ocv_shape(case):
    volts = near_equilibrium_v(case["inputs"]["removed_fraction"])
    return {"normalised_drop": [float(v) for v in (volts[0] - volts) / (volts[0] - volts[-1])]}


def ocv_slope(case):
    first, last = case["inputs"]["removed_fraction"]
    volts = near_equilibrium_v([first, last])
    return {"slope_mV_per_percent": float(6.0 * 1000.0 * (volts[0] - volts[1]) / (100.0 * (last - first)))}


def ocv_from_acid(case):
    """Bode's equilibrium potentials over molality, as PyBaMM evaluates them."""
    values = pybamm.ParameterValues("Sulzer2019")
    parameters = pybamm.LeadAcidParameters()
    acid = pybamm.Scalar(case["inputs"]["acid_concentration_mol_per_m3"])
    at = pybamm.Scalar(values["Reference temperature [K]"])
    cell_v = values.evaluate(parameters.p.prim.U(acid, at)) - values.evaluate(parameters.n.prim.U(acid, at))
    return {"V_per_cell": float(cell_v), "V_6_cells": 6.0 * float(cell_v)}


RECIPES = {
    "pybamm_capacity_ratio": capacity_ratio, "pybamm_apparent_exponent": apparent_exponent,
    "pybamm_cutoff_cost": cutoff_cost, "pybamm_recovered": recovered, "pybamm_relaxation": relaxation,
    "pybamm_relaxed_path_independent": relaxed_path_independent, "pybamm_ocv_shape": ocv_shape,
    "pybamm_ocv_slope": ocv_slope, "ocv_from_acid": ocv_from_acid,
}


def distances(case, found):
    """(key, recorded, found, distance) of every number of a case."""
    for key, recorded in case["expected"].items():
        both = zip(recorded, found[key]) if isinstance(recorded, list) else [(recorded, found[key])]
        for want, have in both:
            yield key, want, have, abs(want - have)


def main():
    cases = [case for case in json.loads(CASES.read_text()) if case["kind"] in RECIPES]
    if not cases:
        raise SystemExit(f"{CASES.name} holds none of PyBaMM's kinds; look for the cases where they have gone")
    faults = 0
    for case in cases:
        found = RECIPES[case["kind"]](case)
        if "--print" in sys.argv[1:]:
            print(json.dumps({"id": case["id"], "expected": found}))
            continue
        for key, want, have, distance in distances(case, found):
            within = distance <= case["tolerance"]["abs"]
            faults += not within
            print(f"{'ok  ' if within else 'OFF '} {case['id']:32} {key:22} recorded {want:<9g} found {have:<12.7g}"
                  f" tolerance {case['tolerance']['abs']:g}", flush=True)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())

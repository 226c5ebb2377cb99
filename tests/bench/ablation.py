"""What costs the forecast most: gives the ensemble the true value of one hidden thing at a time and scores the trial.

    python tests/bench/ablation.py [--members N] [--only PREFIX]

Prints CRPS, band and charge error by family for: nothing told; each of capacity, standing draw, harvest, draws and
habits, gauge, charge at the question; and all together. A study, not a test: it needs the trial's hidden truth.
"""
import argparse
import json
import statistics
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from daybank import trial
from daybank.energy import forecast, loads, member

CASES = Path(__file__).resolve().parents[1] / "trial" / "cases"
TOLD = ("nothing", "capacity", "standby", "harvest", "draws", "gauge", "charge",
        "capacity+standby+harvest+draws+gauge+charge")
# Our panel chain takes 6.8 % of typical losses off, the trial's simulators 3 %: their factor 1 is our 1.05.
HARVEST_SCALE = 1.05
PLAIN_TRAITS, PLAIN_RUN = member.traits, forecast.run_ahead


def hidden_of(export: dict) -> dict:
    """The hidden truth of a story in the ensemble's own terms."""
    truth, hidden = export["truth"], export["truth"]["hidden"]
    stated = export["trips"][0].get("shade") or 0.0
    harvest = hidden.get("harvest_factor")
    if harvest is not None:
        # one family's factor leaves the shade out, the other's has it inside
        harvest *= (1.0 - hidden["shade"] if "shade" in hidden else 1.0) / (1.0 - stated) * HARVEST_SCALE
    fridge, draw_ah, label_ah, habit_ah, drawn_ah = 1.0, 0.0, 0.0, 0.0, 0.0
    for circuit in export["circuits"]:
        factor = hidden["draw_factors"].get(circuit["id"], 1.0)
        if circuit["when"] == "thermostat":
            fridge = factor
            if hidden.get("fridge_duty_at_25c"):
                fridge *= hidden["fridge_duty_at_25c"] / loads.likely_duty(circuit.get("duty_at_25c"))
            continue
        amps, _ = loads.running_amps(circuit, volts=12.5)
        ah = amps * loads.typical_hours(circuit)
        draw_ah, label_ah = draw_ah + ah * factor, label_ah + ah
        if circuit["when"] != "always":
            habit = hidden["habit"] if "habit" in hidden else hidden["hours_factors"].get(circuit["id"], 1.0)
            habit_ah, drawn_ah = habit_ah + ah * factor * habit, drawn_ah + ah * factor
    return {
        "capacity": hidden["capacity_ah"], "standby": hidden["standby_a"], "harvest": harvest, "fridge": fridge,
        "draw": draw_ah / label_ah if label_ah else 1.0, "habit": habit_ah / drawn_ah if drawn_ah else 1.0,
        "gauge": hidden.get("gauge_offset_v", hidden.get("meter_offset_v")), "charge": truth["soc_at_question"],
    }


def told_answer(export: dict, told: set):
    """forecast.answer with the named truths put into every member."""
    hidden = hidden_of(export)

    def traits(rig, z):
        t = PLAIN_TRAITS(rig, z)
        if "capacity" in told:
            t.capacity_ah = hidden["capacity"]
        if "standby" in told:
            t.standby_a = hidden["standby"]
        if "harvest" in told and hidden["harvest"] is not None:
            t.harvest = hidden["harvest"]
        if "draws" in told:
            t.fridge, t.draw = hidden["fridge"], hidden["draw"]
            # what the log taught of habits is inside the loads already; the rest is what the factor still adds
            t.habit = 1.0
        if "gauge" in told:
            t.gauge_v = (hidden["gauge"], hidden["gauge"])
        return t

    def run(ensemble, course, floor):
        if "charge" in told:
            ensemble.soc = [hidden["charge"]] * ensemble.n
        return PLAIN_RUN(ensemble, course, floor)

    def answer(question, *, members, seed):
        plain_habit = loads.learned_habit

        def habit(q):
            out = plain_habit(q)
            for cid in out.factor:
                out.factor[cid] = hidden["habit"]
            return out
        member.traits, forecast.run_ahead = traits, run
        if "draws" in told:
            loads.learned_habit = habit
        try:
            return forecast.answer(question, members=members, seed=seed)
        finally:
            member.traits, forecast.run_ahead, loads.learned_habit = PLAIN_TRAITS, PLAIN_RUN, plain_habit
    return answer


def score(job: tuple) -> dict:
    """One story with some truths told."""
    path, told, members = job
    export = json.loads(Path(path).read_text(encoding="utf-8"))
    return trial.run_story(path, members=members, answer=told_answer(export, told))


def main() -> None:
    """Scores every row of TOLD over the trial and prints the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--members", type=int, default=400)
    parser.add_argument("--only", default="", help="only stories whose name begins with this")
    args = parser.parse_args()
    paths = sorted(str(p) for p in CASES.glob(f"{args.only}*.json"))
    print(f"{'told':46} family  CRPS d  band  charge points")
    with ProcessPoolExecutor(2) as pool:
        for row in TOLD:
            results = list(pool.map(score, [(p, set(row.split("+")), args.members) for p in paths], chunksize=4))
            for family in sorted({r["groups"]["family"] for r in results}):
                mine = [r["score"] for r in results if r["groups"]["family"] == family]
                print(f"{row:46} {family:6} {statistics.mean(s['crps'] for s in mine):7.2f} "
                      f"{statistics.mean(s['inside'] for s in mine):5.2f} "
                      f"{100 * statistics.mean(abs(s['soc_error']) for s in mine):7.1f}", flush=True)


if __name__ == "__main__":
    main()

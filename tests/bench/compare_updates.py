"""Which update the ensemble uses: the square-root Kalman update beside a particle filter, scored over the trial.

    python tests/bench/compare_updates.py [--members N ...] [--seeds N ...]

The particle filter weighs each member by the likelihood of the reading (with the same share of gross errors), resamples
systematically and shrinks its scores toward their mean with fresh noise of the same variance (Liu & West, in Sequential
Monte Carlo Methods in Practice, 2001, from memory). Everything else is the product's own code.
"""
import argparse
import math
import random
import statistics
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from daybank import trial
from daybank.energy import estimate, forecast

CASES = Path(__file__).resolve().parents[1] / "trial" / "cases"
SHRINK = 0.15        # standard deviation of the fresh noise, in standard deviations of the column
KALMAN = estimate.update


def particles(e, predicted, seen, sd, *, gross_share, gross_span):
    """estimate.update as a particle filter."""
    n = e.n
    flat = gross_share / gross_span
    weights = [(1 - gross_share) * math.exp(-0.5 * min(80.0, ((seen - p) / sd) ** 2)) / (sd * 2.5066) + flat
               for p in predicted]
    step = sum(weights) / n
    chosen, at, total, j = [], 0.5 * step, weights[0], 0
    for _ in range(n):
        while total < at and j < n - 1:
            j += 1
            total += weights[j]
        chosen.append(j)
        at += step
    noise = random.Random(len(e.surprises))
    keep = math.sqrt(1 - SHRINK ** 2)
    columns = []
    for column in e.z:
        taken = [column[j] for j in chosen]
        mean = sum(taken) / n
        spread = math.sqrt(sum((x - mean) ** 2 for x in taken) / n)
        columns.append([mean + keep * (x - mean) + SHRINK * spread * noise.gauss(0, 1) for x in taken])
    e.z = columns
    e.soc = [min(1.0, max(0.0, e.soc[j] + 0.005 * noise.gauss(0, 1))) for j in chosen]
    e.head, e.surface = [e.head[j] for j in chosen], [e.surface[j] for j in chosen]
    e.day_sun_ah = [e.day_sun_ah[j] for j in chosen]
    estimate.refresh(e)
    mean = sum(predicted) / n
    return (seen - mean) / math.sqrt(sum((p - mean) ** 2 for p in predicted) / n + sd * sd)


UPDATES = {"kalman": KALMAN, "particles": particles}


def score(job: tuple) -> dict:
    """One story under one update."""
    path, name, members, seed = job
    estimate.update = UPDATES[name]
    try:
        return trial.run_story(path, members=members, seed=seed, answer=forecast.answer)
    finally:
        estimate.update = KALMAN


def main() -> None:
    """Scores both updates for each size and seed and prints the table, with a paired bootstrap."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--members", type=int, nargs="+", default=[100, 400])
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2])
    args = parser.parse_args()
    paths = sorted(str(p) for p in CASES.glob("*.json"))
    print("update     members seed family  CRPS d  band  charge points")
    with ProcessPoolExecutor(2) as pool:
        for members in args.members:
            for seed in args.seeds:
                scores = {}
                for name in UPDATES:
                    results = list(pool.map(score, [(p, name, members, seed) for p in paths], chunksize=4))
                    scores[name] = trial.crps_by_name(results)
                    for family in sorted({r["groups"]["family"] for r in results}):
                        mine = [r["score"] for r in results if r["groups"]["family"] == family]
                        print(f"{name:10} {members:7} {seed:4} {family:6} "
                              f"{statistics.mean(s['crps'] for s in mine):7.2f}"
                              f" {statistics.mean(s['inside'] for s in mine):5.2f}"
                              f" {100 * statistics.mean(abs(s['soc_error']) for s in mine):7.1f}", flush=True)
                print("   kalman minus particles:", trial.compare(scores["kalman"], scores["particles"]), flush=True)


if __name__ == "__main__":
    main()

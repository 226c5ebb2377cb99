"""Scores forecasts against trips whose truth is known.

A story is an export file with a `truth` object that the model never sees. This module reads stories, asks the model
and the rules of thumb, and scores; tables.py writes the result down. The score is the continuous ranked probability
score (CRPS), the integral over the horizon of (F(t) - [t >= truth])^2, in days: 0 is perfect, and for a single number
it is the absolute error.
"""
import math
import os
import random
import statistics
import time
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path

from daybank import records, rules_of_thumb

HORIZON_DAYS = 14.0
BAND = 0.80  # share of truths that a 10-90 % band should hold
RESTED_WITHIN_S = 12 * 3600.0


def crps_days(*, p10: float, p50: float, p90: float, beyond_horizon: float, truth_days: float | None) -> float:
    """CRPS of a band of days against the truth, in closed form.

    F goes straight through (p10, 0.1), (p50, 0.5), (p90, 0.9); its tails are exponential and leave with the slope of
    the neighbouring straight; before the horizon F stays at or below 1 - beyond_horizon.

    Parameters
        p10, p50, p90: rising, within 0..14. [days]
        beyond_horizon: share of members that did not reach the floor within the horizon. [0..1]
        truth_days: days that came, None when beyond the horizon. [days]
    Returns
        The score. [days]
    Raises
        ValueError: the band does not rise or leaves 0..14, or a share leaves 0..1.
    Source
        Matheson, Winkler, Management Science 22 (1976) 1087 (the score; from memory). The shape of F is our own.

    >>> round(crps_days(p10=3, p50=3, p90=3, beyond_horizon=0, truth_days=5), 6)
    2.0
    """
    if not 0.0 <= p10 <= p50 <= p90 <= HORIZON_DAYS + 1e-9:
        raise ValueError(
            f"a band of {p10}, {p50}, {p90} days is not rising within 0 to {HORIZON_DAYS}; give P10 <= P50 <= P90"
        )
    if not 0.0 <= beyond_horizon <= 1.0:
        raise ValueError(f"a share of {beyond_horizon} beyond the horizon is outside 0 to 1; give the share of members")
    cap = 1.0 - beyond_horizon
    truth = HORIZON_DAYS if truth_days is None else min(truth_days, HORIZON_DAYS)
    capped_from = _time_at(cap, p10, p50, p90)
    marks = sorted({0.0, HORIZON_DAYS} | {t for t in (p10, p50, p90, truth, capped_from) if 0.0 < t < HORIZON_DAYS})
    total = 0.0
    for start, end in zip(marks, marks[1:]):
        middle = (start + end) / 2.0
        happened = 1.0 if middle >= truth else 0.0
        if middle >= capped_from:
            total += (cap - happened) ** 2 * (end - start)
        elif middle < p10:
            total += _tail_square(0.1, 4.0, p50 - p10, p10 - end, p10 - start, happened)
        elif middle >= p90:
            total += _tail_square(0.1, 4.0, p90 - p50, start - p90, end - p90, 1.0 - happened)
        else:
            low, high, low_f = (p10, p50, 0.1) if middle < p50 else (p50, p90, 0.5)
            u = low_f + 0.4 * (start - low) / (high - low) - happened
            v = low_f + 0.4 * (end - low) / (high - low) - happened
            total += (u * u + u * v + v * v) / 3.0 * (end - start)
    return total


def _tail_square(height: float, rate: float, width: float, near: float, far: float, target: float) -> float:
    """Integral of (height * exp(-rate/width * x) - target)^2 for x from near to far; no tail when the width is nil."""
    if width <= 0.0:
        return target * target * (far - near)
    k = rate / width
    single = (math.exp(-k * near) - math.exp(-k * far)) / k
    double = (math.exp(-2.0 * k * near) - math.exp(-2.0 * k * far)) / (2.0 * k)
    return height * height * double - 2.0 * target * height * single + target * target * (far - near)


def _time_at(share: float, p10: float, p50: float, p90: float) -> float:
    """When F reaches a share; minus infinity for a share of nothing, infinity for certainty."""
    if share >= 1.0:
        return math.inf
    if share <= 0.0:
        return -math.inf
    if share < 0.1:
        return p10 + (p50 - p10) / 4.0 * math.log(share / 0.1)
    if share < 0.5:
        return p10 + (p50 - p10) * (share - 0.1) / 0.4
    if share < 0.9:
        return p50 + (p90 - p50) * (share - 0.5) / 0.4
    return p90 - (p90 - p50) / 4.0 * math.log((1.0 - share) / 0.1)


def band_holds(*, p10: float, p90: float, beyond_horizon: float, truth_days: float | None) -> bool:
    """Whether the 10-90 % band holds the truth; one beyond the horizon is held when the band reaches the horizon."""
    if truth_days is None:
        return p90 >= HORIZON_DAYS or beyond_horizon >= 0.1
    return p10 <= truth_days <= p90


def score(answer: dict, truth: dict) -> dict:
    """Scores one answer against one truth.

    Returns
        crps [days]; inside, within_horizon (bools); error_days (P50, None beyond the horizon); soc_error, signed,
        P50 less truth (None when either lacks it).
    """
    days = answer["days_left"]
    truth_days = truth["days_left"]
    band = {key: days[key] for key in ("p10", "p50", "p90", "beyond_horizon")}
    soc = (answer.get("state_of_charge") or {}).get("p50")
    true_soc = truth.get("soc_at_question")
    return {
        "crps": crps_days(truth_days=truth_days, **band),
        "inside": band_holds(
            p10=band["p10"], p90=band["p90"], beyond_horizon=band["beyond_horizon"], truth_days=truth_days
        ),
        "within_horizon": truth_days is not None,
        "error_days": None if truth_days is None else band["p50"] - truth_days,
        "soc_error": None if soc is None or true_soc is None else soc - true_soc,
    }


def groups_of(question: dict, truth: dict, name: str) -> dict:
    """The groups in which a story counts: family, chemistry, history, solar, rested."""
    asked_at = question["asked_at"]
    history_days = truth.get("history_days")
    if history_days is None:
        arrivals = [t["starts_at"] for t in question["trips"] if t["starts_at"] <= asked_at]
        first = min([r["at"] for r in question["readings"]] + arrivals, default=asked_at)
        history_days = int((asked_at - first) / 86400.0)
    rested = any(
        r["state"] == "rested" and r.get("volts") is not None and 0 <= asked_at - r["at"] <= RESTED_WITHIN_S
        for r in question["readings"]
    )
    return {
        "family": name.rsplit("-", 1)[0],
        "chemistry": rules_of_thumb.bank_in_service(question)["chemistry"],
        "history": "no full day" if history_days == 0 else "1-2 days" if history_days <= 2 else "3 days or more",
        "solar": "with solar" if any(s["kind"] == "solar" for s in question["sources"]) else "without solar",
        "rested": "rested reading in the last 12 h" if rested else "no rested reading in the last 12 h",
    }


def run_story(path: str, *, members: int, seed: int = 1, answer=None) -> dict:
    """Asks the model and the rules about one story, and scores them.

    Parameters
        path: an export file with a truth.
        members, seed: as forecast.answer takes them.
        answer: the model; None is Daybank's own. It is called as answer(question, members=, seed=).
    Returns
        {"name", "groups", "truth", "p10", "p50", "p90", "beyond_horizon", "soc", "seconds", "score", "rules": {name:
        absolute error in days}, "best_possible": score or None}; or {"name", "failed": sentence}.
    """
    name = os.path.splitext(os.path.basename(path))[0]
    try:
        export = records.read_export(Path(path))
        truth = export.get("truth")
        if not truth:
            raise ValueError(f"{name} holds no truth; accepted are trial stories; take the file out of the folder")
        question = records.question_from_export(export)
        if answer is None:
            from daybank.energy import forecast  # late, so that scores can be used without the model
            answer = forecast.answer
        started = time.perf_counter()
        given = answer(question, members=members, seed=seed)
        seconds = time.perf_counter() - started
        scored = score(given, truth)
        groups = groups_of(question, truth, name)
    except Exception as error:  # a broken story must not hide the other 119; it is counted and named
        return {"name": name, "failed": f"{type(error).__name__}: {error}"}
    truth_days = truth["days_left"]
    capped_truth = HORIZON_DAYS if truth_days is None else truth_days
    best = truth.get("best_possible")
    result = {
        "name": name, "groups": groups, "seconds": seconds, "score": scored,
        "truth": {"days_left": truth_days, "soc": truth.get("soc_at_question")},
        "soc": given.get("state_of_charge"),
        "rules": {rule: abs(days(question) - capped_truth) for rule, days in rules_of_thumb.RULES.items()},
        "best_possible": score({"days_left": best}, truth) if best else None,
    }
    result.update({key: given["days_left"][key] for key in ("p10", "p50", "p90", "beyond_horizon")})
    return result


def run_trial(paths: list, *, members: int, seed: int = 1, jobs: int = 2, on_story=None) -> list:
    """Runs all stories over `jobs` processes; calls on_story(done, total) after each; results in order of name."""
    results = []
    total = len(paths)
    if jobs <= 1 or total <= 1:
        for path in paths:
            results.append(run_story(path, members=members, seed=seed))
            if on_story:
                on_story(len(results), total)
    else:
        with ProcessPoolExecutor(max_workers=jobs) as pool:
            waiting = [pool.submit(run_story, path, members=members, seed=seed) for path in paths]
            for finished in as_completed(waiting):
                results.append(finished.result())
                if on_story:
                    on_story(len(results), total)
    return sorted(results, key=lambda r: r["name"])


def summary(results: list) -> dict:
    """Figures of a set of scored stories (failed ones must be left out by the caller).

    Returns
        n, crps, coverage, coverage_within, n_within, coverage_beyond, n_beyond, coverage_interval (90 % binomial about
        0.80), error_days (median absolute, within the horizon), soc_error (mean absolute), soc_bias, seconds, rules
        {name: mean absolute error in days}, best_rule, gain (share by which the CRPS beats that rule), best_possible.
    """
    scores = [r["score"] for r in results]
    within = [s for s in scores if s["within_horizon"]]
    beyond = [s for s in scores if not s["within_horizon"]]
    soc = [s["soc_error"] for s in scores if s["soc_error"] is not None]
    possible = [r["best_possible"]["crps"] for r in results if r["best_possible"]]
    rules = {rule: _mean([r["rules"][rule] for r in results]) for rule in rules_of_thumb.RULES}
    best_rule = min(rules, key=lambda rule: rules[rule])
    crps = _mean([s["crps"] for s in scores])
    return {
        "n": len(results),
        "crps": crps,
        "coverage": _mean([s["inside"] for s in scores]),
        "coverage_interval": binomial_interval(len(scores), BAND),
        "coverage_within": _mean([s["inside"] for s in within]), "n_within": len(within),
        "coverage_beyond": _mean([s["inside"] for s in beyond]), "n_beyond": len(beyond),
        "error_days": statistics.median([abs(s["error_days"]) for s in within]) if within else None,
        "soc_error": _mean([abs(e) for e in soc]), "soc_bias": _mean(soc),
        "seconds": _mean([r["seconds"] for r in results]),
        "rules": rules, "best_rule": best_rule, "gain": 1.0 - crps / rules[best_rule] if rules[best_rule] else 0.0,
        "best_possible": _mean(possible),
    }


def binomial_interval(n: int, p: float, level: float = 0.90) -> tuple:
    """Shares between which a count out of n lies with at least `level`, equal tails, if each has chance p.

    >>> binomial_interval(60, 0.8)
    (0.7166666666666667, 0.8833333333333333)
    """
    tail = (1.0 - level) / 2.0
    cumulative = 0.0
    low = high = None
    for count in range(n + 1):
        cumulative += math.comb(n, count) * p**count * (1.0 - p) ** (n - count)
        if low is None and cumulative > tail:
            low = count
        if high is None and cumulative >= 1.0 - tail:
            high = count
    return (low / n, (n if high is None else high) / n) if n else (0.0, 1.0)


def compare(scores_a: dict, scores_b: dict, *, resamples: int = 4000, seed: int = 1) -> dict:
    """Paired bootstrap over the stories that both have: is a's score lower than b's?

    Parameters
        scores_a, scores_b: {story name: CRPS in days}.
    Returns
        n, difference (mean a - b), standard_error, low, high (90 % interval), share_a_better (of the resamples).
    Raises
        ValueError: no story in common.
    Source
        Efron, Tibshirani, An Introduction to the Bootstrap, 1993 (from memory).
    """
    names = sorted(set(scores_a) & set(scores_b))
    if not names:
        raise ValueError("the two sets share no story; give scores of the same stories, by name")
    differences = [scores_a[name] - scores_b[name] for name in names]
    draw = random.Random(seed)
    means = sorted(_mean(draw.choices(differences, k=len(differences))) for _ in range(resamples))
    return {
        "n": len(names), "difference": _mean(differences), "standard_error": statistics.pstdev(means),
        "low": means[int(0.05 * resamples)], "high": means[int(0.95 * resamples) - 1],
        "share_a_better": sum(m < 0 for m in means) / resamples,
    }


def crps_by_name(results: list) -> dict:
    """{story name: CRPS in days} of the stories that did not fail."""
    return {r["name"]: r["score"]["crps"] for r in results if "failed" not in r}


def _mean(values: list) -> float | None:
    return sum(values) / len(values) if values else None

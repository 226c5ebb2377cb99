"""The trial's result as text: one table, by group, with the rules of thumb and what was possible beside it."""
from daybank import trial

GROUPS = ("family", "chemistry", "history", "solar", "rested")
COLUMNS = (
    ("group", -36), ("n", 4), ("CRPS d", 7), ("possible", 9), ("band", 6), ("within", 11), ("beyond", 11),
    ("error d", 8), ("charge", 7), ("bias", 6), ("s each", 7), ("chart", 6), ("books", 6), ("yester", 7),
    ("better by", 10),
)


def rows(results: list) -> list:
    """[(label, summary)]: all stories, then each value of each group, then each group within each family."""
    scored = [r for r in results if "failed" not in r]
    found = [("all", trial.summary(scored))] if scored else []
    families = sorted({r["groups"]["family"] for r in scored})
    for group in GROUPS:
        for value in sorted({r["groups"][group] for r in scored}):
            chosen = [r for r in scored if r["groups"][group] == value]
            found.append((value if group != "family" else f"family {value}", trial.summary(chosen)))
            if group == "family" or len(families) < 2:
                continue
            for family in families:
                part = [r for r in chosen if r["groups"]["family"] == family]
                if part:
                    found.append((f"  of family {family}", trial.summary(part)))
    return found


def cells(label: str, s: dict) -> list:
    """One row of the table as text, in the order of COLUMNS."""
    rules = [_number(s["rules"][rule], 2) for rule in ("voltage chart", "amp-hour books", "as yesterday")]
    return [
        label, str(s["n"]), _number(s["crps"], 2), _number(s["best_possible"], 2), _number(s["coverage"], 2),
        f"{_number(s['coverage_within'], 2)} of {s['n_within']}",
        f"{_number(s['coverage_beyond'], 2)} of {s['n_beyond']}",
        _number(s["error_days"], 2), _points(s["soc_error"]), _points(s["soc_bias"], sign="+"),
        _number(s["seconds"], 2), *rules, f"{100 * s['gain']:.0f} %",
    ]


def text(results: list, *, members: int, seed: int) -> str:
    """The table with its key, ready to print."""
    lines = [f"{len(results)} stories, {members} members, seed {seed}", ""]
    lines.append("".join(_aligned(name, width) for name, width in COLUMNS))
    lines += ["".join(_aligned(cell, width) for cell, (_, width) in zip(cells(*row), COLUMNS)) for row in rows(results)]
    lines += ["", *key(results)]
    failed = [r for r in results if "failed" in r]
    if failed:
        lines += ["", f"{len(failed)} of {len(results)} stories failed and are in no figure above:"]
        lines += [f"  {r['name']}: {r['failed']}" for r in failed]
    return "\n".join(lines)


def key(results: list) -> list:
    """What the columns mean, and whether the bands are honest."""
    lines = [
        "CRPS: days, 0 is perfect; a single number scores its absolute error.",
        "possible: the CRPS of a forecast that knows rig and state and lacks only the weather and the habits to come.",
        "band: share of truths inside P10-P90, which should be 0.80; within, beyond: truths before, after day 14.",
        "error: median of |P50 - truth|, truths before day 14. charge: mean |error| of the state of charge, in points.",
        "chart, books, yester: the rules of thumb (voltage chart, amp-hour books, as yesterday), mean |error| in days.",
    ]
    scored = [r for r in results if "failed" not in r]
    for family in sorted({r["groups"]["family"] for r in scored}):
        s = trial.summary([r for r in scored if r["groups"]["family"] == family])
        low, high = s["coverage_interval"]
        verdict = "honest" if low <= s["coverage"] <= high else "too narrow" if s["coverage"] < low else "too wide"
        lines.append(
            f"family {family}: band holds {s['coverage']:.2f}, chance allows {low:.2f} to {high:.2f} for {s['n']} "
            f"stories: {verdict}. CRPS {100 * s['gain']:.0f} % below the best rule ({s['best_rule']})."
        )
    return lines


def _number(value: float | None, places: int) -> str:
    return "-" if value is None else f"{value:.{places}f}"


def _points(value: float | None, sign: str = "") -> str:
    return "-" if value is None else f"{100 * value:{sign}.1f}"


def _aligned(cell: str, width: int) -> str:
    return cell.ljust(-width) if width < 0 else cell.rjust(width)

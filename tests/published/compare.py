"""How an answer is held against a published case; README.md has the same rules in words.

`faults` returns one sentence per expected key that is not met, so that a case reports all of them.
"""

import math
from datetime import datetime


def epoch_s(text: str) -> float:
    """Seconds since the epoch of an ISO 8601 time with zone."""
    return datetime.fromisoformat(text.replace("Z", "+00:00")).timestamp()


def _minutes(text: str) -> float:
    hours, minutes = text.split(":")
    return 60.0 * float(hours) + float(minutes)


def _allowance(key: str, expected, tolerance: dict) -> float:
    """What a number may be off; 0 means exactly."""
    if key in tolerance:
        return tolerance[key]
    if key.endswith("_utc"):
        return tolerance.get("times_s", 0.0)
    if key.endswith("_hhmm"):
        return tolerance.get("minutes", 0.0)
    size = abs(expected) if isinstance(expected, (int, float)) else 0.0
    return max(tolerance.get("abs", 0.0), tolerance.get("rel", 0.0) * size)


def _value_faults(key: str, expected, actual, tolerance: dict) -> list:
    if isinstance(expected, list):
        if not isinstance(actual, (list, tuple)) or len(actual) != len(expected):
            return [f"{key}: {actual!r} is not a list of {len(expected)} as expected {expected!r}"]
        found = []
        for i, (want, got) in enumerate(zip(expected, actual, strict=True)):
            found += [f"[{i}] {fault}" for fault in _value_faults(key, want, got, tolerance)]
        return found
    if expected is None or isinstance(expected, bool):
        return [] if actual is expected else [f"{key}: {actual!r}, expected {expected!r}"]
    if actual is None or isinstance(actual, bool):
        return [f"{key}: {actual!r}, expected {expected!r}"]
    allowed = _allowance(key, expected, tolerance)
    if isinstance(expected, str):
        if key.endswith("_utc"):
            want = epoch_s(expected)
        elif key.endswith("_hhmm"):
            want = _minutes(expected)
        else:
            return [] if actual == expected else [f"{key}: {actual!r}, expected {expected!r}"]
    else:
        want = expected
    if not isinstance(actual, (int, float)) or not math.isfinite(actual):
        return [f"{key}: {actual!r} is no number, expected {expected!r}"]
    # A hair for the last binary digit, so that a difference of exactly the tolerance passes.
    if abs(actual - want) <= allowed + 1e-12 * max(1.0, abs(want)):
        return []
    return [f"{key}: {actual!r}, expected {expected!r} within {allowed!r}"]


def _bound(key: str):
    """("min" or "max", name of the bounded value) of a key such as width_min_points, or None."""
    words = key.split("_")
    for side in ("min", "max"):
        if side in words:
            return side, "_".join([word for word in words if word != side])
    return None


def faults(case: dict, actual: dict) -> list:
    """What of a case's expectations an answer does not meet.

    A key that the answer holds under its own name is a value. Else `..._min` and `..._max` bound the value
    named without that word, and `must_not_equal_...` names a value that it must stay away from.
    """
    expected, tolerance = case["expected"], case.get("tolerance", {})
    if not expected:
        return ["the case expects nothing"]
    found = []
    for key in expected:
        if key in actual:
            found += _value_faults(key, expected[key], actual[key], tolerance)
            continue
        if key.startswith("must_not_equal_") and key[len("must_not_equal_") :] in actual:
            name = key[len("must_not_equal_") :]
            if not _value_faults(name, expected[key], actual[name], tolerance):
                found.append(f"{name}: {actual[name]!r} equals {expected[key]!r}, which it must not")
            continue
        bound = _bound(key)
        if bound and bound[1] in actual:
            side, name = bound
            room = _allowance(key, expected[key], tolerance)
            value = actual[name]
            low_enough = side == "min" or value <= expected[key] + room
            high_enough = side == "max" or value >= expected[key] - room
            if not (low_enough and high_enough):
                found.append(f"{name}: {value!r}, {side} {expected[key]!r} with {room!r} beyond")
            continue
        found.append(f"{key}: the answer does not hold it (it holds {', '.join(sorted(actual))})")
    return found

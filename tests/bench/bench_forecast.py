"""How long an answer takes, printed beside its budget. Run by hand: python tests/bench/bench_forecast.py [--runs 5]

A week's log of the plain test camp: the whole `daybank forecast` process, then the model alone in CPython and in the
phone's worker, per member-row. The browser is held to a quarter of a core where systemd can set a CPU quota; elsewhere
the worker's own times are multiplied by four, and the bench says so. bench_phone.py times the page.
"""

import argparse
import json
import os
import stat
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1])]

from playwright.sync_api import sync_playwright  # noqa: E402

from browser.conftest import Server  # noqa: E402
from conformance.conftest import ASK  # noqa: E402
from conftest import BROWSER_ARGUMENTS  # noqa: E402
from daybank.assets import build_shell  # noqa: E402
from daybank.energy import forecast  # noqa: E402
from properties import rigs  # noqa: E402
from unit.test_forecast import FINAL_MEMBERS, FIRST_MEMBERS, week  # noqa: E402

SLOWER = 4
QUOTA = ["systemd-run", "--scope", "--quiet", "--collect", "-p", f"CPUQuota={100 // SLOWER}%"]


def said(title, values, unit, budget=None):
    worst = f", worst {max(values):.3g}" if len(values) > 1 else ""
    print(f"{title}: median {statistics.median(values):.3g}{worst} {unit}" + (f" (budget {budget})" if budget else ""),
          flush=True)


def whole_process(path, runs):
    """Seconds from start to end of `daybank forecast FILE`."""
    found = []
    for _ in range(runs):
        started = time.perf_counter()
        subprocess.run([sys.executable, "-m", "daybank", "forecast", str(path)], check=True, stdout=subprocess.DEVNULL)
        found.append(time.perf_counter() - started)
    return found


def model_alone(export, runs):
    """Seconds to lay the question out, and microseconds per member-row of an answer, in this interpreter."""
    layout, per_row, rows = [], [], 0
    for _ in range(runs):
        question = rigs.question(export)
        started = time.perf_counter()
        asked = forecast.Asked(question)
        asked.answer(members=2)
        laid_out = time.perf_counter()
        rows = asked.answer(members=FINAL_MEMBERS)["steps"]
        layout.append(laid_out - started)
        per_row.append((time.perf_counter() - laid_out) / rows * 1e6)
    return layout, per_row, rows


def quota_works():
    try:
        return subprocess.run([*QUOTA, "true"], capture_output=True, timeout=20).returncode == 0
    except (OSError, subprocess.SubprocessError):
        return False


def slowed(browser, folder):
    """A script that starts the browser with its quota."""
    script = Path(folder) / "slow-browser"
    script.write_text(f"#!/bin/sh\nexec {' '.join(QUOTA)} {browser} \"$@\"\n")
    script.chmod(script.stat().st_mode | stat.S_IXUSR)
    return str(script)


def worker(export, browser, runs):
    """[(first range ms, final range ms)] as the worker counts them; the first pair includes its imports."""
    server = Server()
    server.start()
    try:
        with sync_playwright() as playwright:
            chromium = playwright.chromium.launch(executable_path=browser, args=BROWSER_ARGUMENTS)
            page = chromium.new_context(service_workers="block").new_page()
            page.set_default_timeout(120_000)
            page.goto(server.url + "safe.html")
            addresses = [server.address(f"js/{name}.js") for name in ("question", "energy-worker")]
            replies = [page.evaluate(ASK, [*addresses, export, [FIRST_MEMBERS, FINAL_MEMBERS]])
                       for _ in range(runs + 1)]
            chromium.close()
    finally:
        server.stop()
    return [(reply["ms"], [answer["steps"] for answer in reply["answers"]]) for reply in replies]


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--browser", default=os.environ.get("DAYBANK_BROWSER", "/usr/bin/chromium"))
    args = parser.parse_args()
    export = week()
    load = os.getloadavg()[0]
    if load > 0.5 * os.cpu_count():
        print(f"the machine is busy: load {load:.1f} on {os.cpu_count()} cores; these times are too long", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "week.json"
        path.write_text(json.dumps(export))
        said("daybank forecast, a week's log, whole process", whole_process(path, args.runs), "s", "0.6 s")
        layout, per_row, rows = model_alone(export, args.runs)
        said("CPython: laying the question out", [1000 * s for s in layout], "ms")
        said(f"CPython: {FINAL_MEMBERS} members, {rows} member-rows", per_row, "us per member-row")
        held = quota_works()
        replies = worker(export, slowed(args.browser, folder) if held else args.browser, args.runs)
    times = 1 if held else SLOWER
    print("the browser is held to a quarter of a core" if held else
          f"no CPU quota can be set here: the worker's own times are multiplied by {SLOWER}")
    (first_ms, final_ms), _ = replies[0]
    said("worker: first question, model read in, first range", [first_ms * times], "ms")
    said("worker: first range, layout included", [ms[0] * times for ms, _ in replies[1:]], "ms", "500 ms with the page")
    said("worker: final range after it", [ms[1] * times for ms, _ in replies[1:]], "ms")
    said("worker: both", [sum(ms) * times for ms, _ in replies[1:]], "ms", "2000 ms with the page")
    said("worker: at its own speed", [1000 * ms[1] / steps[1] / (SLOWER if held else 1) for ms, steps in replies[1:]],
         "us per member-row")
    size = sum(len(asset.gzipped or asset.body) for asset in build_shell().assets.values())
    print(f"first load, compressed, all of it: {size / 1000:.0f} kB (budget 450)")


if __name__ == "__main__":
    main()

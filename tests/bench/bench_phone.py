"""How long a phone takes, printed beside its budget. Run by hand: python tests/bench/bench_phone.py [--runs 5] [--years 10]

Chromium's throttle slows the page four times but, as measured, not its workers; so the worker's own times are
multiplied by four: the time seen, plus three times what the worker computed meanwhile. On a busy machine the worker's
clock counts other people's work as well: its processor time, which Linux counts for each thread, is printed beside it.
"""

import argparse
import json
import os
import statistics
import sys
import tempfile
from datetime import datetime, timedelta, timezone
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1])]

from playwright.sync_api import sync_playwright  # noqa: E402

from browser.conftest import Phone, Server, open_demo, rows, wait_for_final  # noqa: E402
from browser.logs import long_log  # noqa: E402
from daybank.assets import build_shell  # noqa: E402

SLOWER = 4
ASKED = "2025-07-08T20:10-06:00"
WATCH = """() => {
    window.marks = {};
    new MutationObserver(() => {
        const { answer, drawn } = document.documentElement.dataset;
        if (drawn !== undefined) window.marks.drawn ??= performance.now();
        if (answer) window.marks[answer] ??= performance.now();
    }).observe(document, { attributes: true, subtree: true, attributeFilter: ['data-answer', 'data-drawn'] });
    window.longest = 0;
    new PerformanceObserver((list) => {
        for (const entry of list.getEntries()) window.longest = Math.max(window.longest, entry.duration);
    }).observe({ type: 'longtask', buffered: true });
    const hear = Object.getOwnPropertyDescriptor(Worker.prototype, 'onmessage').set;
    window.worked = {};
    Object.defineProperty(Worker.prototype, 'onmessage', { set(listener) {
        hear.call(this, (event) => {
            if (event.data.ms) window.worked[event.data.stage] = event.data.ms;
            listener(event);
        });
    } });
}"""
FORGET = """() => { window.marks = {}; window.longest = 0; window.zero = performance.now();
    document.documentElement.dataset.answer = ''; }"""


def worker_cpu_ms(folder):
    """Processor time that the workers of a profile's browser have had, or None where the system does not tell."""
    total = 0.0
    try:
        for pid in filter(str.isdigit, os.listdir("/proc")):
            try:
                command = Path(f"/proc/{pid}/cmdline").read_bytes()
                if b"--type=renderer" not in command or not ours(pid, folder):
                    continue
                for task in Path(f"/proc/{pid}/task").iterdir():
                    if (task / "comm").read_text().startswith("DedicatedWorker"):
                        total += int((task / "schedstat").read_text().split()[0]) / 1e6
            except (FileNotFoundError, ProcessLookupError, PermissionError):
                continue
    except FileNotFoundError:
        return None
    return total


def ours(pid, folder):
    """Whether a process or one of its parents was started with the profile's folder."""
    while int(pid) > 1:
        if f"--user-data-dir={folder}".encode() in Path(f"/proc/{pid}/cmdline").read_bytes():
            return True
        pid = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[1]
    return False


def slow(page):
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})


def seen(page, *, zero=0.0):
    """Milliseconds on the page's clock, with the worker's share made as slow as the page."""
    marks, worked = page.evaluate("window.marks"), page.evaluate("window.worked")
    first = marks["first"] - zero + (SLOWER - 1) * worked["first"]
    final = marks["final"] - zero + (SLOWER - 1) * (worked["first"] + worked["final"])
    return {"drawn": marks.get("drawn"), "first": first, "final": final, "longest": page.evaluate("window.longest"),
            "page to first": marks["first"] - zero - worked["first"],
            "page to final": marks["final"] - zero - worked["first"] - worked["final"],
            "first share": worked["first"] / (worked["first"] + worked["final"])}


def open_offline(phone):
    phone.context = phone.playwright.chromium.launch_persistent_context(
        str(phone.folder), executable_path=phone.browser_path, args=["--no-sandbox", "--disable-gpu"], **phone.options)
    page = phone.context.pages[0]
    phone.context.set_offline(True)
    slow(page)
    page.add_init_script(f"({WATCH})()")
    page.goto(phone.url)
    wait_for_final(page)
    return page


def save_a_reading(page, folder):
    page.goto(page.url.split("#")[0] + "#/reading")
    page.fill("[name=volts]", "12.5")
    page.wait_for_timeout(500)  # a person takes longer; what the form still does is over
    before = worker_cpu_ms(folder)
    page.evaluate(FORGET)
    page.get_by_role("button", name="Save", exact=True).click()
    wait_for_final(page)
    times = seen(page, zero=page.evaluate("window.zero"))
    after = worker_cpu_ms(folder)
    if before is not None:
        # The page's part as seen, the worker's by its processor time, four times as long.
        times["final cpu"] = times["page to final"] + SLOWER * (after - before)
        times["first cpu"] = times["page to first"] + SLOWER * (after - before) * times["first share"]
    return times


def bring_years(page, years):
    """A rig with so many years of log, opened like any file."""
    asked_s = datetime.fromisoformat(ASKED).timestamp()
    log = long_log(asked_s, int(365.25 * years)) | {"asked_at": ASKED}
    now_s = datetime.now(timezone.utc).timestamp()
    shift = timedelta(seconds=now_s - asked_s - 3600)
    text = json.dumps(shifted(log, shift))
    page.set_input_files("[type=file]", {"name": "years.json", "mimeType": "application/json", "buffer": text.encode()})
    page.get_by_text("records.").wait_for(timeout=120_000)
    wait_for_final(page)
    until = datetime.now() + timedelta(seconds=20)
    while len(rows(page, "checkpoints")) < 2 and datetime.now() < until:
        page.wait_for_timeout(100)


def shifted(value, by):
    """Every time in an export moved, so that an invented log ends now."""
    if isinstance(value, dict):
        return {key: shifted(inner, by) for key, inner in value.items() if key != "asked_at"}
    if isinstance(value, list):
        return [shifted(inner, by) for inner in value]
    if isinstance(value, str) and len(value) >= 10 and value[:4].isdigit() and value[4] == "-":
        moved = datetime.fromisoformat(value) + by
        return moved.date().isoformat() if len(value) == 10 else moved.isoformat(timespec="seconds")
    return value


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--years", type=float, default=0, help="bring a log of so many years instead of the demo rig")
    parser.add_argument("--browser", default="/usr/bin/chromium")
    args = parser.parse_args()
    size = sum(len(asset.gzipped or asset.body) for asset in build_shell().assets.values())
    print(f"first load, compressed, all of it: {size / 1000:.0f} kB (budget 450)")
    print(f"other work on this machine at the start: load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    server = Server()
    server.start()
    opened, saved = [], []
    try:
        with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
            phone = Phone(playwright, args.browser, Path(folder), server.url)
            page = phone.open()
            page.evaluate("navigator.serviceWorker.ready")
            if args.years:
                bring_years(page, args.years)
            else:
                open_demo(page)
            phone.close()
            for _ in range(args.runs):
                page = open_offline(phone)
                opened.append(seen(page))
                saved.append(save_a_reading(page, folder))
                phone.close()
    finally:
        server.stop()
    for title, runs, name, budget in (
        ("opened offline: the stored answer on the screen", opened, "drawn", 1000),
        ("opened offline: a fresh first range", opened, "first", 2000),
        ("opened offline: the final range", opened, "final", None),
        ("saved a reading: first range", saved, "first", 500),
        ("saved a reading: first range, by processor time", saved, "first cpu", 500),
        ("saved a reading: final range", saved, "final", 2000),
        ("saved a reading: final range, by processor time", saved, "final cpu", 2000),
        ("longest task of the page while opening", opened, "longest", None),
        ("longest task of the page after saving", saved, "longest", 50),
    ):
        values = [run[name] for run in runs if run.get(name) is not None]
        if values:
            print(f"{title}: best {min(values):.0f} ms, median {statistics.median(values):.0f} ms, worst {max(values):.0f} ms"
                  + (f" (budget {budget})" if budget else ""))


if __name__ == "__main__":
    main()

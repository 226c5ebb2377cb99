"""How long a phone takes, printed beside its budget. Run by hand: python tests/bench/bench_phone.py [--runs 5]

Chromium's throttle slows the page four times but, as measured, not its workers; so the worker's own times are
multiplied by four: the time seen, plus three times what the worker computed meanwhile.
"""

import argparse
import statistics
import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1])]

from playwright.sync_api import sync_playwright  # noqa: E402

from browser.conftest import Phone, Server, open_demo, wait_for_final  # noqa: E402
from daybank.assets import build_shell  # noqa: E402

SLOWER = 4
WATCH = """() => {
    window.marks = {};
    new MutationObserver(() => {
        const { answer, drawn } = document.documentElement.dataset;
        if (drawn !== undefined) window.marks.drawn ??= performance.now();
        if (answer) window.marks[answer] = performance.now();
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


def slow(page):
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})


def seen(page):
    """Milliseconds on the page's clock, with the worker's share made as slow as the page."""
    marks, worked = page.evaluate("window.marks"), page.evaluate("window.worked")
    first = marks["first"] + (SLOWER - 1) * worked["first"]
    final = marks["final"] + (SLOWER - 1) * (worked["first"] + worked["final"])
    return {"drawn": marks.get("drawn"), "first": first, "final": final, "longest": page.evaluate("window.longest")}


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


def save_a_reading(page):
    page.goto(page.url.split("#")[0] + "#/reading")
    page.fill("[name=volts]", "12.5")
    page.evaluate("""() => { window.marks = {}; window.longest = 0; window.zero = performance.now();
        document.documentElement.dataset.answer = ''; }""")
    page.get_by_role("button", name="Save", exact=True).click()
    wait_for_final(page)
    times = seen(page)
    zero = page.evaluate("window.zero")
    return {name: value - zero if name in ("first", "final") else value for name, value in times.items()}


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--browser", default="/usr/bin/chromium")
    args = parser.parse_args()
    size = sum(len(asset.gzipped or asset.body) for asset in build_shell().assets.values())
    print(f"first load, compressed, all of it: {size / 1000:.0f} kB (budget 450)")
    server = Server()
    server.start()
    opened, saved = [], []
    try:
        with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
            phone = Phone(playwright, args.browser, Path(folder), server.url)
            page = phone.open()
            page.evaluate("navigator.serviceWorker.ready")
            open_demo(page)
            phone.close()
            for _ in range(args.runs):
                page = open_offline(phone)
                opened.append(seen(page))
                saved.append(save_a_reading(page))
                phone.close()
    finally:
        server.stop()
    for title, runs, name, budget in (
        ("opened offline: the stored answer on the screen", opened, "drawn", 1000),
        ("opened offline: a fresh first range", opened, "first", 2000),
        ("opened offline: the final range", opened, "final", None),
        ("saved a reading: first range", saved, "first", 500),
        ("saved a reading: final range", saved, "final", 2000),
        ("longest task of the page while opening", opened, "longest", None),
        ("longest task of the page after saving", saved, "longest", 50),
    ):
        values = [run[name] for run in runs]
        print(f"{title}: median {statistics.median(values):.0f} ms, worst {max(values):.0f} ms"
              + (f" (budget {budget})" if budget else ""))


if __name__ == "__main__":
    main()

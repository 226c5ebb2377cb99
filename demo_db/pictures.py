"""Makes the README's pictures from the running demo: python3 demo_db/pictures.py

Serves the demo on a free port, opens it in the Chromium that tests/run.py finds, on a phone-sized screen, and writes
pictures/*.png. Run it after the look has changed, and look at what it made. The moment is the demo's own, so the
figures stay unless the model changes; letters differ a little with the machine's fonts.
"""

import importlib.util
import os
import re
import subprocess
import sys
from pathlib import Path

import environment

ROOT = environment.ROOT
FOLDER = Path(__file__).resolve().parent / "pictures"
MOST_BYTES = 300_000  # of one picture; the README should open on a slow line
PHONE = {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "is_mobile": True, "has_touch": True,
         "locale": "en-GB"}
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync"]
ADDRESS = re.compile(r"http://\S+")


def main():
    python = environment.ready("test")
    if not same_environment(python):
        return subprocess.call([str(python), __file__])
    browser = test_runner().find_browser(python)
    server = subprocess.Popen([sys.executable, "-u", "-m", "daybank", "demo"], stdout=subprocess.PIPE, text=True)
    try:
        said = server.stdout.readline()
        found = ADDRESS.search(said)
        if not found:
            raise SystemExit("The demo did not start; run python3 demo_db/run.py to see why.")
        take(found.group(), browser)
    finally:
        server.terminate()
        server.wait()
    return 0


def same_environment(python):
    return os.path.realpath(sys.prefix) == os.path.realpath(Path(python).parents[1])


def test_runner():
    """tests/run.py, by its path: this folder has a run.py of its own."""
    spec = importlib.util.spec_from_file_location("test_runner", ROOT / "tests" / "run.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def take(address, browser_path):
    """The pictures, one after the other, on one page."""
    from playwright.sync_api import sync_playwright
    FOLDER.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path, args=ARGUMENTS)
        page = browser.new_context(**PHONE).new_page()
        page.goto(address)
        page.get_by_role("button", name="Look at the demo rig").click()
        page.wait_for_selector("html[data-answer=final]", timeout=120_000)
        for look in ("day", "night"):
            page.evaluate("(look) => { document.documentElement.dataset.look = look; }", look)
            save(page, f"tonight-{look}")
        page.evaluate("() => { document.documentElement.dataset.look = 'day'; location.hash = '#/reading'; }")
        page.fill("[name=volts]", "12.5")
        page.get_by_role("radio", name="humming").check()
        page.get_by_role("radio", name="nothing").check()
        save(page, "reading")
        browser.close()


def save(page, name):
    """One picture of what the screen shows, without a caret that blinks."""
    file = FOLDER / f"{name}.png"
    page.screenshot(path=str(file), animations="disabled", caret="hide")
    size = file.stat().st_size
    environment.say(f"wrote {file.relative_to(ROOT)}, {size // 1000} kB")
    if size > MOST_BYTES:
        raise SystemExit(f"{file.name} has {size} bytes and at most {MOST_BYTES} are wanted; lower the scale factor.")


if __name__ == "__main__":
    sys.exit(main())

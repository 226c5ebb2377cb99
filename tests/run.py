"""Runs every test: makes .venv, installs the test extra, finds or installs a Chromium, then ruff and pytest.

    python3 tests/run.py [what pytest takes, for instance: tests/unit -k wiring]
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "demo_db"))
import environment  # noqa: E402  (the folder has just been put on the path)

ROOT = environment.ROOT
ON_THE_MACHINE = ("chromium", "chromium-browser", "google-chrome")
ASK_PLAYWRIGHT = ("from playwright.sync_api import sync_playwright\n"
                  "with sync_playwright() as p: print(p.chromium.executable_path)")


def main():
    python = environment.ready("test")
    browser = find_browser(python)
    environment.say("browser for the tests: " + browser)
    settings = {**os.environ, "DAYBANK_BROWSER": browser}
    environment.say("ruff check")
    faults = subprocess.call([str(python), "-m", "ruff", "check", "."], cwd=str(ROOT))
    environment.say("pytest " + " ".join(sys.argv[1:]))
    failed = subprocess.call([str(python), "-m", "pytest", *sys.argv[1:]], cwd=str(ROOT), env=settings)
    if faults:
        environment.say("ruff found faults; they stand above the tests")
    return failed or faults


def find_browser(python):
    """Path of a Chromium that starts. Browser tests are never left out: no browser, no test run."""
    named = os.environ.get("DAYBANK_BROWSER")
    if named:
        if works(named):
            return named
        raise SystemExit("DAYBANK_BROWSER names {}, which does not start; name a Chromium that does, or unset "
                         "it.".format(named))
    candidates = [shutil.which(name) for name in ON_THE_MACHINE]
    for path in [*candidates, playwrights_own(python)]:
        if path and works(path):
            return path
    environment.say("no Chromium on this machine; fetching one through Playwright")
    if subprocess.call([str(python), "-m", "playwright", "install", "chromium"]) == 0:
        path = playwrights_own(python)
        if path and works(path):
            return path
    if hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get"):
        environment.say("installing Debian's chromium")
        subprocess.call(["apt-get", "update", "-qq"])
        subprocess.call(["apt-get", "install", "-y", "-qq", "chromium"])
        path = shutil.which("chromium") or shutil.which("chromium-browser")
        if path and works(path):
            return path
    raise SystemExit("The browser tests need a Chromium and none could be found or fetched; install one (on Debian: "
                     "apt install chromium) or set DAYBANK_BROWSER to its path, then start this script again.")


def playwrights_own(python):
    asked = subprocess.run([str(python), "-c", ASK_PLAYWRIGHT], capture_output=True, text=True)
    return asked.stdout.strip() if asked.returncode == 0 else ""


def works(path):
    try:
        return subprocess.run([path, "--version"], capture_output=True, timeout=60).returncode == 0
    except (OSError, subprocess.SubprocessError):
        return False


if __name__ == "__main__":
    sys.exit(main())

"""Makes .venv and installs Daybank into it, for demo_db/run.py and tests/run.py.

Standard library only, and simple enough that an older Python gets as far as the sentence that asks for a newer one.
"""

import hashlib
import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "daybank-installed.json"
OLDEST_PYTHON = (3, 11)
# a change in one of these means that the installation is out of date
INPUTS = ("pyproject.toml", "pwa/package.json", "pwa/package-lock.json", "pwa/build_hook.py")
VENDOR_STAMP = ROOT / "pwa" / "vendor" / "stamp"


def say(sentence):
    """One line about what is going on, at once even into a pipe."""
    print("daybank: " + sentence, flush=True)


def ready(extra=""):
    """Path of a Python in which daybank (with the extra, if one is named) is installed; SystemExit says what lacks."""
    if sys.version_info < OLDEST_PYTHON:
        raise SystemExit("Daybank needs Python 3.11 or newer and this is Python {}.{}; install a newer one and start "
                         "this script with it.".format(*sys.version_info[:2]))
    python = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not python.exists():
        make_venv()
    wanted = fingerprint(python)
    done = read_stamp()
    if VENDOR_STAMP.exists() and (done.get(extra) == wanted or done.get("test") == wanted):
        return python
    install(python, extra)
    STAMP.write_text(json.dumps({**{name: mark for name, mark in done.items() if mark == wanted}, extra: wanted}))
    return python


def fingerprint(python):
    """Changes with the installation's inputs and with the interpreter in .venv."""
    digest = hashlib.sha256(str(python.resolve()).encode())
    for name in INPUTS:
        digest.update((ROOT / name).read_bytes())
    return digest.hexdigest()


def read_stamp():
    try:
        return json.loads(STAMP.read_text())
    except (OSError, ValueError):
        return {}  # never installed, or stopped half-way: install again


def make_venv():
    if importlib.util.find_spec("ensurepip") is None or importlib.util.find_spec("venv") is None:
        raise SystemExit("This Python has no venv with pip in it; install that (on Debian or Ubuntu: "
                         "apt install python3-venv), then start this script again.")
    say("making .venv")
    if subprocess.call([sys.executable, "-m", "venv", str(VENV)]) != 0:
        raise SystemExit("The virtual environment .venv could not be made (see above); mend that, delete .venv and "
                         "start this script again.")


def install(python, extra):
    what = ".[{}]".format(extra) if extra else "."
    say("installing {} into .venv (first time: a minute or so)".format(what))
    command = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--editable", what]
    if subprocess.call(command, cwd=str(ROOT)) != 0:
        raise SystemExit("Daybank could not be installed; the reason stands above. Mend that and start this script "
                         "again.")

"""Shows Daybank with its invented rig: makes .venv, installs, builds the demo, serves it and prints the address.

    python3 demo_db/run.py [--port N] [--no-serve]
"""

import os
import subprocess
import sys
from pathlib import Path

import environment

BUILD = Path(__file__).resolve().parent / "build.py"


def main():
    python = str(environment.ready())
    environment.say("building the demo rig")
    failed = subprocess.call([python, str(BUILD)], cwd=str(environment.ROOT))
    if failed:
        return failed
    demo = [python, "-m", "daybank", "demo", *sys.argv[1:]]
    if os.name == "posix":
        os.execv(python, demo)  # the server takes this process's place, so that Ctrl-C reaches it alone
    return subprocess.call(demo, cwd=str(environment.ROOT))


if __name__ == "__main__":
    sys.exit(main())

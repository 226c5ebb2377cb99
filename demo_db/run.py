"""Shows Daybank with its invented rig: makes .venv, installs, builds the demo, serves it and prints the address.

    python3 demo_db/run.py [--port N] [--no-serve]
"""

import subprocess
import sys

import environment


def main():
    python = environment.ready()
    environment.say("building the demo rig")
    try:
        return subprocess.call([str(python), "-m", "daybank", "demo", *sys.argv[1:]], cwd=str(environment.ROOT))
    except KeyboardInterrupt:
        return 0  # Ctrl-C is how one stops it; the server has already said goodbye


if __name__ == "__main__":
    sys.exit(main())

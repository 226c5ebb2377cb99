"""Writes the demo rig as an export file into the phone's shell: python3 demo_db/build.py

The same scenario always gives the same bytes. With --check nothing is written; exit status 1 says that the file is out
of date.
"""
import json
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
TARGET = HERE.parent / "pwa" / "demo" / "demo.json"


def text() -> str:
    """The bytes to be written, as text."""
    sys.path.insert(0, str(HERE))
    try:
        import scenario
    finally:
        sys.path.remove(str(HERE))
    return json.dumps(scenario.EXPORT, indent=1, ensure_ascii=False) + "\n"


def main(arguments: list[str]) -> int:
    wanted = text()
    if "--check" in arguments:
        if TARGET.is_file() and TARGET.read_text(encoding="utf-8") == wanted:
            return 0
        print(f"{TARGET} does not hold the scenario; run python3 demo_db/build.py", file=sys.stderr)
        return 1
    TARGET.parent.mkdir(parents=True, exist_ok=True)
    TARGET.write_text(wanted, encoding="utf-8")
    print(f"wrote {TARGET}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

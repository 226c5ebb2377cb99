"""The rules of the house: what may stand where, who may import whom, and which words the shared model may use."""

import ast
import json
import re
import subprocess
from pathlib import Path

import pytest

from dialect import PACKAGES, faults

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "server" / "daybank"

TOP_LEVEL = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "server", "pwa", "tests",
             "demo_db", ".ci", ".gitignore"}

# Imports point to the same rank or downwards, and never in a ring. A package stands for all its modules.
RANKS = [
    {"energy", "upkeep"},                                        # 0 pure: numbers in, numbers out
    {"settings", "bundle", "assets", "words", "strict_json", "local_days", "field_checks", "export_fields",
     "export_form", "records", "units", "unit_tables"},          # 1 what comes in, and what the phone is sent
    {"rules_of_thumb", "trial", "sync", "change_log", "export_faults", "import_plan",
     "toml_lines"},                                              # 2 pure sums over records
    {"trial_table", "plots", "report", "schema", "database", "store", "rigfile", "rig_quantities", "typed_moments",
     "logbook_csv", "pairing", "problems"},
    {"headers", "api", "app", "commands", "commands_data", "data_arguments"},  # 4 what the outside talks to
    {"__main__"},                                                # 5 the command line
]

SOURCES = sorted(PACKAGE.rglob("*.py"))
SHARED = sorted(file for name in PACKAGES for file in (PACKAGE / name).glob("*.py"))


def tracked() -> list[str]:
    """Every file that git holds."""
    listing = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [name for name in listing.split("\0") if name]


def module_of(file: Path) -> str:
    """Path below the package without its ending: 'records', 'energy/bank'."""
    return file.relative_to(PACKAGE).with_suffix("").as_posix()


def imports_of(file: Path) -> set[str]:
    """Modules of the package that a file imports, at its top or inside a function."""
    known = {module_of(source) for source in SOURCES}
    found = set()
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and not node.level:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        else:
            continue
        for name in names:
            place = name.removeprefix("daybank.").replace(".", "/")
            if name.startswith("daybank.") and place in known:
                found.add(place)
    return found - {module_of(file)}


def rank_of(module: str) -> int:
    """Rank by the table; 99 for a module that it lacks, which a test of its own names."""
    part = module.split("/")[0]
    return next((rank for rank, parts in enumerate(RANKS) if part in parts), 99)


# what stands where

def test_the_top_level_holds_what_was_agreed_and_nothing_else():
    assert {name.split("/")[0] for name in tracked()} == TOP_LEVEL


def test_nothing_fetched_or_made_is_committed():
    made = re.compile(r"(^|/)(vendor|node_modules|\.venv|__pycache__|dist|build|[^/]+\.egg-info)/|\.py[co]$|\.db(-|$)")
    assert [name for name in tracked() if made.search(name)] == []


def test_the_lock_pins_every_package_by_its_hash_and_names_no_address():
    text = (ROOT / "pwa" / "package-lock.json").read_text()
    packages = {place: about for place, about in json.loads(text)["packages"].items() if place}
    wanted = json.loads((ROOT / "pwa" / "package.json").read_text())["dependencies"]
    assert "://" not in text and "resolved" not in text
    assert {f"node_modules/{name}": version for name, version in wanted.items()} == {
        place: about["version"] for place, about in packages.items()}
    assert all(about["integrity"].startswith("sha512-") for about in packages.values())


def test_no_file_names_a_folder_of_somebodys_machine():
    folder = re.compile(r"(?<![\w.~/:}])/(?:home|root|work|Users|mnt|opt)/[\w.]")
    found = []
    for name in tracked():
        content = (ROOT / name).read_bytes() if (ROOT / name).is_file() else b""
        if b"\0" not in content and folder.search(content.decode("utf-8", "replace")):
            found.append(name)
    assert found == []


def test_pages_hold_no_inline_script_or_style_since_the_policy_forbids_both():
    inline = re.compile(r"<style|\sstyle\s*=|\son[a-z]+\s*=|<script(?![^>]*\ssrc=)|=\s*[\"']?javascript:", re.I)
    templates = sorted((ROOT / "pwa" / "templates").glob("*.html"))
    assert templates
    assert [file.name for file in templates if inline.search(file.read_text())] == []


# who may import whom

def test_every_module_has_its_rank():
    assert [module_of(file) for file in SOURCES
            if file.name != "__init__.py" and rank_of(module_of(file)) == 99] == []


@pytest.mark.parametrize("file", SOURCES, ids=module_of)
def test_imports_point_downwards(file):
    own = rank_of(module_of(file))
    upwards = [other for other in imports_of(file) if rank_of(other) > own]
    assert upwards == [], f"{module_of(file)} has rank {own}"


def test_no_modules_import_one_another_in_a_ring():
    table = {module_of(file): imports_of(file) for file in SOURCES}
    assert sum(len(found) for found in table.values()) > 20, "the reader of imports has gone blind"
    while True:
        free = [module for module, needs in table.items() if not needs & set(table)]
        if not free:
            break
        for module in free:
            del table[module]
    assert table == {}, "these stand in a ring, or above one"


# the shared model

def test_there_is_a_shared_model():
    assert {"bank.py", "forecast.py", "member.py"} <= {file.name for file in SHARED}


@pytest.mark.parametrize("file", SHARED, ids=module_of)
def test_the_shared_model_keeps_to_its_dialect(file):
    assert faults(file.read_text()) == []


# the map

def test_every_source_file_is_on_the_map_in_developers_md():
    developers = ROOT / "DEVELOPERS.md"
    text = developers.read_text() if developers.is_file() else ""
    places = ("server/", "pwa/js/", "pwa/css/", "pwa/templates/", "demo_db/")
    own = [name for name in tracked() if name.endswith((".py", ".js", ".css", ".html"))
           and (name.startswith(places) or name.count("/") == 1 and name.startswith("pwa/"))
           and not name.endswith("__init__.py")]
    assert len(own) > 30
    missing = [name for name in own if not re.search(rf"(?<![\w-]){re.escape(name.split('/')[-1])}(?!\w)", text)]
    assert missing == []

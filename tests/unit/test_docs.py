"""The papers on the door against the code: commands, options, settings, the export example, the map, links."""

import argparse
import json
import re
import subprocess
from pathlib import Path

import pytest

from daybank import records, settings
from daybank.__main__ import make_parser
from daybank.energy import forecast
from daybank.export_fields import FIELDS
from test_house import RANKS, tracked

ROOT = Path(__file__).resolve().parents[2]
PAPERS = ("README.md", "DEVELOPERS.md", "CHANGELOG.md")
README, DEVELOPERS, CHANGELOG = ((ROOT / name).read_text(encoding="utf-8") for name in PAPERS)
LINK = re.compile(r"\]\(([^)\s]+)\)|<img[^>]*\ssrc=\"([^\"]+)\"")
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*")


def commands() -> dict[str, set[str]]:
    """Every command with the options it shows in its help."""
    chosen = next(action for action in make_parser()._actions if isinstance(action, argparse._SubParsersAction))
    return {name: {option for action in parser._actions if action.help != argparse.SUPPRESS
                   for option in action.option_strings if option.startswith("--")} - {"--help"}
            for name, parser in chosen.choices.items()}


def section(text: str, heading: str) -> str:
    """The text below a heading, up to the next one of its rank or above."""
    found = re.search(rf"^(#+) {heading}.*?$(.*?)(?=^#{{1,6}} |\Z)", text, re.MULTILINE | re.DOTALL)
    assert found, f"no heading {heading!r}"
    return found.group(2)


def files() -> set[str]:
    """Files of the project, committed or about to be."""
    listing = subprocess.run(["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"], cwd=ROOT,
                             capture_output=True, text=True, check=True).stdout
    return {name for name in listing.split("\0") if name and (ROOT / name).is_file()}


def anchors(text: str) -> set[str]:
    """Headings as a forge makes addresses of them."""
    headings = re.findall(r"^#+ (.*)$", re.sub(r"```.*?```", "", text, flags=re.DOTALL), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


# the command line

@pytest.mark.parametrize("name", commands())
def test_every_command_has_a_section_with_its_options_and_no_others(name):
    told = set(OPTION.findall(section(README, f"`daybank {name}\\b")))
    assert told == commands()[name]


def test_the_readme_tells_of_no_command_that_is_not_there():
    assert set(re.findall(r"^### `daybank (\w+)", README, re.MULTILINE)) == set(commands())


def test_every_environment_variable_of_the_settings_is_told_and_no_other():
    named = re.compile(r"DAYBANK_[A-Z_]+")
    assert set(named.findall(README)) == set(named.findall(Path(settings.__file__).read_text(encoding="utf-8")))


def test_scripts_that_a_paper_asks_to_run_exist():
    asked = {name for text in (README, DEVELOPERS) for name in re.findall(r"python3? ([\w/]+\.py)", text)}
    assert {"demo_db/run.py", "tests/run.py"} <= asked
    assert asked <= files()


# the export format

def example() -> dict:
    return json.loads(re.search(r"```json\n(.*?)```", README, re.DOTALL).group(1))


def test_the_example_file_is_a_good_export_and_gets_an_answer():
    export = records.read_export(json.dumps(example()))
    answer = forecast.answer(records.question_from_export(export), members=40)
    assert 0.0 < answer["days_left"]["p10"] < answer["days_left"]["p90"]


def test_every_field_of_the_format_is_told():
    fields = section(README, "The file")
    names = {name for list_name, known in FIELDS.items() for name in [list_name.split("[")[0].split(".")[0], *known]}
    assert [name for name in sorted(names) if f"`{name}`" not in fields] == []


# the map and the ranks

def test_every_file_on_the_map_exists():
    places = {"Server and command line": "server/daybank", "The model": "server/daybank/energy", "The phone": "pwa",
              "The demo": "demo_db", "The tests": "tests"}
    listed = [f"{place}/{name}" for heading, place in places.items()
              for name in re.findall(r"^\| `([^`]+)` \|", section(DEVELOPERS, heading), re.MULTILINE)]
    assert len(listed) > 80
    assert [name for name in listed if not (name in files() or name.endswith("/") and (ROOT / name).is_dir())] == []


def test_every_folder_of_tests_is_on_the_map():
    folders = {name.split("/")[1] for name in tracked() if name.startswith("tests/") and name.count("/") > 1}
    told = section(DEVELOPERS, "The tests")
    assert [folder for folder in sorted(folders) if f"`{folder}/`" not in told] == []


def test_the_rank_table_is_the_one_that_the_imports_are_held_to():
    modules = {Path(name).stem for name in tracked() if re.fullmatch(r"server/daybank/\w+\.py", name)} | {"energy/*"}
    table = {int(rank): set(re.findall(r"`([^`]+)`", told)) for rank, told in
             re.findall(r"^\| (\d) \| (.*) \|$", section(DEVELOPERS, "Ranks"), re.MULTILINE)}
    held = {rank: {f"{part}/*" if part == "energy" else part for part in parts} & modules
            for rank, parts in enumerate(RANKS)}
    assert table == held


# links, and what never belongs in a paper

@pytest.mark.parametrize("paper", [*PAPERS, *sorted(name for name in files() if name.endswith(".md")
                                                    and name not in PAPERS)])
def test_links_lead_somewhere(paper):
    text = (ROOT / paper).read_text(encoding="utf-8")
    dead = []
    for target in (markdown or image for markdown, image in LINK.findall(text)):
        if "://" in target:
            continue
        path, _, anchor = target.partition("#")
        place = (ROOT / paper).parent / path if path else ROOT / paper
        name = place.resolve().relative_to(ROOT).as_posix()
        if name not in files() and not (place.is_dir() and any(file.startswith(name + "/") for file in files())):
            dead.append(target)
        elif anchor and anchor not in anchors(place.read_text(encoding="utf-8")):
            dead.append(target)
    assert dead == []


def test_the_changelog_has_its_headings_newest_first():
    headings = re.findall(r"^## (.*)$", CHANGELOG, re.MULTILINE)
    assert headings[0] == "[Unreleased]"
    assert all(re.fullmatch(r"\[\d+\.\d+\.\d+\] - \d{4}-\d\d-\d\d", heading) for heading in headings[1:])
    kinds = set(re.findall(r"^### (.*)$", CHANGELOG, re.MULTILINE))
    assert kinds and kinds <= {"Added", "Changed", "Deprecated", "Removed", "Fixed", "Security"}


def test_pictures_of_the_papers_are_small_enough_for_a_slow_line():
    shown = {image for text in (README, DEVELOPERS) for pair in LINK.findall(text) for image in pair
             if image.endswith(".png")}
    assert [name for name in shown if (ROOT / name).stat().st_size > 300_000] == []

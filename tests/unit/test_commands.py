"""commands.py: what the two commands print, write and return."""
import io
import json
import shutil
from pathlib import Path

import pytest

from daybank.__main__ import main
from daybank.commands import Progress

ROOT = Path(__file__).resolve().parents[2]
DEMO = str(ROOT / "pwa" / "demo" / "demo.json")
CASES = ROOT / "tests" / "trial" / "cases"


@pytest.fixture
def folder(tmp_path) -> Path:
    stories = tmp_path / "stories"
    stories.mkdir()
    for name in ("a-001", "a-002", "story-001"):
        shutil.copy(CASES / f"{name}.json", stories)
    return stories


def test_forecast_prints_the_answer_as_json(capsys):
    assert main(["forecast", DEMO, "--json", "--members", "20"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["members"] == 20
    assert 0 <= answer["days_left"]["p10"] <= answer["days_left"]["p50"] <= answer["days_left"]["p90"] <= 14


def test_forecast_prints_what_a_person_reads(capsys):
    assert main(["forecast", DEMO, "--members", "20"]) == 0
    out = capsys.readouterr().out
    assert "asked on Tuesday 8 July at 20:10" in out and "Days left to 50 %" in out and "Charge at dawn" in out


def test_the_same_seed_gives_the_same_answer_and_another_one_another(capsys):
    def printed(seed):
        main(["forecast", DEMO, "--json", "--members", "20", "--seed", seed])
        return json.loads(capsys.readouterr().out)["days_left"]
    assert printed("1") == printed("1") != printed("2")


def test_forecast_at_an_earlier_moment(capsys):
    assert main(["forecast", DEMO, "--members", "20", "--at", "2025-07-06T22:00-06:00"]) == 0
    assert "asked on Sunday 6 July at 22:00" in capsys.readouterr().out


def test_forecast_reads_standard_input(capsys, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(Path(DEMO).read_bytes())))
    assert main(["forecast", "-", "--json", "--members", "20"]) == 0
    assert json.loads(capsys.readouterr().out)["members"] == 20


@pytest.mark.parametrize("members", ["0", "-5", "many", "1e3", "10000000"])
def test_a_number_of_members_that_is_none_is_refused_with_status_2(members, capsys):
    with pytest.raises(SystemExit) as end:
        main(["forecast", DEMO, "--members", members])
    assert end.value.code == 2
    assert "whole number" in capsys.readouterr().err or members == "-5"


def test_trial_prints_a_table_and_writes_page_and_scores(folder, tmp_path, capsys):
    page, dump = tmp_path / "page.html", tmp_path / "dump.json"
    assert main(["trial", str(folder), "--members", "20", "--html", str(page), "--dump", str(dump)]) == 0
    out, err = capsys.readouterr()
    assert "3 stories, 20 members, seed 1" in out and "family story" in out
    assert err == ""  # no terminal, no bar
    html = page.read_text(encoding="utf-8")
    assert html.count("<svg") >= 5 and "<script" not in html and "a-002" in html
    assert [s["name"] for s in json.loads(dump.read_text())["stories"]] == ["a-001", "a-002", "story-001"]


def test_trial_shows_a_bar_when_asked(folder, capsys):
    assert main(["trial", str(folder), "--members", "20", "--progress", "--jobs", "1"]) == 0
    assert "3 of 3" in capsys.readouterr().err


def test_trial_only_takes_names_that_begin_so(folder, capsys):
    assert main(["trial", str(folder), "--members", "20", "--only", "a-", "--json", "--jobs", "1"]) == 0
    assert [s["name"] for s in json.loads(capsys.readouterr().out)["stories"]] == ["a-001", "a-002"]


def test_trial_with_a_story_that_fails_ends_with_status_1(folder, capsys):
    (folder / "b-001.json").write_text("{}")
    assert main(["trial", str(folder), "--members", "20", "--jobs", "1"]) == 1
    assert "1 of 4 stories failed" in capsys.readouterr().out


def test_trial_compares_with_an_earlier_result(folder, tmp_path, capsys):
    dump = tmp_path / "dump.json"
    main(["trial", str(folder), "--members", "20", "--jobs", "1", "--dump", str(dump)])
    assert main(["trial", str(folder), "--members", "20", "--jobs", "1", "--against", str(dump)]) == 0
    assert "CRPS +0.000 days" in capsys.readouterr().out


@pytest.mark.parametrize("option", ["--html", "--dump"])
def test_a_page_that_cannot_be_written_is_status_1(folder, tmp_path, option, capsys):
    assert main(["trial", str(folder), "--members", "20", "--jobs", "1", option, str(tmp_path / "no" / "x")]) == 1
    assert "cannot be written" in capsys.readouterr().err


@pytest.mark.parametrize("content", ["", "[]", '{"stories": [1]}'])
def test_an_earlier_result_that_is_none_is_refused(folder, tmp_path, content, capsys):
    earlier = tmp_path / "x.json"
    earlier.write_text(content)
    assert main(["trial", str(folder), "--against", str(earlier)]) == 2
    assert "is no earlier result" in capsys.readouterr().err


def test_the_bar_fills_and_counts_down():
    stream = io.StringIO()
    bar = Progress(stream, shown=True, width=10)
    bar.step(5, 10)
    bar.done()
    assert "[=====     ] 5 of 10" in stream.getvalue()

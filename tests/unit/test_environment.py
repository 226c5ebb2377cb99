import importlib.util
import json
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

FILE = Path(__file__).resolve().parents[2] / "demo_db" / "environment.py"
spec = importlib.util.spec_from_file_location("environment", FILE)


@pytest.fixture
def checkout(tmp_path, monkeypatch):
    """The module, looking at an invented checkout whose .venv is there; `calls` holds what it would have run."""
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    for name in module.INPUTS:
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(name)
    python = tmp_path / ".venv" / "bin" / "python"
    python.parent.mkdir(parents=True)
    python.touch()
    vendor = tmp_path / "pwa" / "vendor" / "stamp"
    calls = []

    def call(command, **_):
        calls.append(command)
        vendor.parent.mkdir(exist_ok=True)
        vendor.touch()
        return 0

    monkeypatch.setattr(module, "ROOT", tmp_path)
    monkeypatch.setattr(module, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(module, "STAMP", tmp_path / ".venv" / "daybank-installed.json")
    monkeypatch.setattr(module, "VENDOR_STAMP", vendor)
    monkeypatch.setattr(subprocess, "call", call)
    return SimpleNamespace(module=module, root=tmp_path, calls=calls, python=python)


def test_the_first_time_installs_and_the_second_does_not(checkout):
    assert checkout.module.ready() == checkout.python
    assert [command[-1] for command in checkout.calls] == ["."]
    assert checkout.module.ready() == checkout.python
    assert len(checkout.calls) == 1


@pytest.mark.parametrize("name", ["pyproject.toml", "pwa/package-lock.json", "pwa/build_hook.py"])
def test_a_changed_input_installs_again(checkout, name):
    checkout.module.ready()
    (checkout.root / name).write_text("changed")
    checkout.module.ready()
    assert len(checkout.calls) == 2


def test_the_demo_needs_nothing_more_once_the_test_extra_is_there_but_not_the_other_way_round(checkout):
    checkout.module.ready("test")
    checkout.module.ready()
    assert [command[-1] for command in checkout.calls] == [".[test]"]
    (checkout.root / ".venv" / "daybank-installed.json").unlink()
    checkout.module.ready()
    checkout.module.ready("test")
    assert [command[-1] for command in checkout.calls] == [".[test]", ".", ".[test]"]


def test_an_emptied_library_folder_installs_again(checkout):
    checkout.module.ready()
    (checkout.root / "pwa/vendor/stamp").unlink()
    checkout.module.ready()
    assert len(checkout.calls) == 2


def test_a_torn_stamp_installs_again(checkout):
    checkout.module.ready()
    (checkout.root / ".venv" / "daybank-installed.json").write_text('{"": "4')
    checkout.module.ready()
    assert len(checkout.calls) == 2
    assert json.loads((checkout.root / ".venv" / "daybank-installed.json").read_text())


def test_a_failed_installation_is_not_taken_for_done(checkout, monkeypatch):
    monkeypatch.setattr(subprocess, "call", lambda *_, **__: 1)
    for _ in range(2):
        with pytest.raises(SystemExit, match="Daybank could not be installed; the reason stands above"):
            checkout.module.ready()


def test_a_python_without_pip_for_its_environments_is_told_what_to_install(checkout, monkeypatch):
    checkout.python.unlink()
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(SystemExit, match="This Python has no venv with pip in it; install that .*python3-venv"):
        checkout.module.ready()
    assert checkout.calls == []


def test_an_older_python_is_asked_for_a_newer_one(checkout, monkeypatch):
    monkeypatch.setattr(sys, "version_info", (3, 9, 2))
    with pytest.raises(SystemExit, match="Daybank needs Python 3.11 or newer and this is Python 3.9; install a newer"):
        checkout.module.ready()

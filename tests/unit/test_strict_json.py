"""strict_json.py: bounds of what is read at all (refused files: tests/faults)."""
import io
import json
import os
import threading

import pytest

from daybank import strict_json
from daybank.strict_json import Refusal, read_object, shown


def nested(levels: int) -> str:
    return '{"a": ' * levels + "1" + "}" * levels


def test_depth_is_read_up_to_its_bound_and_no_further():
    read_object(nested(strict_json.MAX_DEPTH))
    with pytest.raises(Refusal, match="deeper"):
        read_object(nested(strict_json.MAX_DEPTH + 2))


def test_size_is_read_up_to_its_bound_and_no_further(monkeypatch, tmp_path):
    text = json.dumps({"a": "x" * 100})
    monkeypatch.setattr(strict_json, "MAX_BYTES", len(text))
    path = tmp_path / "f.json"
    path.write_text(text)
    assert read_object(text) == read_object(path) == json.loads(text)
    for source in (text + " ", (text + " ").encode()):
        with pytest.raises(Refusal, match="MB"):
            read_object(source)


def test_a_pipe_is_read_no_further_than_the_bound(monkeypatch, tmp_path):
    monkeypatch.setattr(strict_json, "MAX_BYTES", 1000)
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)

    def feed():
        try:
            with io.open(pipe, "wb", buffering=0) as end:
                for _ in range(1000):
                    end.write(b" " * 1000)
        except BrokenPipeError:
            pass
    feeder = threading.Thread(target=feed)
    feeder.start()
    with pytest.raises(Refusal, match="MB"):
        read_object(pipe)
    feeder.join(timeout=10)
    assert not feeder.is_alive()


def test_a_whole_number_of_18_digits_is_read_and_one_of_19_is_not():
    assert read_object('{"a": -123456789012345678}')["a"] == -123456789012345678
    with pytest.raises(Refusal, match="up to 18"):
        read_object('{"a": 1234567890123456789}')


def test_a_refusal_names_its_field_and_its_sentence():
    refusal = Refusal("readings[3].volts", "126 V was given")
    assert str(refusal) == "readings[3].volts: 126 V was given"
    assert (refusal.field, refusal.message) == ("readings[3].volts", "126 V was given")
    assert str(Refusal("", "nothing was given")) == "nothing was given"


def test_a_quoted_value_is_short_and_printable():
    assert shown("a\x1b\u202e") == '"a\\u001b\\u202e"'
    assert len(shown("x" * 1000)) == 60

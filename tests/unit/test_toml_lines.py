"""toml_lines.py: the line of every key and table, whatever stands between them."""
import tomllib
from pathlib import Path

from daybank.toml_lines import line_of, lines_of

RIG = Path(__file__).resolve().parents[2] / "demo_db" / "rig.toml"
TEXT = '''# a comment with [brackets] and = signs
top = 1

[rig]   # after a header
name = "a # in text ]"
note = """
[not.a.table]
key = "neither" """
"quoted key" = 'x'
'literal.key' = 1

[[trips]]
a = [
  1, # ] in a comment
  { b = 2 }, "]",
]
[[trips.stops]]
from = 1
[[trips.stops]]
from = 2
[trips.more]
x.y = 3
[[trips]]
[[trips.stops]]
from = 4
path = \'\'\'
]]]\'\'\'
last = true
'''


def test_each_key_has_its_line():
    lines = lines_of(TEXT)
    text = TEXT.split("\n")
    for path, start in {
        ("top",): "top =", ("rig",): "[rig]", ("rig", "name"): "name =", ("rig", "note"): "note =",
        ("rig", "quoted key"): '"quoted', ("rig", "literal.key"): "'literal", ("trips", 0, "a"): "a = [",
        ("trips", 0, "more", "x", "y"): "x.y", ("trips", 1, "stops", 0, "path"): "path =",
        ("trips", 1, "stops", 0, "last"): "last =",
    }.items():
        assert text[lines[path] - 1].startswith(start), path
    assert ("not",) not in lines and ("rig", "key") not in lines


def test_tables_of_one_name_are_told_apart():
    lines = lines_of(TEXT)
    assert [lines["trips", 0, "stops", n, "from"] for n in (0, 1)] == [18, 20]
    assert lines["trips", 1, "stops", 0, "from"] == 25
    assert (lines["trips", 0], lines["trips", 1], lines["trips", 1, "stops", 0]) == (12, 23, 24)


def test_what_does_not_stand_in_the_text_has_the_line_of_what_is_about_it():
    lines = lines_of(TEXT)
    assert line_of(lines, ("trips", 0, "stops", 1, "shade")) == 19
    assert line_of(lines, ("trips", 0, "a", 1, "b")) == 13
    assert line_of(lines, ("banks", 0)) == line_of({}, ("x",)) == 1


def test_windows_line_ends_count_once():
    assert lines_of(TEXT.replace("\n", "\r\n")) == lines_of(TEXT)


def test_every_key_of_the_demo_rig_file_is_found():
    text = RIG.read_text(encoding="utf-8")
    lines = lines_of(text)
    rows = text.split("\n")

    def walk(value, path):
        if isinstance(value, dict):
            for key, item in value.items():
                assert (*path, key) in lines, (path, key)
                if not isinstance(item, (dict, list)):
                    assert rows[lines[(*path, key)] - 1].startswith(f"{key} = ")
                walk(item, (*path, key))
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for index, item in enumerate(value):
                walk(item, (*path, index))

    walk(tomllib.loads(text), ())
    assert len(lines) > 100

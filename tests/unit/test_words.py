"""The words table: every code that the phone speaks is in it, and no sentence hides in the scripts."""

import json
import re
from pathlib import Path

PWA = Path(__file__).resolve().parents[2] / "pwa"
TABLE = json.loads((PWA / "words" / "en.json").read_text(encoding="utf-8"))
SCRIPTS = {file.relative_to(PWA).as_posix(): file.read_text(encoding="utf-8")
           for file in sorted((PWA / "js").rglob("*.js")) if file.name not in ("safe.js", "start-guard.js")}
HOLE = re.compile(r"\{(\w+)(?::(\w+))?\}")
CODE = re.compile(r"""['"`]([a-z]+(?:\.[a-z_0-9]+)+)['"`]""")
PREFIX = re.compile(r"""`([a-z]+(?:\.[a-z_]+)*\.(?:[a-z_]+_)?)\$\{""")
OPTIONS = re.compile(r"""options\(say, ["'`]([a-z_.]+)["'`]""")     # a list of choices: one word of the family each
# Other dotted names: files, a module of the model, a key path, fields of an export.
NOT_CODES = re.compile(r"\.(js|mjs|json|wasm)$|^daybank\.|^op\.id$|^rig\.(name|timezone|at)$|^canvas\.")
# Fields of the guided path's forms are named so, and never spoken.
FORM_FIELD = re.compile(r"^(bank|others|part|place|solar|stop|trip)\.\w+$")


def forms() -> set:
    text = SCRIPTS["js/words.js"].split("export const FORMS = {")[1]
    return set(re.findall(r"^  (\w+): \(", text, re.MULTILINE))


def spoken_codes() -> dict:
    return {code: name for name, text in SCRIPTS.items() for code in CODE.findall(text) if not NOT_CODES.search(code)}


def starts_family(code: str) -> bool:
    """Whether a script adds an ending to this code before it is spoken."""
    return any(known.startswith(f"{code}.") for known in TABLE)


def test_every_code_that_a_script_names_has_a_sentence():
    codes = spoken_codes()
    assert len(codes) > 80
    assert {code: name for code, name in codes.items()
            if code not in TABLE and not FORM_FIELD.match(code) and not starts_family(code)} == {}


def test_every_family_of_codes_that_a_script_builds_has_sentences():
    prefixes = {prefix for text in SCRIPTS.values() for prefix in PREFIX.findall(text)}
    assert "weekday." in prefixes and "state." in prefixes
    assert [prefix for prefix in prefixes if not FORM_FIELD.match(f"{prefix}x")
            and not any(code.startswith(prefix) for code in TABLE)] == []


def test_no_sentence_lies_unused():
    prefixes = tuple({prefix for text in SCRIPTS.values()
                      for prefix in PREFIX.findall(text) + [f"{family}." for family in OPTIONS.findall(text)]})
    codes = spoken_codes()
    unused = [code for code in TABLE if "." in code.removesuffix(".one") and code.removesuffix(".one") not in codes
              and not code.startswith(prefixes)]
    assert unused == []


def test_every_form_inside_a_sentence_is_one_that_the_phone_knows():
    known = forms()
    assert {"days", "percent", "volts", "amps", "ah", "clock"} <= known
    assert {code: form for code, text in TABLE.items() for _, form in HOLE.findall(text)
            if form and form not in known} == {}


def test_braces_are_used_for_holes_only():
    assert [code for code, text in TABLE.items() if re.search(r"[{}]", HOLE.sub("", text))] == []


def test_the_choices_of_the_format_each_have_a_word():
    choices = {
        "chemistry": ("agm", "flooded", "gel", "lifepo4"), "controller": ("mppt", "pwm"),
        "use": ("always", "thermostat", "evening", "night", "day", "any"),
        "feed": ("bank", "fuse_block", "controller_output"), "charge": ("alternator", "shore"),
        "state": ("rested", "loaded", "charging", "full", "unknown"), "rig.at": ("posts", "panel"),
        "sky": ("clear", "partly", "overcast", "rain", "unknown"),
        "event": ("cut_out", "fuse_blown", "restored", "flat", "jump_start"), "log": ("as_usual", "away"),
    }
    assert [f"{family}.{word}" for family, words in choices.items() for word in words
            if f"{family}.{word}" not in TABLE] == []


def markup_texts(script: str) -> list:
    """What stands between tags in the html templates of a script, values left out."""
    texts, at = [], 0
    while (at := script.find("html`", at)) >= 0:
        end, depth, text = at + 5, 0, []
        while depth or script[end] != "`":
            if script.startswith("${", end):
                depth, end = depth + 1, end + 2
            elif depth and script[end] in "{}":
                depth, end = depth + (1 if script[end] == "{" else -1), end + 1
            else:
                text += [] if depth else [script[end]]
                end += 1
        texts += re.split(r"<[^>]*>", "".join(text))
        at += 5
    return texts


def test_no_script_holds_a_sentence_of_its_own():
    found = {name: [text for text in markup_texts(script) if re.search(r"[A-Za-z]{2}", text)]
             for name, script in SCRIPTS.items()}
    assert sum(len(markup_texts(script)) for script in SCRIPTS.values()) > 100
    assert {name: texts for name, texts in found.items() if texts} == {}


def test_no_template_or_script_carries_inline_style_or_script():
    for name, text in SCRIPTS.items():
        assert not re.search(r"""\sstyle="|\son[a-z]+=["']""", text), name
    for page in (PWA / "templates").glob("*.html"):
        inline = r"""\sstyle="|\son[a-z]+=["']|<style|<script(?![^>]*\bsrc=)"""
        assert not re.search(inline, page.read_text()), page.name

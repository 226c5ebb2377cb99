"""Lengths of time as words.js on the phone and words.py in the terminal say them: one table, both halves."""

from zoneinfo import ZoneInfo

import pytest

from daybank.words import Words, tables

HOURS = [
    (0, "less than an hour", "just now"), (0.03, "less than an hour", "just now"), (0.05, "5 minutes", "5 minutes ago"),
    (0.25, "15 minutes", "15 minutes ago"), (0.3, "20 minutes", "20 minutes ago"), (0.45, "25 minutes", "25 minutes ago"),
    (0.46, "½ hour", "½ hour ago"), (0.5, "½ hour", "½ hour ago"), (0.8, "1 hour", "1 hour ago"), (1, "1 hour", "1 hour ago"),
    (1.3, "1½ hours", "1½ hours ago"), (2, "2 hours", "2 hours ago"), (9.8, "10 hours", "10 hours ago"),
    (10.4, "10 hours", "10 hours ago"), (47, "47 hours", "47 hours ago"), (47.6, "48 hours", "2 days ago"),
    (60, "60 hours", "3 days ago"), (240, "240 hours", "10 days ago"),
]
SENTENCES = {"h": "{h:hours}", "ago": "{h:ago}", "p": "{h:percent}", "v": "{h:volts}", "a": "{h:amps}", "q": "{h:ah}",
             "d": "{h:days}", "m": "{h:mohm}"}


@pytest.fixture(scope="module")
def table():
    return tables() | SENTENCES


@pytest.fixture(scope="module")
def there(table):
    words = Words(table, ZoneInfo("UTC"))
    return lambda code, value: words.say(code, h=value)


@pytest.fixture(scope="module")
def here(call, table):
    speak = "a[1].map(([code, h]) => m.makeWords(a[0], { locale: 'en-GB', zone: () => 'UTC' }).say(code, { h }))"
    return lambda asked: call("words", speak, table, asked)


def test_hours_and_how_long_ago_are_said_as_the_table_has_them(here, there):
    asked = [(code, hours) for hours, *_ in HOURS for code in ("h", "ago")]
    wanted = [text for _, *texts in HOURS for text in texts]
    assert [there(code, hours) for code, hours in asked] == wanted
    assert here(asked) == wanted


def test_other_figures_are_said_alike_by_phone_and_terminal(here, there):
    asked = [(code, value) for code in "pvaqdm" for value in (0, 0.004, 0.125, 0.5, 0.96, 1, 2.26, 9.74, 9.76, 12.345, 104.6)]
    assert here(asked) == [there(code, value) for code, value in asked]


def test_a_reading_of_this_moment_was_never_taken_0_hours_ago(there, table):
    assert not [code for code, sentence in table.items() if "ours} ago" in sentence]

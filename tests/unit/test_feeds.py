"""Feeds and the selector: what stays live, and what drains the bank."""

import pytest

from daybank.energy import feeds

SELECTOR = {
    "positions": [
        {"name": "off", "feeds": "nothing"},
        {"name": "1", "feeds": "bank"},
        {"name": "2", "feeds": "controller"},
        {"name": "both", "feeds": "both"},
    ]
}


@pytest.mark.parametrize(
    ("selector_feeds", "live"),
    [
        ("nothing", [True, False, True]),
        ("bank", [True, True, True]),
        ("controller", [True, True, True]),
        ("both", [True, True, True]),
    ],
)
def test_off_leaves_the_post_and_the_controller_output_live(selector_feeds, live):
    assert feeds.live_circuits(["bank", "fuse_block", "controller_output"], selector_feeds) == live


def test_a_cut_off_controller_output_takes_down_what_it_feeds():
    assert feeds.is_live("controller_output", "bank", controller_output_on=False) is False
    assert feeds.is_live("fuse_block", "controller", controller_output_on=False) is False
    assert feeds.is_live("fuse_block", "both", controller_output_on=False) is True
    assert feeds.is_live("bank", "nothing", controller_output_on=False) is True


def test_the_controller_output_drains_the_bank_at_night():
    assert feeds.drains_bank("fuse_block", "controller") is True
    assert feeds.drains_bank("controller_output", "nothing") is True
    assert feeds.drains_bank("fuse_block", "nothing") is False


def test_only_both_calls_for_a_caution():
    assert feeds.caution("both") == "selector_bridges_controller"
    assert [feeds.caution(word) for word in ("nothing", "bank", "controller")] == [None] * 3


def test_without_a_selector_everything_comes_from_the_bank():
    assert feeds.feeds_at(feeds.position_spans({}), 0.0) == "bank"


def test_before_any_record_the_selector_stands_on_its_first_position_that_feeds_the_bank():
    spans = feeds.position_spans({"selector": SELECTOR})
    assert feeds.feeds_at(spans, 1e9) == "bank"


def test_a_selector_that_never_feeds_the_bank_stands_on_its_first_position():
    spans = feeds.position_spans({"selector": {"positions": SELECTOR["positions"][:1]}})
    assert feeds.feeds_at(spans, 0.0) == "nothing"


def test_records_of_positions_count_from_their_moment_in_any_order():
    records = [{"id": "b", "at": 200.0, "position": "2"}, {"id": "a", "at": 100.0, "position": "off"}]
    spans = feeds.position_spans({"selector": SELECTOR, "positions": records})
    assert [feeds.feeds_at(spans, t) for t in (99.0, 100.0, 199.0, 200.0)] == [
        "bank", "nothing", "nothing", "controller",
    ]  # fmt: skip
    assert spans == feeds.position_spans({"selector": SELECTOR, "positions": list(reversed(records))})


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: feeds.is_live("roof"), "Feed 'roof' is not known; use one of bank, fuse_block, controller_output"),
        (lambda: feeds.is_live("bank", "half"), "use one of nothing, bank, controller, both"),
        (
            lambda: feeds.position_spans({"selector": SELECTOR, "positions": [{"at": 1, "position": "3"}]}),
            "no position '3'; it has off, 1, 2, both",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)

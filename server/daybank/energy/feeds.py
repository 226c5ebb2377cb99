"""How power reaches a circuit, and what each position of the selector leaves live.

Knows three feeds: `bank` (straight to a post, always live), `fuse_block` (through the selector) and
`controller_output` (the charge controller's load terminals, which the selector does not interrupt).
A position feeds `nothing`, `bank`, `controller` or `both`. The controller's own limit and cut-off are
its caller's to judge: pass controller_output_on.
"""

FEEDS = ("bank", "fuse_block", "controller_output")
POSITION_FEEDS = ("nothing", "bank", "controller", "both")


def _check(feed, selector_feeds):
    if feed not in FEEDS:
        raise ValueError(f"Feed {feed!r} is not known; use one of {', '.join(FEEDS)}.")
    if selector_feeds not in POSITION_FEEDS:
        raise ValueError(
            f"A selector that feeds {selector_feeds!r} is not known; use one of {', '.join(POSITION_FEEDS)}."
        )


def is_live(feed: str, selector_feeds: str = "bank", controller_output_on: bool = True) -> bool:
    """Whether a circuit on this feed has power while the selector feeds that.

    Parameters
        feed: bank, fuse_block or controller_output.
        selector_feeds: nothing, bank, controller or both.
        controller_output_on: false when the controller has cut its load terminals off.
    Raises
        ValueError: an unknown word.
    Notes
        "Off" never means that the trailer is dead: what is wired straight to a post stays live, so it is
        switched off at the appliance or its fuse.
    Source
        Common practice, no source.
    """
    _check(feed, selector_feeds)
    if feed == "bank":
        return True
    if feed == "controller_output":
        return controller_output_on
    if selector_feeds == "controller":
        return controller_output_on
    return selector_feeds != "nothing"


def live_circuits(feeds: list, selector_feeds: str, controller_output_on: bool = True) -> list:
    """is_live for each feed of a list."""
    return [is_live(feed, selector_feeds, controller_output_on) for feed in feeds]


def drains_bank(feed: str, selector_feeds: str = "bank", controller_output_on: bool = True) -> bool:
    """Whether a load left on takes its energy from the bank when there is no sun.

    Every live feed does: the controller's output is itself fed from the bank, runs day and night, and
    stops only at the controller's own cut-off, which may be disabled or set for another chemistry.
    """
    return is_live(feed, selector_feeds, controller_output_on)


def caution(selector_feeds: str):
    """Code of the caution that a position calls for, or None.

    `both` may join the controller's output to the battery: charge can then flow where it should not.
    """
    _check("bank", selector_feeds)
    return "selector_bridges_controller" if selector_feeds == "both" else None


def position_spans(question: dict) -> list:
    """When the selector stood where: ascending [(from_s, selector_feeds)] over all time.

    Before the first record, and without any, the selector stands on its first position that feeds the
    bank (else its first one). Without a selector everything is fed from the bank.
    """
    selector = question.get("selector") or {}
    positions = selector.get("positions") or []
    if not positions:
        return [(-1e18, "bank")]
    by_name = {}
    usual = None
    for position in positions:
        by_name[position["name"]] = position["feeds"]
        if usual is None and position["feeds"] in ("bank", "both"):
            usual = position["feeds"]
    spans = [(-1e18, usual or positions[0]["feeds"])]
    moves = []
    for record in question.get("positions") or []:
        if record["position"] not in by_name:
            known = ", ".join([position["name"] for position in positions])
            raise ValueError(f"The selector has no position {record['position']!r}; it has {known}.")
        moves.append((record["at"], str(record.get("id") or ""), by_name[record["position"]]))
    moves.sort()
    for at, _, feeds in moves:
        spans.append((at, feeds))
    return spans


def feeds_at(spans: list, t_s: float) -> str:
    """What the selector feeds at a moment, from position_spans."""
    feeds = spans[0][1]
    for from_s, now in spans:
        if from_s > t_s:
            break
        feeds = now
    return feeds

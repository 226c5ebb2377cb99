"""An answer as a person wants to read it in a terminal: the range first, then why, then what the log taught."""
import textwrap

from daybank.rules_of_thumb import bank_in_service, trip_in_force
from daybank.words import Words, printable

WIDTH = 100
LABEL = 30
LEARNED = ("capacity_ah", "draw_factor", "harvest_factor", "standby_a", "gauge_offset_v", "connection_mohm")
DAWNS = 7  # a longer table says less; --json holds them all
DAY_S = 86400.0


def text(answer: dict, question: dict, words: Words) -> str:
    """The whole report, ready to print.

    Parameters
        answer: as forecast.answer gives it. question: what it answers. words: the table, in the rig's time zone.
    """
    lines = [words.say("terminal.asked", rig=question["rig"]["name"], at=answer["asked_at"]), ""]
    lines += _headline(answer, question, words)
    lines += _dawns(answer, words)
    lines += _listed("terminal.why", [words.say(b["code"], **b["args"]) for b in answer["because"]], words)
    lines += _listed("terminal.care", [words.say(code) for code in answer["cautions"]], words)
    learned = [(key, answer["learned"][key]) for key in LEARNED if key in answer["learned"]]
    lines += _listed("terminal.learned", [words.say(f"terminal.learned.{key}", **q) for key, q in learned], words)
    lines += ["", *textwrap.wrap(words.say("terminal.made", members=answer["members"]), WIDTH)]
    return "\n".join(lines)


def range_text(days: dict, horizon_days: float, words: Words) -> str:
    """A range of days in words, saying plainly where it runs beyond the horizon."""
    given = {"horizon": horizon_days, "share": days.get("beyond_horizon", 0.0), **days}
    if days["p90"] <= 0.0:
        return words.say("terminal.range_now", **given)
    if days["p10"] >= horizon_days:
        return words.say("terminal.range_all_open", **given)
    if days["p50"] >= horizon_days:
        return words.say("terminal.range_most_open", **given)
    if days["p90"] >= horizon_days:
        return words.say("terminal.range_open" if "beyond_horizon" in days else "terminal.range_unsaid", **given)
    return words.say("terminal.range", **given)


def _headline(answer: dict, question: dict, words: Words) -> list:
    horizon = answer["horizon_days"]
    days = answer["days_left"]
    lines = [_row(words.say("terminal.left", floor=_floor(question)), range_text(days, horizon, words))]
    if 0.0 < days["p50"] < horizon:
        lines.append(_row("", words.say("terminal.until", at=answer["asked_at"] + days["p50"] * DAY_S)))
    end = words.say("terminal.end_none")
    if answer["reaches_trip_end"] is not None:
        end = words.say("terminal.end_at", share=answer["reaches_trip_end"], at=_trip_end(question))
    lines.append(_row(words.say("terminal.end"), end))
    lines.append(_row(words.say("terminal.dark"), range_text(answer["days_left_without_sun"], horizon, words)))
    cutoff = answer["first_cutoff"]
    stop = words.say("terminal.cutoff_none", horizon=horizon)
    if cutoff:
        stop = words.say(
            "terminal.cutoff_at", circuit=_circuit(question, cutoff["circuit_id"]), share=cutoff["share"],
            range=range_text(cutoff["days"], horizon, words),
        )
    lines.append(_row(words.say("terminal.cutoff"), stop))
    limit, _, circuit_id = answer["limit"].partition(":")
    what = words.say(f"terminal.limit.{limit}", circuit=_circuit(question, circuit_id), horizon=horizon)
    lines.append(_row(words.say("terminal.limit"), what))
    lines.append(_row(words.say("terminal.charge"), words.say("terminal.charge_is", **answer["state_of_charge"])))
    return lines


def _dawns(answer: dict, words: Words) -> list:
    if not answer["nights"]:
        return []
    lines = ["", _row(words.say("terminal.dawns"), words.say("terminal.dawn_columns"))]
    for night in answer["nights"][:DAWNS]:
        soc = night["dawn_soc"]
        shares = "".join(f"{100 * soc[key]:4.0f} %   " for key in ("p10", "p50", "p90")).rstrip()
        day = words.say("terminal.dawn_day", at=night["at"]) if "at" in night else night["day"]
        lines.append(_row(f"  {day}", shares))
    return lines


def _listed(title: str, sentences: list, words: Words) -> list:
    if not sentences:
        return []
    lines = ["", words.say(title)]
    for sentence in sentences:
        lines += textwrap.wrap(sentence, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    return lines


def _row(label: str, value: str) -> str:
    return f"{label:<{LABEL}}{value}".rstrip()


def _floor(question: dict) -> float:
    return bank_in_service(question)["floor_soc"]


def _trip_end(question: dict) -> float:
    trip = trip_in_force(question)
    return trip["ends_at"] if trip else question["asked_at"]


def _circuit(question: dict, circuit_id: str) -> str:
    for circuit in question["circuits"]:
        if circuit["id"] == circuit_id:
            return printable(circuit.get("name", circuit_id))
    return printable(circuit_id)

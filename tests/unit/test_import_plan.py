"""import_plan.py: what a file would change, what stays, and how it is said."""
from daybank import import_plan
from daybank.change_log import Held, Row

HELD = [Held("circuit", "lamp", {"name": "lamp", "draw_a": 1.0, "typed": {"draw_a": "1 A"}}, "0"),
        Held("reading", "a", {"at": "noon", "volts": 12.5}, "1"),
        Held("reading", "gone", {"at": "dusk", "volts": 12.1, "deleted": True}, "2")]


def test_rows_are_new_equal_different_or_deleted_here():
    rows = [Row("reading", "b", {"at": "dawn"}), Row("reading", "a", {"at": "noon", "volts": 12.5}),
            Row("circuit", "lamp", {"name": "lamp", "draw_a": 2.0}),
            Row("reading", "gone", {"at": "dusk", "volts": 12.0})]
    plan = import_plan.compare(rows, HELD)
    assert plan.adds == [rows[0]] and plan.same == 1
    assert plan.differs == [(rows[2], {"draw_a": 2.0, "typed": None})]
    assert plan.deleted == [(rows[3], {"volts": 12.0, "deleted": False})]


def test_what_was_typed_stays_beside_a_value_that_stays():
    same = import_plan.compare([Row("circuit", "lamp", {"name": "lamp", "draw_a": 1})], HELD)
    assert (same.same, same.differs) == (1, [])
    renamed = import_plan.compare([Row("circuit", "lamp", {"name": "porch lamp", "draw_a": 1})], HELD)
    assert renamed.differs[0][1] == {"name": "porch lamp"}


def test_a_field_that_a_whole_file_lacks_goes_and_one_that_a_part_lacks_stays():
    row = Row("reading", "a", {"at": "noon"})
    assert import_plan.compare([row], HELD).differs == [(row, {"volts": None})]
    assert import_plan.compare([row], HELD, partial=True).same == 1


def test_only_what_is_new_is_written_unless_told_to_update():
    rows = [Row("reading", "b", {"at": "dawn"}), Row("reading", "a", {"at": "noon", "volts": 12.6}),
            Row("reading", "gone", {"at": "dusk", "volts": 12.1})]
    plan = import_plan.compare(rows, HELD)
    assert import_plan.writes(plan, update=False) == rows[:1]
    assert import_plan.writes(plan, update=True) == [
        rows[0], Row("reading", "a", {"volts": 12.6}), Row("reading", "gone", {"deleted": False})]


def test_a_record_without_an_id_is_known_by_what_it_says():
    assert import_plan.already_here(Row("reading", "", {"volts": 12.5, "at": "noon"}), HELD)
    assert not import_plan.already_here(Row("reading", "", {"volts": 12.1, "at": "dusk"}), HELD)  # deleted
    assert not import_plan.already_here(Row("use", "", {"volts": 12.5, "at": "noon"}), HELD)


def test_the_plan_is_said_line_by_line_and_counted():
    rows = [Row("reading", "b", {"at": "dawn", "volts": 12.4, "state": "rested"}),
            Row("circuit", "lamp", {"name": "lamp", "draw_a": 2})]
    plan = import_plan.compare(rows, HELD, refused=[("line 7", "volts: 126 V was given")])
    assert import_plan.lines(plan, update=False) == [
        "adds     reading dawn 12.4 rested",
        "differs  circuit lamp: draw_a = 2, typed = nothing  (kept as it is here)",
        "refuses  line 7: volts: 126 V was given",
        "Records: 1 to add, 0 here already, 1 different here, 1 refused."]
    assert "changes  circuit lamp: draw_a = 2, typed = nothing" in import_plan.lines(plan, update=True)


def test_a_long_plan_is_cut_and_says_so():
    plan = import_plan.compare([Row("reading", str(n), {"at": "noon"}) for n in range(100)], [])
    said = import_plan.lines(plan, update=False)
    assert len(said) == 42 and said[-2] == "... and 60 more that would be added"


def test_text_of_a_file_moves_no_cursor():
    plan = import_plan.compare([Row("circuit", "x", {"name": "lamp\x1b[2J"})], [])
    assert "\x1b" not in import_plan.lines(plan, update=False)[0]

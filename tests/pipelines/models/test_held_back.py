"""Rows that cannot be placed wait, and say for what."""

from datetime import date


def test_rows_of_an_unknown_farm_wait_and_are_named_once_a_file(world):
    world.register("F1")
    world.scores("F9", {"ewe": "1"}, {"ewe": "2"}, file="nine.csv")
    world.build()
    ((line, column, severity, value, message),) = world.table(
        "import_problem", '"line", "column", severity, value, message', "code = 'unknown_farm'"
    )
    assert (line, column, severity, value) == (2, "farm", "error", "F9")
    assert "2 rows wait" in message and "Import a register with this farm" in message
    assert world.table("session_summary") == []


def test_held_back_rows_count_as_refused(world):
    number = world.scores("F9", {"ewe": "1"}, {"ewe": "2"}, file="nine.csv")
    world.connection.execute(
        "update source_file set rows_read = 5, rows_refused = 3 where file_id = ?", [number]
    )
    world.build()
    rows = world.table("import_file", "status, rows_read, rows_accepted, rows_refused, rows_waiting")
    assert rows == [("imported_with_problems", 5, 0, 5, 2)]


def test_a_register_that_comes_later_lets_them_in(world):
    world.scores("F9", {"ewe": "1"}, file="nine.csv")
    world.build()
    world.register("F9")
    world.build(["F9"])
    assert world.table("import_problem") == []
    assert world.table("session_summary", "distinct farm") == ["F9"]
    assert world.table("import_file", "rows_accepted", "file = 'nine.csv'") == [1]


def test_a_wide_row_that_waits_counts_as_one_row(world):
    number = world.file("wide.csv", rows_read=1, rows_accepted=1)
    for score in (2.0, 3.0):
        world.connection.execute(
            'insert into score_row (file_id, line, farm, scored_on, "group", score, count) '
            "values (?, 2, 'F9', ?, 'A', ?, 4)",
            [number, date(2026, 8, 15), score],
        )
    world.build()
    assert world.table("import_file", "rows_accepted, rows_refused") == [(0, 1)]

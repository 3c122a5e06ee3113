"""The diary as spreadsheets leave it."""

from datetime import date, time

import pytest

from coachlib.files.roster.diarytext import COLUMNS, read_diary

PLAIN = """date,start,rpe,talk,temperature_c,health,remarks
2026-10-05,17:30,3.5,comfortable,12.5,ok,"easy, with Jürg"

2026-10-06,,,,,tired,
"""


def test_an_empty_cell_is_unknown():
    first, second = read_diary(PLAIN.encode(), "diary.csv").rows
    assert (first.on, first.start, first.rpe, first.temperature_c) == (
        date(2026, 10, 5),
        time(17, 30),
        3.5,
        12.5,
    )
    assert first.remarks == "easy, with Jürg"
    assert second.model_dump(exclude_none=True) == {"on": date(2026, 10, 6), "health": "tired"}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_every_spreadsheets_export_says_the_same(encoding, newline, sign):
    text = PLAIN if sign == "," else PLAIN.replace(",", sign).replace(f"easy{sign} with", "easy, with")
    text = text.replace("3.5", "3,5").replace("12.5", "12,5") if sign != "," else text
    data = text.replace("\n", newline).encode(encoding)
    assert read_diary(data, "diary.csv") == read_diary(PLAIN.encode(), "diary.csv")


def test_all_columns_are_known():
    read = read_diary((",".join(COLUMNS) + "\n2026-10-05" + "," * (len(COLUMNS) - 1)).encode(), "diary.csv")
    assert (len(read.rows), read.problems) == (1, ())


def test_a_remark_may_hold_several_lines():
    text = 'date,remarks\n2026-10-05,"one\ntwo"\n2026-10-06,\n2026-10-xx,\n'
    read = read_diary(text.encode(), "diary.csv of mira")
    assert [row.remarks for row in read.rows] == ["one\ntwo", None]
    assert read.problems == (
        'diary.csv of mira, line 5: column `date` is "2026-10-xx"; '
        "allowed: a day such as 2026-10-05, from 1990 to 2100",
    )


def test_good_rows_stand_beside_bad_ones():
    text = "date,rpe,talk\n2026-10-05,11,loud\n2026-10-06,3,not\n5.10.2026,3,\n,3,\n"
    read = read_diary(text.encode(), "diary.csv")
    assert [row.on for row in read.rows] == [date(2026, 10, 6)]
    assert read.problems == (
        'diary.csv, line 2: column `rpe` is "11"; allowed: a number from 0 to 10 (CR-10)',
        'diary.csv, line 2: column `talk` is "loud"; allowed: "comfortable", "equivocal" or "not"',
        'diary.csv, line 4: column `date` is "5.10.2026"; '
        "allowed: a day such as 2026-10-05, from 1990 to 2100; for days such as 05.10.2026 "
        "write day_first = true (5 October) or false in roster.toml",
        "diary.csv, line 5: column `date` is missing; needed: a day such as 2026-10-05, from 1990 to 2100",
    )


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("date,rpm\n", "line 1: column `rpm` is not known and left out; did you mean `rpe`?"),
        (
            "day,rpe\n",
            "line 1: there is no column `date`; the first line names the columns, known are `date`,",
        ),
        ("date,rpe,rpe\n", "line 1: column `rpe` stands there 2 times; keep one"),
        ("date,remarks\n2026-10-05,so, so\n", "line 2: 3 cells, but the heading names 2 columns; put a text"),
        ('date,remarks\n2026-10-05,"so\n', "line 2: no table can be read from here on"),
    ],
)
def test_a_table_that_is_none_is_told_with_its_line(text, problem):
    (found,) = read_diary(text.encode(), "diary.csv").problems
    assert found.startswith(f"diary.csv, {problem}")


@pytest.mark.parametrize("text", ["", "\n\n", "date,rpe\n", "date;rpe;;\n"])
def test_an_empty_diary_is_no_problem(text):
    read = read_diary(text.encode(), "diary.csv")
    assert (read.rows, read.problems) == ((), ())

from datetime import date
from types import SimpleNamespace

import pytest

from coachlib.analysis.remarks.open_red_flags import open_red_flags
from coachlib.analysis.remarks.open_remarks import about_health, asks, remarks_of
from coachlib.records.diary import DiaryRow

SUNDAY = date(2026, 11, 22)


@pytest.mark.parametrize(
    "text", ["Test soon?", "can I do more", "Darf ich laufen. Bin fit", "¿Puedo correr?", "Est-ce que je peux", "Posso correre"]
)  # fmt: skip
def test_questions_are_seen_with_and_without_their_sign(text):
    assert asks(text)


@pytest.mark.parametrize(
    "text", ["Could talk all the time.", "When it rained I ran.", "Wie immer.", "Come sempre."]
)
def test_statements_do_not_ask(text):
    assert not asks(text)


@pytest.mark.parametrize(
    "text",
    [
        "Knee a little thick tonight.",
        "Fieber am Abend",
        "mal à la gorge",
        "me duele la rodilla",
        "ho la febbre",
        "Dizzy.",
        "Blister again, left hand.",
        "Wade gezerrt",
        "new tablets from the doctor",
    ],
)
def test_health_is_seen(text):
    assert about_health(text)


@pytest.mark.parametrize(
    "text", ["Rain sideways.", "Cake stop is back.", "All four the same.", "Schöne Runde"]
)
def test_weather_and_cake_are_not_health(text):
    assert not about_health(text)


def test_on_a_day_marked_as_ill_every_remark_is_about_health():
    ill, well = (DiaryRow(on=SUNDAY, health=h, remarks="Stayed in.") for h in ("ill", "ok"))
    assert [r.is_open for r in remarks_of([ill, well])] == [True, False]


def settled(remark_on, on):
    return SimpleNamespace(remark_on=remark_on, on=on)


ROWS = [
    DiaryRow(on=date(2026, 9, 1), remarks="Chest pain on the hill."),
    DiaryRow(on=date(2026, 11, 18), remarks="Dizzy on the stairs. Palpitations in bed."),
    DiaryRow(on=date(2026, 11, 20), remarks="Fine."),
    DiaryRow(on=date(2026, 11, 21)),
    DiaryRow(on=date(2026, 11, 25), remarks="Fainted."),
]


def test_a_red_flag_stays_open_for_later_weeks_until_it_is_settled():
    assert [(f.on.day, f.kind) for f in open_red_flags(ROWS, [], SUNDAY)] == [
        (1, "now"), (18, "physician first"), (18, "physician first"),
    ]  # fmt: skip
    seen_to = [settled(date(2026, 9, 1), date(2026, 9, 3))]
    assert {f.on.day for f in open_red_flags(ROWS, seen_to, SUNDAY)} == {18}


def test_a_settlement_made_after_the_week_counts_and_one_made_before_the_remark_does_not():
    day = date(2026, 11, 18)
    assert all(f.on != day for f in open_red_flags(ROWS, [settled(day, date(2026, 11, 24))], SUNDAY))
    assert any(f.on == day for f in open_red_flags(ROWS, [settled(day, date(2026, 11, 17))], SUNDAY))


def test_another_remark_opens_anew():
    again = [*ROWS, DiaryRow(on=date(2026, 11, 19), remarks="Dizzy again.")]
    seen_to = [settled(date(2026, 11, 18), date(2026, 11, 18)), settled(date(2026, 9, 1), SUNDAY)]
    assert [f.on.day for f in open_red_flags(again, seen_to, SUNDAY)] == [19]

"""Four weeks by minutes and by session goal, and whether easy was easy."""

import re
from dataclasses import replace

import pytest
from report.season_drawn import hours, ordinary, plain, season, week
from season_parts import day, session

from coachlib.measures.week.distribution import polarization_index
from coachlib.report.letter.intensity_view import distribution_figure, easy_words, pattern


def last_weeks(n_easy, n_hard, *, easy=(1.0, 0.0, 0.0), hard=(0.3, 0.2, 0.5)):
    """Sessions of the last four weeks, easy ones first."""
    kinds = ["easy"] * n_easy + ["intervals"] * n_hard
    shares = {"easy": hours(*easy), "intervals": hours(*hard)}
    return [session(day(12 + i % 4, i // 4), kind=kind, domains=shares[kind]) for i, kind in enumerate(kinds)]


def said(figure):
    return re.findall(r"<text[^>]*>([^<]*)</text>", figure)


def test_both_ways_of_counting_stand_one_above_the_other():
    figure = plain(distribution_figure(season(last_weeks(12, 4))))
    # 12 h easy and 4 h of 0.3, 0.2, 0.5: 13.2, 0.8 and 2.0 of 16 h
    assert said(figure) == [
        "minutes: 82 % below, 5 % between, 12 % above",
        "sessions: 75 % easy, 25 % hard",
    ]
    assert "In four weeks 75 % of the sessions were meant easy; 82 % of the minutes were" in figure
    assert "by minutes and by what 16 sessions were for; the literature calls both polarized." in figure


def test_easy_days_that_were_not_easy_are_told_apart():
    figure = plain(distribution_figure(season(last_weeks(14, 2, easy=(0.45, 0.55, 0.0)))))
    assert "88 % of the sessions were meant easy; only 43 % of the minutes were" in figure
    assert "the literature calls the minutes threshold and the sessions polarized" in figure


def test_nothing_to_tell_apart_is_not_drawn():
    assert distribution_figure(season(last_weeks(16, 0, easy=(0.98, 0.02, 0.0)))) is None
    assert distribution_figure(season(last_weeks(3, 2))) is None
    assert distribution_figure(season()) is None


def test_with_one_threshold_there_are_two_parts_and_no_name():
    halves = [replace(s, domains=replace(s.domains, below_s=1800.0, between_s=1800.0)) for s in ordinary()]
    figure = plain(distribution_figure(season(halves)))
    assert said(figure)[0] == "minutes: 50 % below, 50 % above"
    assert "literature" not in figure


@pytest.mark.parametrize(
    ("shares", "name"),
    [
        # Seiler & Kjerland (2006), Scand J Med Sci Sports 16:49-56, session goals of junior skiers (from memory)
        ((0.75, 0.08, 0.17), "polarized"),
        ((0.80, 0.15, 0.05), "pyramidal"),
        ((0.30, 0.60, 0.10), "threshold"),
        ((0.90, 0.05, 0.05), ""),
        ((0.80, 0.11, 0.09), ""),
        ((0.98, 0.01, 0.01), ""),
        ((0.10, 0.30, 0.60), ""),
    ],
)
def test_a_pattern_is_named_only_where_it_does_not_hang_on_little(shares, name):
    assert pattern(*shares, least_gap_frac=0.03) == name


def test_polarized_needs_the_index_too():
    shares = (0.50, 0.23, 0.27)
    assert polarization_index(*shares) < 2.0
    assert pattern(*shares, least_gap_frac=0.03) == ""


def test_one_session_does_not_make_a_pattern():
    """Eleven easy, two of neither kind, three hard: one session more or less turns the order."""
    sessions = [*last_weeks(11, 3), *(session(day(12 + i, 6), kind="drift test") for i in range(2))]
    figure = plain(distribution_figure(season(sessions)))
    assert said(figure)[1] == "sessions: 69 % easy, 12 % neither, 19 % hard"
    assert "the sessions" not in figure.partition("literature")[2]


def test_easy_days_that_were_easy_are_a_sentence():
    sentence, figure = easy_words(week(ordinary()), season(ordinary()), is_told=False)
    assert figure == ""
    assert sentence == (
        "Easy days were easy: this week 120 of 120 min, over four weeks 480 of 480 min at or below your first threshold."
    )
    sentence, _ = easy_words(week(ordinary()), season(ordinary()), is_told=True)
    assert sentence == (
        "Easy days were also easy: over four weeks 480 of 480 min at or below your first threshold."
    )
    assert easy_words(week(ordinary()), None, is_told=True) == ("", "")


@pytest.mark.parametrize(
    ("rates", "title"),
    [
        ((160, 160), "Easy days were not easy, this week and over four weeks"),
        ((150, 150), "Whether easy days were easy we cannot tell, this week and over four weeks"),
        ((160, 140), "Were easy days easy? This week: not easy; over four weeks: easy"),
    ],
)
def test_easy_days_that_were_not_or_are_open_are_a_figure(rates, title):
    """The threshold is 150 bpm, known to 3 bpm either way."""
    now, before = rates
    earlier = [session(day(w, at), hr=before) for w in (12, 13, 14) for at in (1, 3, 4)]
    sessions = [*earlier, session(day(15, 1), hr=now), session(day(15, 4), hr=now)]
    sentence, figure = easy_words(week(sessions), season(sessions), is_told=True)
    assert sentence == ""
    assert f"<h3>{title}</h3>" in figure
    rows = said(figure)
    assert "80 % wanted" in rows
    assert [r for r in rows if r.startswith("this week: ")]
    assert [r for r in rows if r.startswith("four weeks: ")]


def test_the_figure_writes_minutes_verdict_and_how_far_they_may_be_out():
    sessions = [session(day(15, at), hr=150) for at in (1, 4)]
    _, figure = easy_words(week(sessions), None, is_told=True)
    easy = week(sessions).easy
    assert f"this week: {easy.below:.0f} of {easy.minutes:.0f} min, we cannot tell" in said(figure)
    low, high = (100 * x for x in (easy.share.share_low_frac, easy.share.share_high_frac))
    assert f"{low:.0f} to {high:.0f} %" in plain(figure)
    assert "<h3>Whether easy days were easy we cannot tell this week</h3>" in figure

"""The next test of a series, for the coach: settings, what they should give, what it would do, when."""

from collections.abc import Sequence

from coachlib.analysis.first_threshold.fit_to_test import instead_of_test
from coachlib.analysis.first_threshold.series import Series
from coachlib.measures.common.codes import Code
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence, whole
from coachlib.report.words.machine_words import grid_of, kind_of


def next_test(series: Series, *, against: Sequence[Code] = ()) -> Html:
    """The next test: settings, the heart rate they should give, what it would do, when at the earliest.

    Parameters
    ----------
    series : Series
        The analysed series.
    against : sequence of Code
        What speaks against asking for a test now, see ``analysis.first_threshold.fit_to_test``: then what to do
        instead stands here.
    """
    if against:
        return Html(f'<section class="next"><h2>No test for now</h2>{not_now(against)}</section>')
    said = "".join(
        f"<p>{escape(words)}</p>"
        for words in (_rest(series), *(whole(c) for c in series.next_test.caveats), _machine(series))
        if words
    )
    return Html(
        f'<section class="next"><h2>The next test</h2><p><strong>{escape(_what(series))}</strong> '
        f"{escape(_aim(series))} {escape(_width(series))}</p>{said}</section>"
    )


def not_now(against: Sequence[Code]) -> str:
    """Why no test is asked for now, and what to do instead."""
    why = "".join(f"<li>{escape(whole(c))}</li>" for c in against)
    instead = "".join(f"<p><strong>{escape(whole(c))}</strong></p>" for c in instead_of_test(against))
    return f"<ul>{why}</ul>{instead}"


def next_settings(series: Series) -> str:
    """Settings with the heart rate they should give and its 90 % range, or the heart rate to hold outdoors."""
    plan = series.next_test
    s = plan.settings
    if s is None:
        return f"hold a first half of about {wording.heart_rate(plan.target_bpm)}"
    said = wording.setting(speed_mps=s.speed_mps, grade=s.grade, power_w=s.power_w)
    if s.predicted_bpm is None or s.predicted_high_bpm is None:
        return said
    return f"{said}, expected {s.predicted_bpm:.0f} ± {wording.heart_rate(s.predicted_high_bpm - s.predicted_bpm)}"


def _what(series: Series) -> str:
    """The one thing to do."""
    plan, settings = series.next_test, next_settings(series)
    if not plan.enough:
        return f"{settings[:1].upper()}{settings[1:]}."
    return (
        "Enough: another test would narrow the 90 % interval by less than 1 bpm, from "
        f"{plan.width_now_bpm:.0f} to {plan.width_after_bpm:.0f} bpm. To check it later: {settings}."
    )


def _aim(series: Series) -> str:
    """The heart rate that is aimed at, and why."""
    plan = series.next_test
    return (
        f"The aim, {wording.heart_rate(plan.target_bpm)} in the first half, is {sentence(plan.target_from)}."
    )


def _width(series: Series) -> str:
    """What the result would do to the interval; nothing where that was said already."""
    plan = series.next_test
    if plan.enough or series.threshold.is_unresolved:
        return ""
    return (
        f"The 90 % interval is {plan.width_now_bpm:.0f} bpm wide now and should be about "
        f"{plan.width_after_bpm:.0f} after it."
    )


def _rest(series: Series) -> str:
    return f"Not before {wording.full_date(series.next_not_before)}. {whole(series.next_test.rest_from)}"


def _machine(series: Series) -> str:
    """Whose settings the next test is chosen from."""
    machine = series.machine
    if machine is None:
        return ""
    kind = kind_of(machine)
    if series.machine_is_usual:
        return (
            f"Nothing is noted about the athlete's own {kind}, so the settings are those of a usual one: "
            f"{grid_of(machine)}."
        )
    return f"The settings are ones the {kind} has: {grid_of(machine)}."

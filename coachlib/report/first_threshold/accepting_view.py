"""A first threshold as it would be accepted, what that does to the last weeks, and what is accepted already."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coachlib.analysis.first_threshold.series import Series
from coachlib.analysis.recording.domains import DomainTime
from coachlib.records.athlete import Athlete, Threshold
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording


@dataclass(frozen=True, kw_only=True)
class Rejudged:
    """One session's time below, between and above, by the thresholds of its day and by the new ones."""

    on: date
    kind: str
    then: DomainTime | None
    now: DomainTime


def proposal(series: Series, *, on: date) -> Threshold:
    """The threshold as it would be accepted: the best guess, or the end that the tests hold.

    Parameters
    ----------
    series : Series
        The analysed series.
    on : date
        From when it shall hold.

    Source
    ------
    This project's own choice: where the tests hold one end only, that end is the value and the other end
    stays open.
    """
    found = series.threshold
    low = None if found.bounded == "above" else float(round(found.hr_low_bpm))
    high = None if found.bounded == "below" else float(round(found.hr_high_bpm))
    value = {"both": round(found.hr_bpm), "below": low, "above": high}[found.bounded]
    out = series.output if found.bounded == "both" else None
    typed = sum(t.test.typed for t in series.tests)
    note = {"both": "", "below": "at least", "above": "at most"}[found.bounded]
    if typed:
        note = f"{note}; {wording.count(typed, 'typed test')} counted".lstrip("; ")
    if found.criterion_pct != 5.0:
        note = f"{note}; criterion {found.criterion_pct:g} %".lstrip("; ")
    return Threshold(
        which="first",
        on=on,
        hr_bpm=float(value or found.hr_bpm),
        hr_low_bpm=low,
        hr_high_bpm=high,
        speed_mps=round(out.value * 36) / 36 if out is not None and out.unit == "m/s" else None,
        grade=out.grade if out is not None else None,
        power_w=float(round(out.value)) if out is not None and out.unit == "W" else None,
        method=found.method,
        tests=tuple(t.test.sha256 for t in series.tests if t.test.sha256),
        note=note,
    )


def rejudged(sessions: Sequence[Rejudged], *, new: Threshold) -> Html:
    """The last weeks by the thresholds of their days, and as they would look with the new one."""
    if not sessions:
        return Html("")
    judged = [s for s in sessions if s.then is not None]
    rows = [(wording.short_date(s.on), s.kind, _split(s.then), _split(s.now)) for s in sessions]
    told = table(
        ("Session", "Kind", "as judged then", "with the new one"),
        rows,
        caption="Minutes below / between / above the thresholds",
    )
    now = sum(s.now.below_s for s in sessions) / max(sum(s.now.total_s for s in sessions), 1.0)
    title = f"With {wording.heart_rate(new.hr_bpm)}, {wording.percent(now)} of the last weeks lay below the first threshold"
    if judged:
        then = sum(s.then.below_s for s in judged if s.then) / max(
            sum(s.then.total_s for s in judged if s.then), 1.0
        )
        title += f"; by the thresholds of those days it was {wording.percent(then)}"
    return Html(
        f"<h2>How the last weeks would look</h2><p>{escape(title)}. Earlier sessions keep the thresholds of their day; "
        f"only later ones are judged by a newly accepted one.</p>"
        f"<details><summary>Session by session</summary>{told}</details>"
    )


def _split(time: DomainTime | None) -> str:
    if time is None:
        return "not judged"
    parts = [time.below_s, time.between_s] + ([time.above_s] if time.above_s is not None else [])
    return " / ".join(f"{s / 60:.0f}" for s in parts)


def standing_thresholds(athlete: Athlete, which: str) -> Html:
    """The thresholds accepted so far, with those withdrawn marked."""
    found = sorted((t for t in athlete.thresholds if t.which == which), key=lambda t: t.on)
    if not found:
        return Html(f"<h2>Accepted so far</h2><p>No {which} threshold is accepted yet.</p>")
    rows = [
        (
            wording.full_date(t.on),
            wording.threshold(t) + (f", {t.note}" if t.note else ""),
            t.method,
            str(len(t.tests)) if t.tests else "",
            "withdrawn" if t.withdrawn else "stands",
        )
        for t in found
    ]
    head = ("From", "Threshold", "Method", "Tests", "")
    return Html(
        f"<h2>Accepted so far</h2>{table(head, rows, caption='Each holds from its day until the next')}"
    )

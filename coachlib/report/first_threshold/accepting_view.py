"""Accepting a first threshold: what speaks against it, what it does to the last weeks, what is accepted already."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coachlib.analysis.first_threshold.accepting import Proposal
from coachlib.analysis.recording.domains import DomainTime
from coachlib.records.athlete import Athlete, Threshold
from coachlib.report.first_threshold.threshold_view import standing_words
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence, whole


@dataclass(frozen=True, kw_only=True)
class Rejudged:
    """One session's time below, between and above, by the thresholds of its day and by the new ones."""

    on: date
    kind: str
    then: DomainTime | None
    now: DomainTime


def acceptance(proposed: Proposal) -> Html:
    """What can be accepted, and everything that speaks against it."""
    threshold, why = proposed.threshold, proposed.why
    if threshold is None:
        said = whole(why) if why is not None else ""
        return Html(f"<h2>To accept</h2><p>{escape(said)}</p>")
    named = f"{offered_words(proposed)}, from {wording.full_date(threshold.on)}"
    notes = f" ({'; '.join(sentence(n) for n in proposed.notes)})" if proposed.notes else ""
    said = f"{named}{notes}." + (f" {whole(why)}" if why is not None else "")
    if not proposed.doubts:
        return Html(f"<h2>To accept</h2><p>{escape(said)} Nothing known here speaks against it.</p>")
    items = "".join(f"<li>{escape(whole(d))}</li>" for d in proposed.doubts)
    return Html(
        f"<h2>To accept</h2><p>{escape(said)} <strong>Before you accept it:</strong></p><ul>{items}</ul>"
    )


def offered_words(proposed: Proposal) -> str:
    """What is offered: a value with its range, or the end that the tests hold; "" where nothing is."""
    threshold = proposed.threshold
    if threshold is None:
        return ""
    if not proposed.is_bound:
        return wording.threshold(threshold)
    side = "at least" if threshold.hr_high_bpm is None else "at most"
    return f"{side} {wording.heart_rate(threshold.hr_bpm)}"


def note_of(proposed: Proposal) -> str:
    """What is noted with the accepted threshold in the athlete's file."""
    return "; ".join(sentence(n) for n in proposed.notes)


def rejudged(sessions: Sequence[Rejudged], *, new: Threshold | None) -> Html:
    """The last weeks by the thresholds of their days, and as they would look with the new one."""
    if not sessions or new is None:
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
            standing_words(t) + (f", {t.note}" if t.note else ""),
            t.method,
            str(len(t.tests)) if t.tests else "",
            "withdrawn" if t.withdrawn else "stands",
        )
        for t in found
    ]
    head = ("From", "Threshold", "Method", "Tests", "Now")
    return Html(
        f"<h2>Accepted so far</h2>{table(head, rows, caption='Each holds from its day until the next')}"
    )


def no_test_yet(athlete: Athlete) -> Html:
    """What to do where there is no drift test."""
    return Html(
        f'<header class="head"><h2>{escape(athlete.name)}: no drift test yet</h2></header>'
        "<p>Ask for one: an hour at one setting, easy enough to talk, after a warm-up. Mark the "
        "recording as a drift test on its page. Until then an estimate from elsewhere can be accepted below, with its "
        "interval and where it is from.</p>"
    )

"""The week day by day: one row a session, in the numbers of the trade and the athlete's own words."""

from collections.abc import Sequence

from coachlib.analysis.plan.done import WeekCheck, planned_against_done
from coachlib.analysis.recording.domains import DomainTime
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.week import WeekResult
from coachlib.measures.common.codes import Code, code
from coachlib.records.diary import DiaryRow
from coachlib.report.letter import sentences
from coachlib.report.look.markdown import words_html
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.words.sports import sport_in_words

#: Kinds whose drift has a figure of its own in the letter.
TOLD_BY_FIGURE = frozenset({"drift test"})


def days(week: WeekResult) -> Html:
    """The week day by day, one row a session."""
    if not week.sessions and not week.unrecorded:
        return Html("")
    check = planned_against_done(week)
    entries = [(s.on, s.local_start.isoformat(), _day(s, check)) for s in week.sessions]
    entries += [(r.on, "", _unrecorded(week, r, check)) for r in week.unrecorded]
    rows = "".join(row for *_, row in sorted(entries, key=lambda e: e[:2]))
    said = "" if check.says is None else f"<p>{escape(whole(check.says))}</p>"
    return Html(f'<section><h2>Day by day</h2>{said}<ol class="days">{rows}</ol></section>')


def _day(session: JudgedRecording, check: WeekCheck) -> str:
    """One session: what it was meant to be, what it was, how hard it felt, in whose words."""
    facts = [wording.duration(session.moving_s)]
    if session.distance_m:
        facts.append(wording.distance(session.distance_m))
    if session.climb_m and session.climb_m >= 20:
        facts.append(f"{wording.height(session.climb_m)} up")
    if session.output is not None:
        facts.append(_output(session))
    if session.hr_mean_bpm:
        facts.append(wording.heart_rate(session.hr_mean_bpm))
    if sentences.tells_drift(session) and session.kind not in TOLD_BY_FIGURE:
        facts.append(sentences.drift_fact(session))
    meant = (
        session.planned or session.target or session.kind or sport_in_words(session.sport, session.sub_sport)
    )
    return (
        f'<li><div class="what"><span class="day">{wording.DAYS[session.on.weekday()]}</span> '
        f'<span class="meant">{escape(meant)}</span></div>'
        f'<div class="facts">{" ".join(f"<span>{escape(fact)}</span>" for fact in facts)}</div>{_bar(session.domains)}'
        f"{_differs(check.of(session))}{_cut(session)}{_felt(session.rpe, session.remarks)}</li>"
    )


def _differs(codes: Sequence[Code]) -> str:
    """How what was done differs from what was planned."""
    said = " ".join(escape(whole(c)) for c in codes)
    return f'<p class="small">{said}</p>' if said else ""


def _cut(session: JudgedRecording) -> str:
    """That the file is cut or damaged, or its device counted something else: the row's numbers are not the session's."""
    said = [whole(c) for c in session.caveats if c.name == "totals differ"]
    if not said and session.is_damaged:
        said = [whole(code("recording damaged", on=session.on, read_s=session.moving_s, n_sessions=1))]
    return f'<p class="small">{escape(said[0])}</p>' if said else ""


def _output(session: JudgedRecording) -> str:
    """Mean output the way the sport says it."""
    output = session.output
    if output is None:
        return ""
    if output.kind == "power":
        pace = session.pace
        beside = (
            ""
            if pace is None
            else f", {wording.speed(pace.mean, sport=session.sport, is_indoor=session.is_indoor)}"
        )
        return f"{output.mean:.0f} W{beside}"
    said = wording.speed(output.mean, sport=session.sport, is_indoor=session.is_indoor)
    return f"{said} on the flat" if output.kind == "flat-equivalent speed" else said


def _unrecorded(week: WeekResult, row: DiaryRow, check: WeekCheck) -> str:
    """A diary row without a recording: done without one, still ahead, a day of rest, or left out."""
    if week.is_ahead(row):
        facts = "still ahead"
    elif row.was_done or not row.is_planned:
        facts = f"{wording.duration(row.moving_s)}, no recording" if row.done_min else "no recording"
    else:
        facts = ""
    told = f'<div class="facts">{facts}</div>' if facts else ""
    return (
        f'<li><div class="what"><span class="day">{wording.DAYS[row.on.weekday()]}</span> '
        f'<span class="meant">{escape(row.planned or row.target or row.kind or "")}</span></div>'
        f"{told}{_differs(check.of(row))}{_felt(row.rpe, row.remarks)}</li>"
    )


def _felt(rpe: float | None, remarks: str | None) -> str:
    """RPE and the athlete's own words."""
    said = f'<span class="rpe">RPE {rpe:g}</span> ' if rpe is not None else ""
    if remarks:
        said += f"<q>{words_html(remarks)}</q>"
    return f'<div class="words">{said}</div>' if said else ""


def _bar(domains: DomainTime | None) -> str:
    """A thin bar of minutes below, between and above the thresholds, the minutes written beside it."""
    if domains is None or domains.total_s <= 0:
        return ""
    parts = [
        ("below", domains.below_s, 1),
        ("between", domains.between_s, 3),
        ("above", domains.above_s or 0.0, 5),
    ]
    if domains.above_s is None:
        parts = [("below", domains.below_s, 1), ("above", domains.between_s, 4)]
    shown = [(name, s, shade) for name, s, shade in parts if s >= 30]
    bars = "".join(
        f'<span class="part z{shade}" style="flex-grow:{max(s / domains.total_s, 0.02):.3f}"></span>'
        for _, s, shade in shown
    )
    unit = [" min", *[""] * len(shown)]
    said = ", ".join(f"{s / 60:.0f}{u} {name}" for u, (name, s, _) in zip(unit, shown, strict=False))
    return f'<div class="split"><div class="bar" aria-hidden="true">{bars}</div><span class="min">{said}</span></div>'

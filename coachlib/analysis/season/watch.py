"""What ordinary sessions say about the first threshold, sport by sport, since it was accepted."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.season.reading import SessionReading
from coachlib.analysis.season.reference import week_number
from coachlib.measures.common.codes import Code, code
from coachlib.measures.season.threshold_watch import ThresholdWatch, watch_threshold
from coachlib.records.athlete import Athlete
from coachlib.records.roster import RosterSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class SportWatch:
    """The watch of one sport; ``since_on`` is the first day of its first week, ``accepted_on`` that of the threshold."""

    sport: str
    since_on: date
    accepted_on: date | None
    watch: ThresholdWatch

    @property
    def says(self) -> Code | None:
        """What the sessions say about the accepted threshold; None where none was accepted.

        That they do not disagree is no confirmation.
        """
        watch, now = self.watch, self.watch.latest
        if watch.accepted_bpm is None:
            return None
        ends = {"low_bpm": now.hr_low_bpm, "high_bpm": now.hr_high_bpm}
        if now.disagrees:
            return code(
                "sessions disagree with threshold", accepted_bpm=watch.accepted_bpm, near_bpm=now.test_near_bpm,
                direction=now.disagrees, **ends,
            )  # fmt: skip
        taught = len(watch.weeks) - now.silent_weeks
        if watch.is_unchecked or taught <= 0:
            since = self.since_on + timedelta(days=7 * taught - 1) if taught > 0 else self.accepted_on
            return code("threshold not checked", since_on=since or self.since_on)
        if now.hr_bpm is None:
            return code("sessions give a bound", at_least_bpm=now.at_least_bpm)
        return code("sessions give a value", hr_bpm=now.hr_bpm, **ends)


def watches_of(
    readings: Sequence[SessionReading], athlete: Athlete, settings: RosterSettings, starts: Sequence[date]
) -> tuple[SportWatch, ...]:
    """One watch for each sport with drift readings, the one with the most first.

    Parameters
    ----------
    readings : sequence of SessionReading
        All of them up to the end of the last week, in order of their days; those under medicine, or from before one
        changed, teach nothing about a threshold of today.
    athlete, settings : records
        Thresholds and criterion.
    starts : sequence of date
        First days of the season's weeks: without an accepted threshold the watch begins there.
    """
    last = starts[-1] + timedelta(days=6)
    if athlete.by_effort_on(last):
        return ()
    told = [
        r
        for r in readings
        if r.drift is not None
        and not athlete.by_effort_on(r.on)
        and not athlete.medicine_changes_between(r.on, last)
    ]
    sports = Counter(r.sport for r in told)
    found = (
        _watch([r for r in told if r.sport == sport], sport, athlete, settings, starts)
        for sport in sorted(sports, key=lambda s: (-sports[s], s))
    )
    return tuple(watch for watch in found if watch is not None)


def _watch(
    readings: Sequence[SessionReading],
    sport: str,
    athlete: Athlete,
    settings: RosterSettings,
    starts: Sequence[date],
) -> SportWatch | None:
    """The watch of one sport, from the week in which its threshold was accepted; None without a session since."""
    first = athlete.threshold_on("first", starts[-1] + timedelta(days=6), sport)
    begin = starts[0] if first is None else starts[0] + timedelta(weeks=week_number(first.on, starts))
    pairs = [(r, r.drift) for r in readings if r.on >= begin and r.drift is not None]
    if not pairs:
        return None
    watch = watch_threshold(
        [(r.on - begin).days // 7 for r, _ in pairs],
        [d.first_half_bpm for _, d in pairs],
        [d.drift_pct for _, d in pairs],
        [d.se_pct for _, d in pairs],
        n_weeks=(starts[-1] - begin).days // 7 + 1,
        accepted_bpm=first.hr_bpm if first else None,
        hr_max_bpm=athlete.hr_max_bpm,
        temperature_c=[d.temperature_c for _, d in pairs],
        criterion_pct=settings.criterion_pct,
    )
    return SportWatch(sport=sport, since_on=begin, accepted_on=first.on if first else None, watch=watch)

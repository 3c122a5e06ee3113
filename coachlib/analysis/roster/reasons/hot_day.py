"""A session in the heat, by the athlete's own usual."""

from statistics import median

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import code
from coachlib.measures.output.heat import (
    AIR_HOT_C,
    WBGT_LIMITED_C,
    WBGT_LIMITED_USED_TO_HEAT_C,
    wbgt_in_shade,
    wbgt_in_sun,
)
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import TriageSettings

#: Sessions needed before they say what somebody is used to.  Own choice.
LEAST_SESSIONS = 5
#: Air so much warmer than usual is told also to whom warm days are usual. [degC]  Own choice.
WARMER_C = 3.0


def hot(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """The hottest session, where heat limits hard work: by humidity where it is known, else by air alone."""
    indoors = {s.on: s.is_indoor for s in athlete.week.sessions}
    warm = [r.temperature_c for r in athlete.written_before if r.temperature_c is not None]
    usual_c = median(warm) if len(warm) >= LEAST_SESSIONS else None
    found = [
        (row, wbgt_c)
        for row in athlete.written_this_week
        if row.temperature_c is not None
        and _is_hot(row, wbgt_c := _wbgt(row, is_indoor=indoors.get(row.on, False)), usual_c)
    ]
    if not found:
        return None
    row, wbgt_c = max(found, key=lambda pair: pair[0].temperature_c or 0.0)
    return Told(
        code=code(
            "hot day", on=row.on, temperature_c=row.temperature_c, humidity_pct=row.humidity_pct, wbgt_c=wbgt_c,
            usual_c=usual_c,
        )
    )  # fmt: skip


def _wbgt(row: DiaryRow, *, is_indoor: bool) -> float | None:
    """Estimated from air and humidity, in the sun or under a roof; None where humidity is unknown."""
    if row.temperature_c is None or row.humidity_pct is None:
        return None
    estimate = wbgt_in_shade if is_indoor else wbgt_in_sun
    return estimate(row.temperature_c, row.humidity_pct)


def _is_hot(row: DiaryRow, wbgt_c: float | None, usual_c: float | None) -> bool:
    used_to_heat = usual_c is not None and usual_c >= AIR_HOT_C
    if wbgt_c is not None:
        return wbgt_c >= (WBGT_LIMITED_USED_TO_HEAT_C if used_to_heat else WBGT_LIMITED_C)
    limit_c = usual_c + WARMER_C if usual_c is not None and used_to_heat else AIR_HOT_C
    return row.temperature_c is not None and row.temperature_c >= limit_c


REASONS = (ReasonKind(name="hot day", rank=100, group="look at", where="diary", seen=hot),)

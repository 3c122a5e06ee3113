"""One athlete's second threshold as a page: trials read from the roster, steps, trials and estimates typed in."""

from collections.abc import Callable

import numpy as np

from coachlib.analysis.second_threshold.candidates import Candidate, typed_estimate
from coachlib.analysis.second_threshold.efforts import Trial
from coachlib.analysis.second_threshold.findings import SecondThreshold, second_threshold_of
from coachlib.analysis.second_threshold.steps import LoadUnit, Steps, newest_steps, typed_steps
from coachlib.errors import BadArgument
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.trials import read_critical_trials, read_step_tests, read_time_trials
from coachlib.jobs.recordings import Recordings
from coachlib.measures.common.codes import Code
from coachlib.records.athlete import Which
from coachlib.records.units import KMH_MPS, typed_value
from coachlib.report.words import wording

#: What a stage without a reading is typed as.
NOT_TAKEN = frozenset({"-", "–"})


def second_threshold(
    roster: RosterFolder,
    own: AthleteFolder,
    *,
    steps: str = "",
    typed_unit: LoadUnit = "km/h",
    trials: str = "",
    estimate: str = "",
    source: str = "",
    sport: str | None = None,
) -> SecondThreshold:
    """Everything known of one athlete's second threshold.

    Parameters
    ----------
    roster, own : RosterFolder, AthleteFolder
        Whose.
    steps : str
        A lactate step test, typed in as load, lactate [mmol/l] and heart rate [1/min] of each stage:
        "8 1.1 118; 9 1.0 127"; a dash where one was not taken.  Without one the newest recorded step test counts.
    typed_unit : str
        "km/h" or "W": the unit of typed-in loads; trials then are metres or watts.
    trials : str
        All-out trials, typed in as metres (or watts) and seconds: "1200 232; 2400 502; 3600 770".
    estimate, source : str
        An estimate from elsewhere as value, lower and upper end [1/min], with the load where it is known: "172 168 176"
        or "172 168 176 13.5"; and where it comes from.
    sport : str, optional
        For which sport; None takes that of the newest trial or step test.

    Raises
    ------
    BadArgument
        When what was typed cannot be read.

    Source
    ------
    The methods carry their own sources, see ``measures.second_threshold``.
    """
    recordings = Recordings(folder=roster, own=own)
    read, problems = read_time_trials(roster, own, recordings=recordings)
    recorded, more = read_critical_trials(roster, own, recordings=recordings)
    tested: Steps | None
    unread: tuple[str, ...] = ()
    of_steps: tuple[Code, ...] = ()
    if steps.strip():
        tested = typed_steps(
            _numbers(steps, (3,), "8 1.1 118; 9 1.0 127; 10 1.2 136", first=_load(typed_unit)),
            unit=typed_unit,
            sport=sport,
            note=f"stages typed in ({wording.speed_unit() if typed_unit == 'km/h' else 'W'}, mmol/l, bpm): {steps.strip()}",
        )
    else:
        stepped, unread = read_step_tests(roster, own, recordings=recordings)
        tested, of_steps = newest_steps(stepped)
    return second_threshold_of(
        own.athlete(),
        trials=read,
        short_trials=(*recorded, *_typed_trials(trials, typed_unit)),
        steps=tested,
        estimate=estimate_typed(estimate, source, typed_unit, sport),
        sport=sport,
        left_out=tuple(dict.fromkeys((*problems, *more, *unread, *of_steps))),
    )


def _load(unit: LoadUnit) -> Callable[[str], float]:
    """What reads a typed load: watts, or a speed in the units that are spoken in or with its own, in km/h."""
    if unit == "W":
        return float
    return lambda cell: typed_value(cell, "speed", units=wording.units()) / KMH_MPS


def _numbers(
    typed: str, widths: tuple[int, ...], example: str, *, first: Callable[[str], float] = float
) -> np.ndarray:
    """Rows of numbers, typed with spaces between numbers and semicolons between rows; ``first`` reads each row's first."""
    rows = [part.split() for part in typed.replace(",", " ").split(";") if part.strip()]
    try:
        if len({len(row) for row in rows}) > 1 or any(len(row) not in widths for row in rows):
            raise ValueError
        values = [
            np.nan if cell in NOT_TAKEN else (float if at else first)(cell)
            for row in rows
            for at, cell in enumerate(row)
        ]
    except ValueError:
        raise BadArgument(
            f"{' or '.join(map(str, widths))} numbers a row are needed, with points for decimals and rows apart by "
            f'semicolons, such as "{example}"; found "{typed}".'
        ) from None
    return np.array(values).reshape(len(rows), -1 if rows else widths[0])


def _typed_trials(trials: str, unit: LoadUnit) -> tuple[Trial, ...]:
    """Trials as metres and seconds, or as watts and seconds."""
    example = "300 180; 270 420; 255 720" if unit == "W" else "1200 232; 2400 502; 3600 770"
    return tuple(
        Trial(
            on=None,
            sport=None,
            time_s=float(seconds),
            work=float(done * seconds if unit == "W" else done),
            unit="J" if unit == "W" else "m",
        )
        for done, seconds in _numbers(trials, (2,), example, first=float if unit == "W" else _distance)
    )


def _distance(cell: str) -> float:
    """Metres, or a distance with its unit behind it."""
    return typed_value(cell, "distance")


def estimate_typed(
    estimate: str, source: str, unit: LoadUnit, sport: str | None, *, which: Which = "second"
) -> Candidate | None:
    """An estimate from elsewhere, where one is typed in as value, lower and upper end, and load where it is known.

    Raises
    ------
    BadArgument
        When it cannot be read or cannot be true, or nothing says where it comes from.
    """
    if not estimate.strip():
        return None
    rows = _numbers(estimate, (3, 4), "172 168 176")
    if len(rows) != 1 or not np.isfinite(rows).all():
        raise BadArgument(
            f'one estimate is needed, as value, lower and upper end, such as "172 168 176"; found "{estimate}".'
        )
    hr, low, high, *load = rows[0].tolist()
    return typed_estimate(
        hr_bpm=hr,
        hr_low_bpm=low,
        hr_high_bpm=high,
        source=source,
        sport=sport,
        speed_mps=load[0] * wording.mps_of_unit() if load and unit == "km/h" else None,
        power_w=load[0] if load and unit == "W" else None,
        which=which,
    )

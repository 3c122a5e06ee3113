"""What the threshold watch says after twelve weeks of three ordinary sessions a week, simulated.

Athletes have the hidden curves of ``threshold_series``; all their sessions share a small error of drift.
"""

import numpy as np
from benchmarks.threshold_series import Athlete

from coachlib.measures.season.threshold_watch import watch_threshold

#: Heart rate of sessions against the threshold: mean and spread. [1/min]
MIXES = {"easy": (-22, 6), "typical": (-14, 7), "mixed": (-8, 8), "hard": (-3, 7)}
N_WEEKS, A_WEEK = 12, 3
#: Error of an ordinary session's drift for its window: what it is, and what its reading says. [min], [%]
MINUTES, TRUE_SE, SAID_SE = (30, 45, 60, 90), (2.3, 1.3, 1.0, 0.76), (2.6, 1.5, 1.0, 0.6)


def sessions(athlete: Athlete, mix: str, *, moved_bpm: float = 0.0) -> tuple[np.ndarray, ...]:
    """Week, first-half heart rate, drift and its standard error of each session.

    The athlete keeps the heart rates of a threshold that has moved since by ``moved_bpm``.
    """
    rng, n = athlete.rng, N_WEEKS * A_WEEK
    mean, sd = MIXES[mix]
    minutes = rng.choice([30, 45, 60, 75], n)
    internal, label = rng.normal(0, 1.8, (2, n))
    aimed = athlete.threshold + rng.normal(mean, sd, n)
    drift = np.array([athlete.drift(hr - moved_bpm) for hr in aimed + internal])
    drift += rng.normal(0, 0.5) + rng.normal(0, 1.5, n) + rng.normal(0, np.interp(minutes, MINUTES, TRUE_SE))
    said = np.hypot(np.interp(minutes, MINUTES, SAID_SE), 0.5)
    return np.repeat(np.arange(N_WEEKS), A_WEEK), aimed + internal + label, drift, said


def watch_rates(n: int, seed: int, mix: str) -> dict[str, float]:
    """Coverage, wrong bound, point printed, and disagreement with an accepted value within 3 bpm of the truth."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(n):
        athlete = Athlete(rng)
        made, truth = sessions(athlete, mix), athlete.threshold
        vague = watch_threshold(*made, n_weeks=N_WEEKS).latest
        held = watch_threshold(*made, n_weeks=N_WEEKS, accepted_bpm=truth + rng.uniform(-3, 3))
        rows.append((
            vague.hr_low_bpm <= truth <= vague.hr_high_bpm, vague.at_least_bpm > truth,
            vague.hr_bpm is not None, any(week.disagrees for week in held.weeks),
            vague.hr_high_bpm - vague.hr_low_bpm,
        ))  # fmt: skip
    covered, wrong, printed, false, width = np.array(rows, dtype=float).T
    return {
        "coverage": covered.mean(), "bound wrong": wrong.mean(), "point printed": printed.mean(),
        "false disagreement": false.mean(), "median width": float(np.median(width)),
    }  # fmt: skip


def caught_moves(
    n: int, seed: int, mix: str, *, moves: tuple[int, ...] = (6, -6, 10, -10)
) -> dict[str, float]:
    """Share of seasons in which a threshold that has moved is spoken of, the right way."""
    rng = np.random.default_rng(seed)
    rates = {}
    for moved in moves:
        way, caught = "higher" if moved > 0 else "lower", []
        for _ in range(n):
            athlete = Athlete(rng)
            made = sessions(athlete, mix, moved_bpm=moved)
            accepted = athlete.threshold + rng.uniform(-3, 3)
            watch = watch_threshold(*made, n_weeks=N_WEEKS, accepted_bpm=accepted)
            caught.append(any(week.disagrees == way for week in watch.weeks))
        rates[f"caught {moved:+d}"] = float(np.mean(caught))
    return rates

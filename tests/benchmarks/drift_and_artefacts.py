"""How far drift, its interval and the artefact spans keep their promises on simulated runs.

Run: ``python tests/benchmarks/drift_and_artefacts.py [RUNS]``.  Prints a table; asserts nothing.
"""

import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.runs import steady_run, with_artefacts
from built_activity import built_activity

from coachlib.analysis.recording.detected import detect
from coachlib.analysis.recording.judge import judge
from coachlib.errors import CoachError
from coachlib.measures.common.spans import inside
from coachlib.measures.drift_test.drift import drift_map, heart_rate_drift
from coachlib.measures.recording.artefacts import suggest_exclusions
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions, Window


def drift_of(run, used=None):
    """The whole run as the window."""
    used = np.isfinite(run.hr_bpm) if used is None else used
    return heart_rate_drift(run.time_s, run.hr_bpm, used, start_s=0, stop_s=float(run.time_s.size))


def clean(n: int) -> None:
    """Error and coverage without artefacts."""
    print("noise   min   RMSE  cover  width   (percentage points)")
    for minutes in (60, 30, 20):
        for noise in ("quiet", "normal", "busy"):
            rng = np.random.default_rng(7)
            runs = [steady_run(rng, minutes=minutes, noise=noise) for _ in range(n)]
            found = [drift_of(r) for r in runs]
            error = np.array([f.drift_pct - r.drift_pct for f, r in zip(found, runs, strict=True)])
            cover = np.mean(
                [f.drift_low_pct <= r.drift_pct <= f.drift_high_pct for f, r in zip(found, runs, strict=True)]
            )
            width = np.median([f.drift_high_pct - f.drift_low_pct for f in found])
            print(f"{noise:7} {minutes:3d}   {np.sqrt((error**2).mean()):.2f}   {cover:.2f}   {width:.2f}")


def false_alarms(n: int) -> None:
    """Spans found an hour where there is nothing to find."""
    print("\nfalse alarms per clean hour")
    for noise in ("quiet", "normal", "busy"):
        rng = np.random.default_rng(11)
        count = Counter()
        for _ in range(n):
            run = steady_run(rng, minutes=60, noise=noise)
            count.update(s.reason for s in suggest_exclusions(run.time_s, run.hr_bpm))
        print(noise, {reason: round(c / n, 3) for reason, c in count.items()})


def recall(n: int) -> None:
    """Share of artefacts covered by half, and drift after leaving out what was found."""
    print("\nwith artefacts")
    for noise in ("quiet", "normal", "busy"):
        rng = np.random.default_rng(13)
        found, missed = Counter(), Counter()
        raw, after = [], []
        for _ in range(n):
            run = with_artefacts(rng, steady_run(rng, minutes=60, noise=noise))
            cadence = np.full(run.time_s.size, 176.0)
            spans = suggest_exclusions(run.time_s, run.hr_bpm, cadence_rpm=cadence)
            covered = inside(run.time_s, spans)
            for a, b, reason in run.artefacts:
                (found if covered[int(a) : int(b)].mean() >= 0.5 else missed)[reason] += 1
            try:
                raw.append(drift_of(run).drift_pct - run.drift_pct)
                after.append(drift_of(run, np.isfinite(run.hr_bpm) & ~covered).drift_pct - run.drift_pct)
            except CoachError as problem:
                print("refused:", problem)
        shares = {r: round(found[r] / (found[r] + missed[r]), 3) for r in sorted(found | missed)}
        print(
            noise,
            shares,
            f"RMSE raw {np.sqrt(np.mean(np.square(raw))):.2f}, after {np.sqrt(np.mean(np.square(after))):.2f}",
        )


def bulges(n: int) -> None:
    """Recall of single rises by size and length."""
    print("\nrecall of a rise, normal noise")
    for size, length in ((10, 8), (10, 20), (10, 40), (10, 60), (8, 12), (6, 12), (6, 30)):
        rng = np.random.default_rng(17)
        hits = 0
        for _ in range(n):
            run = steady_run(rng, minutes=40)
            at = int(rng.integers(400, 1900))
            bulge = np.concatenate((1 - np.exp(-np.arange(length) / 4), np.exp(-np.arange(24) / 8)))
            run.hr_bpm[at : at + length + 24] = np.rint(run.hr_bpm[at : at + length + 24] + size * bulge)
            covered = inside(run.time_s, suggest_exclusions(run.time_s, run.hr_bpm))
            hits += covered[at : at + length].mean() >= 0.5
        print(f"+{size} bpm {length:2d} s: {hits / n:.2f}")


def speed() -> None:
    """Median times on an hour."""
    run = steady_run(np.random.default_rng(3), minutes=90)
    used = np.isfinite(run.hr_bpm)
    starts, stops = np.arange(0, 5400, 60.0), np.arange(1800, 5400, 60.0)
    long_run = built_activity(seconds=4 * 3600, speed_mps=3.0, cadence_rpm=170.0)
    decisions = Decisions(fit_sha256=long_run.sha256, windows=(Window(start_s=1800, stop_s=12600),))
    detected, somebody = detect(long_run, decisions), Athlete(slug="a", name="A")
    jobs = {
        "drift with interval": lambda: drift_of(run),
        "map of 90 x 60": lambda: drift_map(run.time_s, run.hr_bpm, used, starts_s=starts, stops_s=stops),
        "artefact spans": lambda: suggest_exclusions(run.time_s, run.hr_bpm),
        "detecting in four hours": lambda: detect(long_run, decisions),
        "judging an edit of four hours": lambda: judge(
            "long", long_run, decisions, somebody, detected=detected
        ),
    }
    print("\nmedian ms")
    for name, job in jobs.items():
        times = []
        for _ in range(15):
            begin = time.perf_counter()
            job()
            times.append(time.perf_counter() - begin)
        print(f"{name}: {1000 * np.median(times):.2f}")


def main() -> None:
    """Run all."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    clean(n)
    false_alarms(n)
    recall(n)
    bulges(max(n // 2, 20))
    speed()


if __name__ == "__main__":
    main()

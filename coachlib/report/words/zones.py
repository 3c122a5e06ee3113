"""What is said about zones and the thresholds behind them."""

from collections.abc import Callable

from coachlib.report.words import wording

SENTENCES: dict[str, Callable[..., str]] = {
    "not above the first": lambda first_bpm, second_bpm: (
        f"the second threshold, {wording.heart_rate(second_bpm)}, is not above the first, "
        f"{wording.heart_rate(first_bpm)}: both cannot hold, look at the tests behind each"
    ),
    "thresholds overlap": lambda first_high_bpm, second_low_bpm: (
        f"the first threshold may lie as high as {first_high_bpm:.0f} and the second as low as "
        f"{wording.heart_rate(second_low_bpm)}: where one ends and the other begins is not sure yet"
    ),
    "narrow between thresholds": lambda gap_bpm, least_bpm: (
        f"the thresholds lie {gap_bpm:.0f} bpm apart, less than the {least_bpm:.0f} that heart rate itself can tell "
        "from one day to the next: no zone between them can be trained in by heart rate"
    ),
    "first threshold unusually high": lambda share_pct: (
        f"the first threshold lies at {share_pct:.0f} % of the maximum, where usually the second lies: look at the "
        "maximum and at the tests again"
    ),
}

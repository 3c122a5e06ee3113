"""What is said about zones and the thresholds behind them."""

from collections.abc import Callable

from coachlib.report.words import wording


def _output(output: float, unit: str) -> str:
    """Power, or speed on the level."""
    return wording.output(output, unit)


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
    "threshold withdrawn": lambda which, on, hr_bpm, sport: (
        f"the {which} threshold{f' in {sport}' if sport else ''} of {wording.full_date(on)}, {wording.heart_rate(hr_bpm)}, was "
        "withdrawn: what earlier pages say by it holds no longer"
    ),
    "no zones from a bound": lambda which, is_above, hr_bpm: (
        f"of the {which} threshold only a bound is accepted: it lies {'above' if is_above else 'below'} "
        f"{wording.heart_rate(hr_bpm)}, and no zones can be made from that"
    ),
    "zones still need": lambda scale, missing: f"zones by {scale} still need {wording.listed(list(missing))}",
    "limits do not rise": lambda lower, lower_bpm, higher, higher_bpm: (
        f"zones need the {higher} above the {lower}; it is {higher_bpm:.0f} against {wording.heart_rate(lower_bpm)}"
    ),
    "threshold not checked since": lambda which, **since: (
        f"the {which} threshold is from before {wording.event(**since)} and was not checked since: go by how you can "
        "talk until it is tested again"
    ),
    "too few outputs": lambda least: (
        "no speed or power is given yet: that needs an accepted speed or power at both thresholds, or tests, stages and "
        f"trials at {wording.count(least, 'different setting')}"
    ),
    "outputs made from": lambda n_tests, n_stages, n_trials, n_accepted: wording.listed(
        [
            wording.count(n, noun)
            for n, noun in (
                (n_tests, "drift test"),
                (n_stages, "stage"),
                (n_trials, "all-out trial"),
                (n_accepted, "accepted threshold"),
            )
            if n
        ]
    ),
    "accepted outputs do not rise": lambda low_bpm, low, high_bpm, high, unit: (
        f"the accepted thresholds contradict each other: {_output(low, unit)} at {wording.heart_rate(low_bpm)}, and "
        f"{_output(high, unit)} at {wording.heart_rate(high_bpm)}; the one accepted last is followed"
    ),
    "output above an all-out trial": lambda hr_bpm, output, trial, unit: (
        f"{_output(output, unit)} accepted at {wording.heart_rate(hr_bpm)} is more than an all-out trial at that heart rate "
        f"or a higher one gave, {_output(trial, unit)}"
    ),
    "sets of different size": lambda n_before, n_after: (
        f"the sets have {n_before} and {n_after} zones; limits cannot be compared one by one"
    ),
}

"""What is said about a series of drift tests, the next one, and accepting a first threshold."""

from datetime import date

from coachlib.measures.first_threshold.estimate import FirstThreshold
from coachlib.report.words import wording
from coachlib.report.words.catalogue import Sentence


def _contradict(*, more_bpm: float, more_pct: float, less_bpm: float, less_pct: float, n_tests: int) -> str:
    said = (
        f"two tests contradict each other: {more_pct:.1f} % at {wording.heart_rate(more_bpm)} and {less_pct:.1f} % at "
        f"{wording.heart_rate(less_bpm)}; ordinary scatter of days does not explain that"
    )
    return f"{said}; repeat at this setting" if n_tests == 2 else said


def _heat(*, n_hot: int, n_tests: int, reference_c: float, most_bpm: float, most_pct: float) -> str:
    return (
        f"brought back to {wording.temperature(reference_c)}: {n_hot} of {n_tests} tests, the hottest by {most_bpm:.1f} bpm and "
        f"{most_pct:.1f} % drift"
    )


_SERIES: dict[str, Sentence] = {
    "tests contradict": _contradict,
    "only a lower end held": lambda *, reached_pct: (
        f"no test has clearly reached {reached_pct:.2g} % drift: only the lower end comes from the tests"
    ),
    "only an upper end held": lambda *, criterion_pct: (
        f"every test lies above {criterion_pct:g} % drift: only the upper end comes from the tests"
    ),
    "one test only": lambda: "one test can rarely tell: repeat it, or test at another setting",
    "maximum unknown": lambda: "maximal heart rate unknown: the estimate starts from a wider guess",
    "maximum from age": lambda *, hr_max_bpm: (
        f"the maximum of {wording.heart_rate(hr_max_bpm)} is predicted from age and may be off by 20: it counts for less"
    ),
    "no maximum under medicine": lambda: (
        "medicine changes heart rate, so no maximum is used: the tests count alone, and heart rate makes no zones"
    ),
    "test above the maximum": lambda *, hr_bpm, hr_max_bpm: (
        f"a test at {wording.heart_rate(hr_bpm)} lies above the maximal heart rate of {hr_max_bpm:.0f}: one of the two "
        "is wrong"
    ),
    "brought back from heat": _heat,
    "heat beyond the studies": lambda *, hot_c: (
        f"a test above {wording.temperature(hot_c)}: the correction is stretched further than the studies behind it"
    ),
    "unusual drift in the series": lambda *, drift_pct: (
        f"a drift of {wording.minus(drift_pct, 1)} % is unusual: look for a change of settings, a missing warm-up or "
        "artefacts"
    ),
    "typed tests": lambda *, n, n_tests, se_pct: (
        f"known only by two half means: {n} of {n_tests} tests, counted with a wider error ({se_pct:g} %)"
    ),
    "short windows": lambda *, n, n_tests, minutes, shortest_min: (
        f"shorter than {minutes:.0f} min: {n} of {n_tests} windows (the shortest {shortest_min:.0f} min), unsure when "
        "brought to an hour"
    ),
    "unwell at tests": lambda *, n, n_tests, sd_bpm, sd_pct: (
        f"on a day of illness or pain: {n} of {n_tests} tests, counted for less ({sd_bpm:g} bpm and {sd_pct:g} % added)"
    ),
    "temperatures unknown": lambda *, n, n_tests, reference_c: (
        f"the temperature of {n} of {n_tests} tests is unknown and taken as no warmer than {wording.temperature(reference_c)}"
    ),
    "medicine changed within the series": lambda: (
        "medicine that changes heart rate was begun, changed or stopped between these tests: they cannot be compared "
        "across it; leave out those before"
    ),
    "long series": lambda *, weeks: (
        f"the tests lie {weeks:.0f} weeks apart: fitness may have changed, so the older ones count for less"
    ),
    "beats corrected": lambda *, n, n_windows, share_pct: (
        f"in {n} of {n_windows} windows more than {share_pct:.0f} % of beats were corrected"
    ),
    "windows of beats left out": lambda *, n, n_windows: f"{n} of {n_windows} windows of beats were left out",
}

_NEXT: dict[str, Sentence] = {
    "aim at the best guess": lambda: "the best guess of the threshold",
    "aim at the middle of what is possible": lambda: "the middle of what is still possible",
    "aim one step up": lambda *, step_bpm: f"not more than {step_bpm:g} bpm above the last test",
    "aim below the maximum": lambda *, share_pct: f"not above {share_pct:g} % of the maximum",
    "aim at the contradiction": lambda: "where the two tests that contradict each other lie",
    "rest after a hard test": lambda *, days, drift_pct: (
        f"the last test drifted {drift_pct:.1f} %, which was hard: leave {days} easy days, so that tiredness does not "
        "raise the next one (our own rule)"
    ),
    "rest after a test": lambda *, days: (
        f"leave {days} easy days after a test: lost fluid and short sleep move heart rate for a day or two (our own rule)"
    ),
    "machine misses the aim": lambda *, predicted_bpm, target_bpm: (
        f"the nearest settings are expected to give {wording.heart_rate(predicted_bpm)}, not {target_bpm:.0f}: the "
        "machine's range does not reach further, or its steps are coarse"
    ),
}


def _talk(*, on: date, hr_bpm: float, says: str) -> str:
    could = "could not talk" if says == "above" else "could talk comfortably"
    return f"on {wording.short_date(on)} the athlete {could} at {wording.heart_rate(hr_bpm)}, which speaks against it"


_ACCEPTING: dict[str, Sentence] = {
    "accept nothing yet": lambda: (
        "two tests contradict each other and nothing else decides: there is nothing to accept yet; repeat the test at "
        "that setting"
    ),
    "accept as at least": lambda: (
        "the tests hold the lower end only: it can be accepted as “at least”, from which no zones follow"
    ),
    "accept as at most": lambda: (
        "the tests hold the upper end only: it can be accepted as “at most”, from which no zones follow"
    ),
    "threshold under medicine": lambda: (
        "it was found under medicine that changes heart rate: it holds for this dose only and makes no zones"
    ),
    "tests contradict at accepting": lambda *, more_on, less_on: (
        f"the tests of {wording.short_date(more_on)} and {wording.short_date(less_on)} contradict each other"
    ),
    "minutes above the second threshold": lambda *, on, minutes: (
        f"{minutes:.0f} min of the test on {wording.short_date(on)} lay above the second threshold: that was no steady "
        "test, or the second threshold is too low"
    ),
    "talk speaks against it": _talk,
    "sign disagrees": lambda *, source, on, hr_bpm: (
        f"{source} of {wording.short_date(on)} at {wording.heart_rate(hr_bpm)} disagrees"
    ),
    "typed tests counted": lambda *, n: f"{wording.count(n, 'typed test')} counted",
    "another criterion": lambda *, criterion_pct: f"criterion {criterion_pct:g} %",
    "value chosen by the coach": lambda: "value chosen by the coach",
}


def _not_as_long(*, longest_min: float | None, test_min: float, days: int) -> str:
    longest = (
        "no steady session is known" if longest_min is None else f"the longest was {longest_min:.0f} min"
    )
    return f"a test takes {test_min:.0f} min at one effort, and of the last {days} days {longest}"


_FIT: dict[str, Sentence] = {
    "no test before a physician": lambda: "something in the diary needs a physician first",
    "no test while ill": lambda: "no test while ill",
    "no test while injured": lambda: "no test while injured",
    "no test in pain": lambda: "no test while something hurts",
    "no test in pregnancy": lambda: "no drift test in pregnancy: heart rate and heat answer differently",
    "no test while away": lambda: "no test while travelling or at altitude: heart rate is another there",
    "no test newly back": lambda *, since_on, sessions, needed: (
        f"newly back since {wording.short_date(since_on)}: {needed} sessions without complaints come first, "
        f"{sessions} {'is' if sessions == 1 else 'are'} done"
    ),
    "no test under medicine": lambda: (
        "with medicine that changes heart rate, heart rate and its drift tell little about the threshold"
    ),
    "no test after medicine": lambda *, on, change: (
        f"a medicine that changes heart rate was {change} on {wording.short_date(on)}: until some weeks have passed, heart "
        "rate and its drift tell little about the threshold"
    ),
    "no test under age": lambda *, of_age: (
        f"may be under {of_age}: nothing hard without a guardian's consent, and no test in heat"
    ),
    "no session as long": _not_as_long,
    "rest, then the gates": lambda: (
        "rest now; when all is well again, three easy sessions without complaints in each, after it and the day after, "
        "then we speak about a test"
    ),
    "ask a physician first": lambda: "ask a physician first whether and how hard to train",
    "three easy sessions first": lambda *, needed: (
        f"{needed} easy sessions first, each without complaints in it, after it and the day after"
    ),
    "talk test instead": lambda: (
        "instead, in an easy session say some sentences aloud every ten minutes and note whether it was comfortable, and "
        "how hard it felt from 0 to 10"
    ),
    "shorter test instead": lambda: (
        "instead, 15 minutes to settle and 30 minutes steady: that counts in the series, about half as sure, and has no "
        "verdict of its own; note at the end whether you could talk and how hard it was from 0 to 10"
    ),
    "test when back": lambda: "the test waits until the usual place and days are back",
}


def _hinting(n: int) -> str:
    sessions = "one steady session hints" if n == 1 else f"{wording.count(n, 'steady session')} hint"
    return f"{sessions} that your first threshold lies"


_FIRST: dict[str, Sentence] = {
    "sessions hint between": lambda n, low_bpm, high_bpm: (
        f"{_hinting(n)} between {low_bpm:.0f} and {wording.heart_rate(high_bpm)}, and a test there tells most"
    ),
    "sessions hint higher": lambda n, above_bpm: (
        f"{_hinting(n)} above {wording.heart_rate(above_bpm)}, so the test goes a step higher"
    ),
    "sessions hint lower": lambda n, below_bpm: (
        f"{_hinting(n)} below {wording.heart_rate(below_bpm)}, so the test goes a step lower"
    ),
    "first threshold not known": lambda: "this is how we find your first threshold",
}


def estimated(found: FirstThreshold) -> str:
    """What a series says in a few words; no best guess where the tests do not hold one.

    Parameters
    ----------
    found : FirstThreshold
        The estimate.

    Returns
    -------
    str
        "at least 163 bpm", "at most 158 bpm", "158 bpm (153 to 164)", or that two tests contradict each other.

    Notes
    -----
    A best guess that the tests do not hold is made by what is usual.

    Examples
    --------
    >>> from coachlib.measures.first_threshold.estimate import estimate_first_threshold
    >>> estimated(estimate_first_threshold([140, 148], [0.0, 0.5], [0.5, 0.5], hr_max_bpm=190))
    'at least 150 bpm'
    """
    if found.is_unresolved:
        return "not told: two tests contradict each other"
    if found.bounded == "below":
        return f"at least {wording.heart_rate(found.hr_low_bpm)}"
    if found.bounded == "above":
        return f"at most {wording.heart_rate(found.hr_high_bpm)}"
    return f"{wording.heart_rate(found.hr_bpm)} ({found.hr_low_bpm:.0f} to {found.hr_high_bpm:.0f})"


SENTENCES: dict[str, Sentence] = {**_SERIES, **_NEXT, **_ACCEPTING, **_FIT, **_FIRST}

"""What is said about the second threshold: trials, step tests, critical speed and power."""

from collections.abc import Callable

from coachlib.report.words import wording
from coachlib.report.words.catalogue import Sentence


def _trial_length(minutes: float, is_short: bool) -> str:
    side, which = ("shorter", "high") if is_short else ("longer", "low")
    return f"the trial lasted {minutes:.0f} minutes; {side} than 30, heart rate and output come out {which}"


def _uneven(change_pct: float) -> str:
    word = "more" if change_pct > 0 else "less"
    return (
        f"pacing was not even: output was {abs(change_pct):.0f} % {word} in the last third than in the first"
    )


#: Units of what is typed about a step test.
_UNITS = {"heart rate": " bpm", "oxygen uptake": " ml/kg/min", "lactate": " mmol/l", "load": ""}


def _unit(what: str) -> str:
    return next((unit for name, unit in _UNITS.items() if what.endswith(name)), "")


def _too_high(what: str, value: float, limit: float) -> str:
    return f"a {what} of {value:g}{_unit(what)} is above {limit:g}"


def _stage_too_high(what: str, stage: int, value: float, limit: float) -> str:
    article = "an" if what.startswith("o") else "a"
    return f"{article} {what} of {value:g}{_unit(what)} in stage {stage} is above {limit:g}"


def _between_stages(did: str) -> Sentence:
    def said(what: str, stage: int, before: float, after: float) -> str:
        name = f"the {what}" if what == "load" else what
        return f"{name} {did} from stage {stage} to {stage + 1} ({before:g} to {after:g}{_unit(what)})"

    return said


SENTENCES: dict[str, Callable[..., str]] = {
    "number too high": _too_high,
    "stage too high": _stage_too_high,
    "stage not above the one before": _between_stages("does not rise"),
    "stage below the one before": _between_stages("falls"),
    "maximum far from age": lambda hr_max_bpm, usual_bpm, age_y: (
        f"a maximum heart rate of {hr_max_bpm:g} bpm lies {abs(hr_max_bpm - usual_bpm):.0f} bpm from the "
        f"{usual_bpm:.0f} bpm usual at {age_y:g} years"
    ),
    "a trial is as good as its effort": lambda: (
        "a trial alone is only as good as its effort; the value moves if the athlete had more to give"
    ),
    "trial not of 30 minutes": _trial_length,
    "output missing in the trial": lambda: (
        "speed or power is missing in too much of the trial; only heart rate is given"
    ),
    "no published error for power": lambda: (
        "no error was published for power; its value is given without an interval"
    ),
    "uneven pacing": _uneven,
    "method found nothing": lambda method, why: f"{method}: {why}",
    "few stages": lambda n, usual: f"{n} stages are few for a curve; {usual} or more are usual",
    "no heart rate around this load": lambda: "heart rate was not taken around this load",
    "three parameters are unstable": lambda: (
        "fits with three parameters are unstable for trials of 3 to 10 minutes (Hill 2011); prefer the forms with two"
    ),
    "highest output not told": lambda: "the highest output could not be told from these trials",
    "exact fit": lambda n_trials, n_values: (
        f"{n_trials} trials fit {n_values} values exactly; there is no interval"
    ),
    "unusual lengths of trials": lambda shortest_s, longest_s: (
        f"trials from {shortest_s:.0f} to {longest_s:.0f} s; the model is usually fitted on 2 to 15 minutes"
    ),
    "form is missing": lambda form, why: f"{form}: {why}" if form else why,
    "step test left out": lambda on, why: f"the step test of {wording.full_date(on)} is left out: {why}",
    "caveat of a trial": lambda on, said: f"time trial of {wording.full_date(on)}: {said}",
    "from a time trial": lambda on: f"time trial of {wording.full_date(on)}",
    "from a step test": lambda method: f"step test ({method})",
    "typed estimate": lambda source: f"typed in: {source}",
}

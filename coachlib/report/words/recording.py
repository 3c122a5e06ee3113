"""What a recording shows, in the words of every page: verdict, findings, what is not told."""

from collections.abc import Iterable

from coachlib.analysis.recording.judged import SteadyStretch
from coachlib.measures.common.codes import Finding
from coachlib.measures.common.constants import Z90
from coachlib.measures.drift_test.constant_output import ConstantOutputDrift
from coachlib.measures.drift_test.drift import HeartRateDrift
from coachlib.measures.drift_test.validity import NEAR_PCT
from coachlib.report.words import wording
from coachlib.report.words.catalogue import Sentence, sentence, whole
from coachlib.report.words.wording import minus

#: A change of output smaller than this is held. [%]
HELD_PCT = 1.0


def verdict(stretch: SteadyStretch) -> str:
    """What was seen, what it means, what speaks against it: the one verdict on a steady window.

    Parameters
    ----------
    stretch : SteadyStretch
        From ``analysis.recording.judge``.

    Source
    ------
    This project's own choice of words; the criterion is common practice, no source.

    Examples
    --------
    The README's "From Python" prints one.
    """
    return " ".join(filter(None, (seen(stretch), meant(stretch), doubts(stretch.findings))))


def seen(stretch: SteadyStretch) -> str:
    """What heart rate did, and what it would have done at constant output where that differs."""
    if any(f.name == "uneven heart rate" for f in stretch.findings):
        return f"Heart rate was uneven over these {_minutes(stretch.drift)}."
    said = f"Heart rate {_changed(stretch.drift)} over {_minutes(stretch.drift)}."
    held = stretch.held
    if held is None or not held.is_corrected or abs(held.output_change_pct) < HELD_PCT:
        return said
    return f"{said} {_at_constant_output(held)}"


def _at_constant_output(held: ConstantOutputDrift) -> str:
    fell = held.output_change_pct < 0
    would = _changed(held, wording.PARTICIPLE)
    return (
        f"Output {'fell' if fell else 'rose'} by {abs(held.output_change_pct):.0f} % meanwhile; at constant output "
        f"heart rate would have {would}."
    )


def _changed(drift: HeartRateDrift | ConstantOutputDrift, verbs: tuple[str, str, str] = wording.PAST) -> str:
    return wording.changed(drift.drift_pct, drift.drift_low_pct, drift.drift_high_pct, verbs=verbs)


def meant(stretch: SteadyStretch) -> str:
    """What the window means for the first threshold, or why that cannot be told."""
    if stretch.meaning.name == "void":
        void = next(f for f in stretch.findings if f.severity == "void")
        return f"This is no valid test: {sentence(void.code)}."
    return whole(stretch.meaning)


def doubts(findings: Iterable[Finding]) -> str:
    """The weightiest doubt, and how many there are besides; nothing where a test is void or nothing speaks against it."""
    found = tuple(findings)
    weak = [f for f in found if f.severity == "doubt"]
    if not weak or any(f.severity == "void" for f in found):
        return ""
    more = len(weak) - 1
    besides = (
        f" {wording.count(more, 'further doubt').capitalize()} {'is' if more == 1 else 'are'} listed with it."
    )
    return f"But {sentence(weak[0].code)}.{besides if more else ''}"


def _minutes(drift: HeartRateDrift) -> str:
    return f"{(drift.stop_s - drift.start_s) / 60:.0f} min"


def _limit(limit_pct: float, criterion_pct: float) -> str:
    if abs(limit_pct - criterion_pct) < 0.1:
        return f"{criterion_pct:g} %"
    return f"{limit_pct:.1f} %, the share of {criterion_pct:g} % for this length"


def _side(where: str) -> Sentence:
    other = "above" if where == "below" else "below"

    def said(hr_bpm: float, limit_pct: float, criterion_pct: float, **_: float) -> str:
        return (
            f"that is {where} {_limit(limit_pct, criterion_pct)}, also with ordinary day-to-day scatter: it is likely "
            f"that the first threshold lies {other} {wording.heart_rate(hr_bpm)}"
        )

    return said


def _near(limit_pct: float, criterion_pct: float, hr_bpm: float, drift_pct: float, **_: float) -> str:
    close = "is near" if abs(drift_pct - limit_pct) < NEAR_PCT else "cannot be told from"
    return (
        f"that {close} {_limit(limit_pct, criterion_pct)}: with ordinary day-to-day scatter one test does not show on "
        f"which side of {wording.heart_rate(hr_bpm)} the first threshold lies; a second one tells more"
    )


def _output_changed(output_change_pct: float, correction_pct: float, u_pct: float, **_: float) -> str:
    did = "fell" if output_change_pct < 0 else "rose"
    hides = "hides" if correction_pct > 0 else "adds"
    return (
        f"on which side of the first threshold that lies cannot be told: output {did} by "
        f"{abs(output_change_pct):.0f} %, which {hides} {abs(correction_pct):.1f} ± {Z90 * u_pct:.1f} points, and the "
        "side depends on it. Repeat the test at a held setting"
    )


def _hills_decide(**_: float) -> str:
    return (
        "on which side of the first threshold that lies cannot be told: the route's hills were not recorded, and the "
        "side depends on them. Repeat the test on the level or on a machine"
    )


def _setting_not_known(
    if_held: str, hr_bpm: float, limit_pct: float, criterion_pct: float, **_: object
) -> str:
    where = {"below": "above", "above": "below"}.get(if_held)
    if where is None:
        return (
            f"even if the setting was held that is too near {_limit(limit_pct, criterion_pct)} for one test to tell. "
            "Type the setting in as a stage"
        )
    return (
        f"if the setting was held, that is {if_held} {_limit(limit_pct, criterion_pct)} and the first threshold likely "
        f"lies {where} {wording.heart_rate(hr_bpm)}; nothing in the recording tells whether it was. Type the setting in "
        "as a stage"
    )


def _too_short(least_min: float, minutes: float, **_: float) -> str:
    return f"less than {least_min:.0f} min carry no verdict of their own; in a series they count by how sure they are"


def _output_not_allowed_for(output_change_pct: float | None) -> str:
    if output_change_pct is None:
        return "what it means cannot be told: output is missing in part of the window"
    did = "fell" if output_change_pct < 0 else "rose"
    return (
        f"what it means cannot be told: output {did} by {abs(output_change_pct):.0f} %, and how heart rate follows "
        "output in this sport is not known. Repeat the test at a held setting"
    )


def _pauses(pause_s: float) -> str:
    return f"pauses of {pause_s:.0f} s lie inside the window"


def _changes(what: str, n_changes: int, first_s: float) -> str:
    times = "once" if n_changes == 1 else f"{n_changes} times"
    return (
        f"{what} changed {times} inside the window, {'first ' * (n_changes > 1)}at {wording.elapsed(first_s)}"
    )


def _ends(moved_min: float, low_pct: float, high_pct: float) -> str:
    return f"with its ends moved by {moved_min:.0f} min the window says {minus(low_pct, 1)} to {minus(high_pct, 1)} %"


SENTENCES: dict[str, Sentence] = {
    # what a window means
    "below": _side("below"),
    "above": _side("above"),
    "near": _near,
    "output changed": _output_changed,
    "hills decide": _hills_decide,
    "setting not known": _setting_not_known,
    "too short": _too_short,
    "output not allowed for": _output_not_allowed_for,
    "void": lambda: "this is no valid test",
    "medicine slows the heart": lambda: (
        "with medicine that slows the heart, drift says nothing about a threshold; go by talking and by how hard it feels"
    ),
    # what speaks against a test
    "no window for a test": lambda minutes, least_min: (
        f"the window is {minutes:.0f} min; a drift test needs at least {least_min:.0f}: take a longer window or repeat "
        "the test"
    ),
    "short window": lambda minutes, least_min: (
        f"the window is {minutes:.0f} min; from {least_min:.0f} on a test carries a verdict of its own"
    ),
    "less than an hour": lambda minutes, criterion_pct, share_pct: (
        f"the window is {minutes:.0f} min; {criterion_pct:g} % belongs to 60: hold the drift against {share_pct:.1f} %"
    ),
    "setting changed": lambda n_changes, first_s: (
        f"{_changes('the setting', n_changes, first_s)}: the drift says nothing about one setting; choose a window "
        "between changes"
    ),
    "output may have changed": lambda n_changes, first_s: (
        f"{_changes('speed or power', n_changes, first_s)}: if the effort changed there, choose a window between changes"
    ),
    "uneven output": lambda scatter_pct, limit_pct: (
        f"output varied by {scatter_pct:.0f} % from minute to minute: drift is told at one setting; up to "
        f"{limit_pct:.0f} % is steady"
    ),
    "uneven heart rate": lambda half_interval_pct: (
        "heart rate rose and fell too much for a drift to be told: take a stretch at one setting, or repeat the test"
    ),
    "warm-up": lambda minutes, needed_min, added_pct: (
        f"the setting was held for {minutes:.0f} min before the window; {needed_min:.0f} let heart rate settle: about "
        f"{added_pct:.1f} points of the drift may be settling"
    ),
    "long pause inside": lambda pause_s, settling_min: (
        f"{_pauses(pause_s)}: heart rate settled anew after them; start the window {settling_min:.0f} min after the pause"
    ),
    "pause inside": lambda pause_s, after_min: (
        f"{_pauses(pause_s)}: leave them and {after_min:.0f} min after each out"
    ),
    "pause left out": lambda pause_s: f"{_pauses(pause_s)}: what follows them is left out",
    "too much left out": lambda left_out_pct: (
        f"{left_out_pct:.0f} % of the window is left out or missing: too little is left to judge; repeat the test"
    ),
    "much left out": lambda left_out_pct: (
        f"{left_out_pct:.0f} % of the window is left out or missing: what is left decides alone"
    ),
    "heat": lambda temperature_c, cool_c, added_pct: (
        f"it was {wording.temperature(temperature_c)}; above {wording.temperature(cool_c)} heart rate drifts more: about {added_pct:.1f} points of the "
        "drift may be heat"
    ),
    "ill that day": lambda: (
        "that was a day of illness, on which heart rate says nothing of a threshold; repeat it when all is well again"
    ),
    "pain that day": lambda: "something hurt that day, and pain alone may raise heart rate",
    "negative drift": lambda fall_pct, minutes: (
        f"heart rate fell by {fall_pct:.1f} % over {minutes:.0f} min: look for a changed setting, strap static or a "
        "missing warm-up before you believe it"
    ),
    "high drift": lambda drift_pct, minutes: (
        f"heart rate rose by {drift_pct:.1f} % over {minutes:.0f} min: look for a changed setting, strap static or a "
        "missing warm-up before you believe it"
    ),
    "window decides": lambda **ends: f"{_ends(**ends)}: take the drift as no surer than that range",
    "window matters little": lambda **ends: f"{_ends(**ends)}: the interval already allows for as much",
    "like cadence": lambda within_bpm: (
        f"heart rate lies within {within_bpm:.0f} bpm of cadence for much of the recording: a sensor that counts steps "
        "cannot be ruled out; repeat with a strap, or at another cadence"
    ),
    "strap": lambda bad_pct: (
        f"{bad_pct:.0f} % of the window is static or without a reading: wet or renew the strap before the next test"
    ),
    "unanswered": lambda n_stretches, moved_pct: (
        f"{wording.count(n_stretches, 'suggested stretch waits', 'suggested stretches wait')} for an answer: leaving "
        f"{'it' if n_stretches == 1 else 'them'} out would move the drift by up to {moved_pct:.1f} points"
    ),
    # what to be careful about
    "halves and line differ": lambda halves_pct, line_pct, within_pct: (
        f"the halves say {minus(halves_pct, 1)} % and a straight line {minus(line_pct, 1)} %; they should agree within "
        f"{within_pct:.1f}: look for a stretch that is not steady"
    ),
    "held not known": lambda: (
        "neither speed nor power is known, so whether the setting was held cannot be told; type the stages in"
    ),
    "temperature not known": lambda: "the air temperature is not known; heat would make the drift larger",
    "temperature from device": lambda temperature_c: (
        f"{wording.temperature(temperature_c)} is what the device felt, which the skin warms; note the air in the diary"
    ),
    "hills not recorded": lambda scatter_limit_pct: (
        "the hills of the route were not recorded, so nothing is taken out for a change of pace"
    ),
    "effort changed": lambda output_change_pct: (
        f"output {'fell' if output_change_pct < 0 else 'rose'} by {abs(output_change_pct):.0f} %: so much changes the "
        "effort itself, not only its price"
    ),
    "output missing in the window": lambda: (
        "speed or power is missing in much of the window, so nothing is taken out for a change of output"
    ),
    "too little heart rate for load": lambda hr_s, moving_s: (
        f"heart rate covers {hr_s / 60:.0f} of {moving_s / 60:.0f} min: time below and above the thresholds and load are "
        "left out"
    ),
    # why there is no steady stretch
    "no heart rate": lambda: "the recording holds no heart rate; pair the strap with the watch",
    "steady too short": lambda minutes, needed_min: (
        f"the longest even stretch after settling is {minutes:.0f} min; {needed_min:.0f} are needed for a drift"
    ),
    "pauses in the stretch": lambda pause_s: f"pauses of {pause_s:.0f} s lie in the longest even stretch",
    "output missing": lambda: "speed or power is missing in the longest even stretch",
    "output not steady": lambda scatter_pct, limit_pct: (
        f"output varied by {scatter_pct:.0f} % from minute to minute; up to {limit_pct:.0f} % is steady"
    ),
    "kind not steady": lambda kind: (
        {
            "ramp": "a ramp is not steady: type in its stages; they and the heart rate at their ends count",
            "step test": "a step test is not steady: type in its stages and lactate; they and the heart rate at their "
            "ends count",
            "intervals": "intervals are not steady, so their drift says nothing",
            "race": "a race is not steady, so its drift says nothing",
        }.get(kind, f"a {kind} is not steady; its window is that of the trial")
    ),
    "too little heart rate": lambda sentence: sentence.removesuffix("."),
}  # fmt: skip

"""The one thing for next week, in words: what to do, and why."""

from collections.abc import Sequence
from datetime import date

from coachlib.report.words import wording
from coachlib.report.words.catalogue import Sentence

HOW_TO_TEST = (
    "15 minutes at the test's own setting, then one hour at that same setting, fan on, no talking in the hour"
)
#: Signs that pain is more than soreness: common practice, no source.
_PAIN = (
    "If it is at one point of a bone, is there at night, makes you limp, swells or is sharp, or does not settle within days, "
    "see a physician before you train on it"
)


def _repeat(speed_mps: float | None, grade: float | None, power_w: float | None, hr_bpm: float) -> str:
    output = wording.setting(speed_mps=speed_mps, grade=grade, power_w=power_w)
    return f"repeat the steady test {f'at {output}' if output else f'near {wording.heart_rate(hr_bpm)}'}: {HOW_TO_TEST}"


def _remark(on: Sequence[date], quoted: Sequence[str]) -> str:
    said = [
        f"on {wording.day(day)} you wrote: “{words.rstrip('.')}”"
        for day, words in zip(on, quoted, strict=True)
    ]
    return f"{'; '.join(said)}. Your coach will speak with you; this page asks for nothing else"


def _missing(n_sessions: int, on: date, missing_s: float) -> str:
    return (
        f"in {wording.count(n_sessions, 'session')} usable heart rate was missing for part of the time, on "
        f"{wording.DAYS[on.weekday()]} for {wording.duration(missing_s)}"
    )


#: Where a first test is done, and what is good there.
_PLACES = {
    "treadmill": "on the treadmill, where the belt holds the pace",
    "ergometer": "on the indoor bicycle, where the power can be held",
    "rowing machine": "on the rowing machine, where the display helps to hold the pace",
    "open air": "on an even route without stops",
}


def _first(place: str, hr_bpm: float | None) -> str:
    if hr_bpm is None:
        return (
            f"a steady test {_PLACES[place]}, at an effort at which you could still talk in whole sentences"
        )
    return f"a steady test near {wording.heart_rate(hr_bpm)}, {_PLACES[place]}"


def _next(speed_mps: float | None, grade: float | None, power_w: float | None, hr_bpm: float) -> str:
    output = wording.setting(speed_mps=speed_mps, grade=grade, power_w=power_w)
    at = f"at {output}" if output else f"near {wording.heart_rate(hr_bpm)}"
    return f"the next steady test {at}: {HOW_TO_TEST}"


SENTENCES: dict[str, Sentence] = {
    "emergency number or physician": lambda: (
        "if you have it now, call the emergency number. Otherwise see a physician before you train again, and do no "
        "training and no test until then"
    ),
    "see a physician first": lambda: "see a physician before you train again, and do no training and no test until then",
    "a remark needs a physician": _remark,
    "rest until well": lambda: "rest until you are well, then begin again with short, easy days",
    "you were ill": lambda: (
        "you noted that you were ill. Training can wait; if it lasts or you are unsure, see a physician"
    ),
    "rest what is hurt": lambda: "leave out whatever hurts until it is settled",
    "you are injured": lambda: f"you are injured. {_PAIN}",
    "leave out what hurts": lambda: "leave out whatever hurts and tell your coach where and when",
    "you noted pain": lambda: f"you noted pain. {_PAIN}",
    "gates at each session": lambda: (
        "short and easy, and only when before it, after it and the day after you have no fever, chest pain, racing heart, "
        "dizziness, unusual breathlessness or tiredness; with any of them stop and see a physician"
    ),
    "newly back": lambda since_on, n_sessions: (
        f"you are newly back since {wording.short_date(since_on)}: three such sessions come first, {n_sessions} done. "
        "Your threshold was not checked since"
    ),
    "by effort under medicine": lambda: (
        "until your physician and your coach have spoken of it, train easy: by whether you can talk in whole sentences and by "
        "how hard it feels, not by heart rate"
    ),
    "medicine is new": lambda on, change: (
        f"on {wording.day_and_month(on)} a medicine that changes heart rate was {change}"
    ),
    "by effort in pregnancy": lambda: (
        "train so that you can talk, and as hard as your physician or midwife agrees; stop with bleeding, pain, dizziness, "
        "headache or breathlessness, and ask them before you go on"
    ),
    "write how you are": lambda: "write to your coach how you are and what the week was",
    "nothing of the week is known": lambda: "nothing was recorded and nothing written down this week",
    "wet the strap": lambda: "wet the strap before you put it on, and look whether its battery is due",
    "heart rate was missing": _missing,
    "first test": lambda place, hr_bpm: f"{_first(place, hr_bpm)}: {HOW_TO_TEST}",
    "shorter first test instead": lambda place, hr_bpm: (
        f"instead, {_first(place, hr_bpm)}: 15 minutes to settle and 30 minutes steady. That is about half as sure as an "
        "hour; note at the end whether you could talk and how hard it was from 0 to 10"
    ),
    "next steady test": _next,
    "first threshold not accepted": lambda: (
        "there are tests of you, but no first threshold was accepted from them yet; this one brings it nearer"
    ),
    "repeat the steady test": _repeat,
    "first threshold is old": lambda weeks: (
        f"your first threshold is {wording.age_weeks(weeks)}; it may have moved since"
    ),
    "first threshold untested": lambda **since: (
        f"your first threshold is from before {wording.event(**since)} and was not checked since; this is how we see whether "
        "it still holds"
    ),
    "first threshold is a bound": lambda weeks: (
        "of your first threshold only a bound is known; a further test can make a value of it"
    ),
    "steady test near": lambda hr_bpm: f"a steady test near {wording.heart_rate(hr_bpm)}: {HOW_TO_TEST}",
    "sessions disagree": lambda accepted_bpm, seems: (
        f"your ordinary sessions disagree with the accepted first threshold, {wording.heart_rate(accepted_bpm)}: it seems "
        f"{seems}"
    ),
    "keep easy below": lambda hr_bpm: (
        f"keep the next easy day below {wording.heart_rate(hr_bpm)} from start to end"
    ),
    "lower end of the threshold": lambda: "that is the lower end of what we know of your first threshold",
    "an ordinary week": lambda: "let next week be an ordinary one, unless more was planned",
    "load above own range": lambda load, n_weeks, low, high: (
        f"this week's load, {load:.0f}, lies above your own range of the last {wording.count(n_weeks, 'week')}, "
        f"{low:.0f} to {high:.0f}"
    ),
    "carry on": lambda: "carry on as planned",
    "nothing asks for a change": lambda has_note: (
        "the numbers of this week ask for no change; what your coach writes above comes first"
        if has_note
        else "nothing in this week asks for a change"
    ),
}  # fmt: skip

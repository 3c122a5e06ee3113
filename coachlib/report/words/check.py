"""What a check of a roster finds as sentences, each with its way out."""

from collections.abc import Callable
from datetime import date

from coachlib.report.words import wording


def _maximum(
    hr_max_bpm: float, worst_bpm: float, recording: str, n_recordings: int, may_be_heart: bool
) -> str:
    top = wording.heart_rate(worst_bpm)
    held = (
        f"{recording} holds {top} for ten seconds"
        if n_recordings == 1
        else f"{n_recordings} recordings hold more for ten seconds, the most {top} in {recording}"
    )
    return f"the maximum is {wording.heart_rate(hr_max_bpm)}, but {held}"


def _maximum_out(
    hr_max_bpm: float, worst_bpm: float, recording: str, n_recordings: int, may_be_heart: bool
) -> str:
    strap = "leave the stretch out in the recording workbook"
    if not may_be_heart:
        return f"hardly a heart at exercise: look whether the strap slipped, and {strap}"
    return f"was it the strap, {strap}; was it the heart, write what was measured as the athlete's maximum"


def _above(which: str, on: date, hr_bpm: float, hr_max_bpm: float) -> str:
    return (
        f"the {which} threshold of {on} is {wording.heart_rate(hr_bpm)} and the maximum "
        f"{wording.heart_rate(hr_max_bpm)}"
    )


def _two(which: str, on: date, one_bpm: float, other_bpm: float) -> str:
    return (
        f"two {which} thresholds stand for {on}: {wording.plain(one_bpm)} and {wording.heart_rate(other_bpm)}"
    )


def _crossed(since_on: date, second_bpm: float, second_on: date, first_bpm: float, first_on: date) -> str:
    return (
        f"from {since_on} on the second threshold ({wording.heart_rate(second_bpm)}, of {second_on}) is not above the "
        f"first ({wording.heart_rate(first_bpm)}, of {first_on})"
    )


def _old(which: str, on: date, weeks: float, allowed_weeks: int) -> str:
    return (
        f"the {which} threshold of {on} is {wording.age_weeks(weeks)} at the latest recording; this roster calls it "
        f"old after {allowed_weeks}"
    )


def _test_gone(test: str, which: str, on: date) -> str:
    return f"the test {test}... behind the {which} threshold of {on} is not there"


def _machine(
    machine: str, test: str, speed_mps: float | None, grade: float | None, power_w: float | None
) -> str:
    at = wording.setting(speed_mps=speed_mps, grade=grade, power_w=power_w)
    return f"the latest drift test with a setting ({test or 'typed in'}) was done at {at}, which the noted {machine} cannot be set to"


def _machine_out(machine: str, **_: object) -> str:
    return f"correct what is noted about the {machine}, or the setting; leave it where that was another {machine}"


def _row_alone(on: date, start: str) -> str:
    return f"no recording belongs to the row of {on}" + (f", {start}" if start else "")


def _rowless(n: int, latest: str, has_rows: bool) -> str:
    if n == 1:
        return f"no row belongs to the recording {latest}"
    if not has_rows:
        return f"the diary is empty: none of the {n} recordings has a row"
    return f"{n} recordings have no row, the latest {latest}"


def _two_devices(
    one: str, other: str, overlap_frac: float, hr_correlation: float | None, lag_s: float | None
) -> str:
    return (
        f"{one} and {other} are probably one session on two devices: they share {wording.percent(overlap_frac)} of the "
        f"shorter, and heart rate agrees (correlation {wording.plain(hr_correlation or 0.0)} at a lag of "
        f"{wording.minus(abs(lag_s or 0.0), 0)} s)"
    )


def _at_once(one: str, other: str, overlap_frac: float, **_: object) -> str:
    return (
        f"{one} and {other} ran at the same time: they share {wording.percent(overlap_frac)} of the shorter"
    )


def _beyond(start_s: float, elapsed_s: float) -> str:
    return (
        f"a stretch starts at {wording.plain(start_s)} s, but the recording has {wording.plain(elapsed_s)} s"
    )


def _apart(start_on: date, kinds: tuple[str, ...]) -> str:
    return (
        f"every day of the reference weeks from {start_on} is set apart ({', '.join(kinds)}), so no reading is left to "
        "compare with"
    )


def _why(why: str) -> str:
    return why.rstrip(".")


def _always(said: str) -> Callable[..., str]:
    return lambda **_: said


def _filled(said: str) -> Callable[..., str]:
    return said.format


#: Sentence and way out of every finding.
_SAID: dict[str, tuple[Callable[..., str], Callable[..., str]]] = {
    # the roster
    "nobody on the roster": (
        _always("there is no athlete in this folder"),
        _always("make a sub-folder for each, with athlete.toml in it"),
    ),
    "folder without a profile": (
        _filled("the folder {folder} needs athlete.toml; nobody gets a letter from it"),
        _always("write athlete.toml with at least the athlete's name, or move the folder elsewhere"),
    ),
    "not read": (_always("nothing here reads it"), _always("leave it, or move it elsewhere")),
    "conflict copy": (
        _filled("a copy of {original} beside it, as cloud drives make them; it is not read"),
        _filled("compare the two, keep what holds in {original}, and remove the copy"),
    ),
    "link out of the roster": (
        _always("this link leads out of the athlete's folder, so it is not followed"),
        _always("put the file itself here, or remove the link"),
    ),
    "file with two athletes": (
        _filled("the same file lies with {owner} as {recording}"),
        _always("leave it with the athlete it belongs to and remove it from the other"),
    ),
    # refused files
    "profile refused": (_why, _always("correct it in a text editor and check again")),
    "recording refused": (_why, _always("export it again, or move it out of recordings")),
    "decisions refused": (_why, _always("correct it in a text editor, or decide again")),
    "diary refused": (_why, _always("close it in other programs and check again")),
    "diary row refused": (_why, _always("correct it in a spreadsheet and check again")),
    "note misnamed": (_why, _always("rename it, such as “2026-W41.md”")),
    "note refused": (_why, _always("save it as UTF-8 and check again")),
    "note not printable": (_why, _always("correct it in a text editor and check again")),
    "decisions without a recording": (
        _filled("the recording {recording} is not there"), _always("put it back, or remove this file"),
    ),
    "decisions about no session": (
        _filled("it decides about session {part}, which the recording has not"),
        _always("correct the number, or decide again in the recording workbook"),
    ),
    # recordings
    "no recordings": (
        _always("there are no recordings yet"), _always("file some away, or wait for the first"),
    ),
    "stretch beyond the end": (_beyond, _always("correct it in the recording workbook")),
    "same file twice": (
        _filled("{one} and {other} are the same file twice"), _always("keep one; until then the session counts twice"),
    ),
    "same values twice": (
        _filled("{one} and {other} hold the same values, exported twice"),
        _always("keep one; until then the session counts twice"),
    ),
    "one session on two devices": (
        _two_devices, _always("keep one in recordings; until then the session counts twice"),
    ),
    "two recordings at once": (
        _at_once, _always("if both are one session, keep one; if one is another person's, move it there"),
    ),
    # the profile
    "maximum below what was held": (_maximum, _maximum_out),
    "threshold above the maximum": (
        _above, _always("correct the one that is wrong; a threshold lies below the maximum"),
    ),
    "thresholds out of order": (
        _always("the thresholds do not stand in the order of their dates"),
        _always("nothing depends on it; put the newest last so that a person finds it"),
    ),
    "two thresholds on a day": (_two, _always("withdraw the one that no longer holds")),
    "thresholds crossed": (_crossed, _always("withdraw the one that no longer holds, or test it again")),
    "profile without a first threshold": (
        _always("no first threshold is accepted, so no session can be told easy or not"),
        _always("do the test whose sheet the week's letter brings along, then accept what it shows at the desk, under Tests"),
    ),
    "threshold grown old": (_old, _always("test again when a steady week allows")),
    "test behind a threshold gone": (
        _test_gone, _always("put it back into recordings, or leave it: the accepted value does not depend on it"),
    ),
    "machine cannot do the test": (_machine, _machine_out),
    "reference weeks twice": (
        _filled("two reference weeks from {start_on} are both “{because}”"),
        _always("keep the one that holds and remove the other"),
    ),
    "reference weeks ahead": (
        _filled("the reference weeks from {start_on} lie after the latest recording; nothing is compared with them yet"),
        _always("correct the day, or leave it until the first recording"),
    ),
    "reference weeks apart": (_apart, _always("set weeks in which training was usual")),
    # the diary
    "no diary": (
        _always("there is no diary, so effort, talk test and remarks are missing from the letters"),
        _always("start one with a line of columns such as date,start,rpe,talk,health,remarks"),
    ),
    "recordings without a row": (
        _rowless,
        lambda has_rows, **_: "add a row for its day; with several sessions on a day, also the start"
        if has_rows
        else "begin with the latest week: a row with the date, how hard it was and whether one could talk says most",
    ),
    "row without a recording": (
        _row_alone,
        _always("add the recording, or correct the date and start; a session without one stays a row"),
    ),
    "row names a recording that is not there": (
        _filled("the row of {on} names the recording “{recording}”, which is not there or belongs to another row"),
        _always("correct the name, or add the recording"),
    ),
    "kind of session not known": (
        _filled("the kind of session on {on} is “{kind}”"),
        lambda known, **_: f"known kinds are {wording.listed(list(known))}",
    ),
}  # fmt: skip
SENTENCES = {name: said for name, (said, _) in _SAID.items()}
WAYS_OUT = {name: way for name, (_, way) in _SAID.items()}

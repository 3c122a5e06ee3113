"""One page for the athlete: how to do the next steady test."""

from dataclasses import dataclass
from datetime import date

from coachlib.analysis.series import Series
from coachlib.measures.next_test import Settings
from coachlib.report import wording
from coachlib.report.blocks import Html
from coachlib.report.sentences import CAUTIONS
from coachlib.report.text import escape

#: Minutes at the test's own settings before the window, and the window. [min]  The first is where drift is
#: commonly counted from (see ``measures.steady``), the second the length the criterion is made for.
BEFORE_MIN, WINDOW_MIN = 15, 60
STYLE = (
    "<style>.letter .big{font:600 1.75rem/1.2 var(--serif);margin:0 0 .3rem}"
    ".letter .steps{padding-left:1.3em}.letter .steps li{margin:0 0 .45em}"
    ".letter h2{margin-top:1.7rem}"
    "@media print{.letter h2{margin-top:1rem}.letter .big{font-size:1.5rem}.letter li{margin-bottom:.15em}}</style>"
)


@dataclass(frozen=True, kw_only=True)
class Protocol:
    """What a protocol sheet is made of.

    ``settings`` is None where the athlete holds a heart rate instead (outdoors); then ``target_bpm`` is
    what to aim for, and None where not even that is known yet.  ``usual`` are the conditions of the last
    test, as the diary has them: name and value.
    """

    athlete: str
    coach: str
    settings: Settings | None
    target_bpm: float | None
    not_before: date | None
    usual: tuple[tuple[str, str], ...]
    n_tests: int


def protocol_of(series: Series, *, athlete: str, coach: str) -> Protocol:
    """The protocol of a series' next test.

    Parameters
    ----------
    series : Series
        The analysed series.
    athlete, coach : str
        Names on the sheet.
    """
    return Protocol(
        athlete=athlete,
        coach=coach,
        settings=series.next_test.settings,
        target_bpm=series.next_test.target_bpm,
        not_before=series.next_not_before,
        usual=_usual(series),
        n_tests=len(series.tests),
    )


def _usual(series: Series) -> tuple[tuple[str, str], ...]:
    """The conditions of the last test that can be repeated."""
    row = series.tests[-1].test.conditions
    if row is None:
        return ()
    told = (
        ("start", f"{row.start.hour}:{row.start.minute:02d}" if row.start else None),
        ("caffeine", row.caffeine),
        ("hours since the last meal", _number(row.hours_since_food)),
        ("to drink", None if row.fluid_l is None else f"{row.fluid_l:g} l"),
        ("shoes or machine", row.equipment),
    )
    return tuple((name, value) for name, value in told if value)


def _number(value: float | None) -> str | None:
    return None if value is None else f"{value:g}"


def protocol_sheet(protocol: Protocol) -> Html:
    """The sheet: settings, the steps, what to keep the same, what to write down, when not to and when to stop.

    Parameters
    ----------
    protocol : Protocol
        What it is made of.

    Source
    ------
    The steps are common practice, no source; stop signs in the general words of the American College of
    Sports Medicine (2018), Guidelines for Exercise Testing and Prescription (from memory).

    Examples
    --------
    >>> bare = Protocol(athlete="Anna", coach="", settings=None, target_bpm=None, not_before=None, usual=(), n_tests=0)
    >>> "whole sentences" in protocol_sheet(bare)
    True
    """
    coach = f'<p class="from">from {escape(protocol.coach)}</p>' if protocol.coach else ""
    return Html(
        f'{STYLE}<header class="head"><h1>A steady test</h1><p class="when">for {escape(protocol.athlete)}</p>{coach}</header>'
        f'<p class="big">{escape(_setting(protocol))}</p><p>{escape(_expected(protocol))}</p>'
        f"{_list('How it goes', _steps(protocol), ordered=True)}"
        f"{_list('As in your usual training', _same(protocol))}"
        f"{_list('Write into the diary afterwards', _DIARY)}"
        f"{_list('Not on this day, and when to stop', (*_STOP, *CAUTIONS[2:]))}"
    )


def _setting(protocol: Protocol) -> str:
    """The one thing to remember."""
    s = protocol.settings
    if s is not None:
        return wording.setting(speed_mps=s.speed_mps, grade=s.grade, power_w=s.power_w)
    if protocol.target_bpm is not None:
        return f"About {wording.heart_rate(protocol.target_bpm)}"
    return "An effort at which you can speak in whole sentences"


def _expected(protocol: Protocol) -> str:
    """What heart rate to expect, and what not to do about it."""
    s = protocol.settings
    when = f" Not before {wording.day(protocol.not_before)}." if protocol.not_before else ""
    if s is not None and s.predicted_low_bpm is not None and s.predicted_high_bpm is not None:
        return (
            f"Your heart rate should be somewhere from {s.predicted_low_bpm:.0f} to "
            f"{wording.heart_rate(s.predicted_high_bpm)} in the first half hour. If it is not, change nothing: that is "
            f"what we want to know.{when}"
        )
    if s is not None:
        return f"Watch the setting, not your heart rate: what it does is what we want to know.{when}"
    if protocol.target_bpm is not None:
        return (
            "Choose an even route without stops. In the first 15 minutes find the pace that brings you to this heart "
            "rate, then keep that pace or effort to the end and let heart rate rise as it likes: do not slow down to "
            f"hold it.{when}"
        )
    return (
        "We know no heart rate for you yet. Choose an even route or a machine, settle into that effort in the first 15 "
        f"minutes and keep the pace to the end, whatever your heart rate does.{when}"
    )


def _steps(protocol: Protocol) -> tuple[str, ...]:
    """The test from warm-up to the end."""
    held = "these settings" if protocol.settings is not None else "this pace"
    return (
        "Wet the strap, start the watch, warm up as you always do: 5 to 10 easy minutes.",
        f"Then {BEFORE_MIN} minutes at the test's own settings, not easier: go to {held} at once and stay there. The "
        "hour only counts from where heart rate has settled.",
        f"Then {WINDOW_MIN} minutes more at exactly {held}. Change nothing, do not pause. "
        "You may press the lap button when the hour begins and ends; you need not.",
        "In that hour do not talk and do not sing: both show in the heart rate. At the very end say a sentence or two "
        "aloud, and note whether it was comfortable.",
        "Indoors: fan on from the start, pointed at you, window open if you can. Outdoors: cool, shade, little wind.",
        "Cool down for some minutes, then save the recording.",
    )


def _same(protocol: Protocol) -> tuple[str, ...]:
    """What to keep as always."""
    said = [
        "The day before: easy or rest. Sleep as usual.",
        "The same hour of the day, the same food, coffee and drink beforehand, the same shoes or machine. Drink in the "
        "hour as you always do.",
    ]
    if protocol.usual:
        last = "; ".join(f"{name} {value}" for name, value in protocol.usual)
        said.append(f"Last time it was: {last}.")
    return tuple(said)


_DIARY = (
    "Temperature and humidity of the room or the air, fan or not, and how you felt for heat.",
    "Hours of sleep, hours awake, hours since the last meal, coffee or tea, how much you drank.",
    "The settings of the machine (speed and grade, or power): the watch does not know them.",
    "How hard it was from 0 to 10, whether you could talk, and anything that was different: new shoes, a phone call, "
    "a slipping strap, sore legs.",
)

_STOP = (
    "Do no test when you are ill, feverish, hurt, sore from yesterday or short of sleep: another day does as well.",
    "Stop at once, and see a physician before you train again, with: pain or pressure in the chest, unusual "
    "breathlessness or wheezing, dizziness, confusion or unsteadiness, cold clammy skin or nausea, a racing or "
    "irregular pulse, pain in the legs that makes you limp.",
    "You may stop at any time without a reason. Also stop when the machine or the strap fails.",
)


def _list(title: str, sentences: tuple[str, ...], *, ordered: bool = False) -> str:
    """A heading with its sentences."""
    items = "".join(f"<li>{escape(s)}</li>" for s in sentences)
    kind = "ol" if ordered else "ul"
    return f'<section><h2>{escape(title)}</h2><{kind} class="steps">{items}</{kind}></section>'

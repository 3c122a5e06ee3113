"""One page for the athlete: how to do the next steady test."""

from collections.abc import Sequence
from dataclasses import dataclass

from coachlib.analysis.first_threshold.first_test import FirstTest
from coachlib.analysis.first_threshold.series import Series
from coachlib.measures.common.codes import Code
from coachlib.measures.first_threshold.machine_settings import Settings
from coachlib.records.machine import Machine
from coachlib.report.first_threshold.next_test_view import not_now
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence, whole
from coachlib.report.words.cautions import CAUTIONS
from coachlib.report.words.machine_words import grid_of, kind_of

#: Minutes at the test's own settings before the window, and the window. [min]  The first is where drift is
#: commonly counted from (see ``measures.recording.steady``), the second the length the criterion is made for.
BEFORE_MIN, WINDOW_MIN = 15, 60
#: The window where no session was as long as a test. [min]  See ``analysis.first_threshold.fit_to_test``.
SHORTER_MIN = 30
#: Where a test without settings is done: what to choose, and what is held there.
_PLACES = {
    "treadmill": ("Do it on the treadmill, at one incline.", "belt speed"),
    "ergometer": ("Do it on the indoor bicycle.", "power"),
    "rowing machine": ("Do it on the rowing machine.", "pace"),
    "open air": ("Choose an even route without stops, or a machine.", "pace"),
}
STYLE = (
    "<style>.letter .big{font:600 1.75rem/1.2 var(--serif);margin:0 0 .3rem}"
    ".letter .steps{padding-left:1.3em}.letter .steps li{margin:0 0 .45em}"
    ".letter h2{margin-top:1.7rem}"
    "@media print{.letter h2{margin-top:1rem}.letter .big{font-size:1.5rem}.letter li{margin-bottom:.15em}}</style>"
)


@dataclass(frozen=True, kw_only=True)
class Protocol:
    """What a protocol sheet is made of.

    ``series`` is None before the first test; then ``first`` says which test fits first.  ``usual`` are the conditions of the last test, as the diary has
    them: name and value.  ``against`` is what speaks against asking for a test now.
    """

    athlete: str
    coach: str
    series: Series | None = None
    first: FirstTest | None = None
    usual: tuple[tuple[str, str], ...] = ()
    against: tuple[Code, ...] = ()

    @property
    def settings(self) -> Settings | None:
        """What to set; None where the athlete holds a heart rate or an effort instead (outdoors)."""
        return self.series.next_test.settings if self.series is not None else None

    @property
    def target_bpm(self) -> float | None:
        """The heart rate to find the settings by, where none are given; None where it goes by talking."""
        if self.series is not None:
            return self.series.next_test.target_bpm
        return self.first.target_bpm if self.first is not None else None

    @property
    def is_shorter(self) -> bool:
        """Whether nothing but its length speaks against the test."""
        return bool(self.against) and all(why.name == "no session as long" for why in self.against)


def protocol_of(
    series: Series | None,
    *,
    athlete: str,
    coach: str,
    first: FirstTest | None = None,
    against: Sequence[Code] = (),
) -> Protocol:
    """The protocol of a series' next test.

    Parameters
    ----------
    series : Series or None
        The analysed series; None before the first test.
    athlete, coach : str
        Names on the sheet.
    first : FirstTest, optional
        Before the first test: which one fits.
    against : sequence of Code
        What speaks against a test now, see ``analysis.first_threshold.fit_to_test``.
    """
    usual = _usual(series) if series is not None else ()
    return Protocol(
        athlete=athlete, coach=coach, series=series, first=first, usual=usual, against=tuple(against)
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
    >>> "whole sentences" in protocol_sheet(Protocol(athlete="Anna", coach=""))
    True
    """
    if protocol.against and not protocol.is_shorter:
        return _instead(protocol)
    coach = f'<p class="from">from {escape(protocol.coach)}</p>' if protocol.coach else ""
    title = "A shorter steady test" if protocol.is_shorter else "A steady test"
    return Html(
        f'{STYLE}<header class="head"><h1>{title}</h1><p class="when">for {escape(protocol.athlete)}</p>{coach}</header>'
        f'<p class="big">{escape(_setting(protocol))}</p><p>{escape(_expected(protocol))}</p>'
        f"{_planned(protocol)}"
        f"{_list('How it goes', _steps(protocol), ordered=True)}"
        f"{_list('As in your usual training', _same(protocol))}"
        f"{_list('Write into the diary afterwards', _DIARY)}"
        f"{_list('Not on this day, and when to stop', (*_STOP, *CAUTIONS[2:]))}"
    )


def _instead(protocol: Protocol) -> Html:
    """The sheet for somebody of whom no test is asked: why, what to do instead, when to stop."""
    coach = f'<p class="from">from {escape(protocol.coach)}</p>' if protocol.coach else ""
    return Html(
        f'{STYLE}<header class="head"><h1>No test for now</h1><p class="when">for {escape(protocol.athlete)}</p>{coach}'
        f"</header>{not_now(protocol.against)}{_list('When to stop', _STOP[1:])}"
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
    if s is not None and s.predicted_low_bpm is not None and s.predicted_high_bpm is not None:
        return (
            f"Your heart rate should be somewhere from {s.predicted_low_bpm:.0f} to "
            f"{wording.heart_rate(s.predicted_high_bpm)} in the first half hour. If it is not, change nothing: that is "
            "what we want to know."
        )
    if s is not None:
        return "Watch the setting, not your heart rate: what it does is what we want to know."
    place, held = _PLACES[protocol.first.place if protocol.first is not None else "open air"]
    if protocol.target_bpm is not None:
        return (
            f"{place} In the first 15 minutes find the {held} that brings you to this heart rate, then keep that {held} to "
            "the end and let heart rate rise as it likes: do not slow down to hold it."
        )
    return (
        f"We know no heart rate for you yet. {place} Settle into that effort in the first 15 minutes and keep the {held} to "
        "the end, whatever your heart rate does."
    )


def _planned(protocol: Protocol) -> str:
    """What the test will tell, when it may be done, and which machine its settings are for."""
    series = protocol.series
    if series is None:
        first = protocol.first
        return f"<p>{escape(f'Why this one: {sentence(first.why)}.')}</p>" if first is not None else ""
    plan = series.next_test
    when = f"Not before {wording.day(series.next_not_before)}. {whole(plan.rest_from)}"
    caveats = "".join(f"<p>{escape(whole(c))}</p>" for c in plan.caveats)
    machine = ""
    if series.machine is not None:
        machine = f'<p class="small">{escape(_machine(series.machine, is_usual=series.machine_is_usual))}</p>'
    return f"{caveats}<p>{escape(_tells(series))} {escape(when)}</p>{machine}"


def _machine(machine: Machine, *, is_usual: bool) -> str:
    """Whose settings these are."""
    if not is_usual:
        return f"Your {kind_of(machine)} can be set so: {grid_of(machine)}."
    return (
        f"This is for a usual {kind_of(machine)}: {grid_of(machine)}. If yours has no such setting, take the nearest it "
        "has, write it down and tell us what it can be set to."
    )


def _tells(series: Series) -> str:
    """What the result will do to what is known."""
    plan = series.next_test
    if series.threshold.is_unresolved:
        return "Why we ask: two tests do not fit each other, and this one is to show which of them holds."
    if plan.enough:
        return (
            f"We know your first threshold within a span of {plan.width_now_bpm:.0f} beats, and another test can hardly "
            "narrow that: this one is to see whether it still holds."
        )
    if not series.threshold.has_best_guess:
        return "Why we ask: so far we know one end of where your first threshold lies; this test is to find the other."
    return (
        f"Why we ask: so far we know your first threshold within a span of {plan.width_now_bpm:.0f} beats; after this "
        f"test, whatever it shows, that should be about {plan.width_after_bpm:.0f}."
    )


def _steps(protocol: Protocol) -> tuple[str, ...]:
    """The test from warm-up to the end."""
    is_set = protocol.settings is not None
    chosen = _PLACES[protocol.first.place if protocol.first is not None else "open air"][1]
    held = "these settings" if is_set else f"this {chosen}"
    settling = (
        f"{BEFORE_MIN} minutes at the test's own settings, not easier: go to {held} at once and stay there"
        if is_set
        else f"{BEFORE_MIN} minutes in which you find the {chosen} for it, not easier, and stay there"
    )
    length = f"{SHORTER_MIN} minutes" if protocol.is_shorter else f"{WINDOW_MIN} minutes"
    whole_time = "half hour" if protocol.is_shorter else "hour"
    return (
        "Wet the strap, start the watch, warm up as you always do: 5 to 10 easy minutes.",
        f"Then {settling}. The {whole_time} only counts from where heart rate has settled.",
        f"Then {length} more at exactly {held}. Change nothing, do not pause. "
        f"You may press the lap button when the {whole_time} begins and ends; you need not.",
        f"In that {whole_time} do not talk, not on the phone either: it shows in the heart rate. At the very end say a sentence or two "
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

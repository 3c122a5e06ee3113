"""The panel of ``workbooks/thresholds.ipynb``: a series of drift tests, the next one, and accepting."""

import os
from dataclasses import dataclass
from datetime import date, timedelta

import ipywidgets

from coachlib.analysis.series import Ergometer, Series, Treadmill, analyse_series
from coachlib.analysis.session import SessionResult, domain_time
from coachlib.analysis.weeks import week_of
from coachlib.errors import CoachError, RosterProblem, TooLittleData
from coachlib.field_tests import USUAL_ERGOMETER, USUAL_TREADMILL, DriftTests, read_drift_tests, usual_machine
from coachlib.files.athlete_folder import AthleteFolder
from coachlib.files.folder import RosterFolder, open_roster
from coachlib.panels.choosing import ChoicePanel, StillPage, athlete_names, on_screen
from coachlib.panels.key_guard import KeyGuard
from coachlib.panels.recording import chosen_athlete
from coachlib.reading import read_history
from coachlib.records.athlete import Athlete, Threshold
from coachlib.report import threshold_view as view
from coachlib.report import wording
from coachlib.report.blocks import Html
from coachlib.sheets import save_protocol_sheet

#: Weeks that are judged again under a new threshold.  Own choice: what a coach remembers.
JUDGED_WEEKS = 4
OUTDOORS, BELT, WATTS = "heart rate only", "treadmill", "power"
MACHINES: dict[str, Treadmill | Ergometer | None] = {
    OUTDOORS: None,
    BELT: USUAL_TREADMILL,
    WATTS: USUAL_ERGOMETER,
}
#: Text fields and lists stand under each other with their names in one column.
_WIDE = {"style": {"description_width": "9em"}, "layout": {"width": "26em"}}


@dataclass(frozen=True, kw_only=True)
class SeriesPage:
    """One athlete's series with what the coach chose, and its page."""

    athlete: Athlete
    series: Series
    left_out: tuple[str, ...]
    sessions: tuple[SessionResult, ...]

    @property
    def proposal(self) -> Threshold:
        """What would be accepted, from the day after the last test."""
        return view.proposal(self.series, on=self.series.tests[-1].test.on + timedelta(days=1))

    def html(self) -> Html:
        """The whole page."""
        last = max([t.test.on for t in self.series.tests] + [s.on for s in self.sessions])
        pieces = (
            view.finding(
                self.series, athlete=self.athlete.name, standing=self.athlete.threshold_on("first", last)
            ),
            view.chart(self.series),
            view.series_tests(self.series, left_out=self.left_out),
            view.conditions(self.series),
            view.next_test(self.series),
            view.rejudged(self._rejudged(), new=self.proposal),
            view.standing_thresholds(self.athlete, "first"),
            view.cautions(),
        )
        return Html("".join(pieces))

    def _rejudged(self) -> list[view.Rejudged]:
        """The last sessions under the thresholds of their day and under the proposed one."""
        new = self.proposal
        found = []
        for s in self.sessions:
            if s.seconds_at_bpm and sum(s.seconds_at_bpm) > 0:
                second = self.athlete.threshold_on("second", s.on)
                found.append(
                    view.Rejudged(
                        on=s.on,
                        kind=s.kind or s.planned or "",
                        then=s.domains,
                        now=domain_time(s.seconds_at_bpm, new.hr_bpm, second.hr_bpm if second else None),
                    )
                )
        return found


def series_page(
    known: DriftTests,
    *,
    criterion_pct: float,
    machine: Treadmill | Ergometer | None,
    sessions: tuple[SessionResult, ...],
    left_out: tuple[str, ...] = (),
) -> SeriesPage:
    """Analyse an athlete's series.

    Parameters
    ----------
    known : DriftTests
        The tests as they were read.
    criterion_pct : float
        Drift over an hour that marks the threshold. [%]
    machine : Treadmill, Ergometer or None
        What the next test can be set to.
    sessions : tuple of SessionResult
        The last weeks, to be judged again.
    left_out : tuple of str
        Names of tests (see ``name_of_test``) that the coach leaves out.

    Raises
    ------
    TooLittleData
        Without any test.
    """
    kept = tuple(t for t in known.tests if name_of_test(t) not in left_out)
    if not kept and known.tests:
        raise TooLittleData("every test is left out; a threshold needs at least 1. Tick one.")
    series = analyse_series(kept, known.athlete, criterion_pct=criterion_pct, machine=machine)
    said = tuple(f"{name} is left out by your choice" for name in left_out)
    return SeriesPage(
        athlete=known.athlete,
        series=series,
        left_out=(*said, *known.left_out),
        sessions=sessions,
    )


def name_of_test(test: view.SeriesTest) -> str:
    """How a test is called in a list."""
    return test.source if test.sha256 else f"{test.on} (typed in)"


def recent_sessions(roster: RosterFolder, own: AthleteFolder) -> tuple[SessionResult, ...]:
    """The athlete's last weeks of training, up to the last recording."""
    paths = own.recordings()
    if not paths:
        return ()
    try:
        last = date.fromisoformat(max(p.name[:10] for p in paths))
        week = week_of(last, starts=roster.settings.week_starts)
        return read_history(roster, own, week, n_weeks=JUDGED_WEEKS).sessions
    except (CoachError, ValueError):
        return ()


class ThresholdsPanel(ChoicePanel):
    """Athlete, criterion, machine and tests to choose; the page; accept, withdraw, protocol sheet."""

    def __init__(self, roster: RosterFolder, athlete: str, criterion_pct: float) -> None:
        super().__init__()
        self._roster = roster
        self._sessions: tuple[SessionResult, ...] = ()
        self._known: DriftTests | None = None
        self.shown: SeriesPage | None = None
        self.athlete = ipywidgets.Dropdown(
            description="Athlete", options=athlete_names(roster), value=athlete, **_WIDE
        )
        self.criterion = ipywidgets.BoundedFloatText(
            description="Criterion, %", value=criterion_pct, min=1, max=15, step=0.5, **_WIDE
        )
        self.machine = ipywidgets.Dropdown(
            description="Next test by", options=[BELT, WATTS, OUTDOORS], **_WIDE
        )
        self.tests = ipywidgets.SelectMultiple(description="Tests that count", rows=6, **_WIDE)
        self.value = ipywidgets.BoundedFloatText(description="Accept, bpm", min=30, max=250, step=1, **_WIDE)
        self.day = ipywidgets.DatePicker(description="Valid from", **_WIDE)
        self.accept_button = ipywidgets.Button(description="Accept this threshold", layout={"width": "14em"})
        self.standing = ipywidgets.Dropdown(description="Accepted", **_WIDE)
        self.withdraw_button = ipywidgets.Button(description="Withdraw it", layout={"width": "14em"})
        self.sheet_button = ipywidgets.Button(
            description="Write the protocol sheet", layout={"width": "14em"}
        )
        self.athlete.observe(self.guarded(self._open), "value")
        for choice in (self.criterion, self.machine, self.tests):
            choice.observe(self.guarded(self._show), "value")
        self.accept_button.on_click(self.guarded(self.accept))
        self.withdraw_button.on_click(self.guarded(self.withdraw))
        self.sheet_button.on_click(self.guarded(self.write_sheet))
        self.children = [
            ipywidgets.HBox(
                [
                    ipywidgets.VBox([self.athlete, self.criterion, self.machine]),
                    ipywidgets.VBox([self.tests]),
                ]
            ),
            self.page,
            ipywidgets.HBox(
                [
                    ipywidgets.VBox([self.value, self.day, self.standing]),
                    ipywidgets.VBox([self.accept_button, self.sheet_button, self.withdraw_button]),
                ]
            ),
            self.status,
            KeyGuard(),
        ]
        self.guarded(self._open)(None)

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return f"the threshold panel of {self.athlete.value}"

    def accept(self) -> None:
        """Write the threshold into the athlete's file.

        Raises
        ------
        RosterProblem
            When there is nothing to accept, or one of that day stands.
        """
        page = self._page()
        value, on = float(self.value.value), self.day.value
        if on is None:
            raise RosterProblem("a threshold needs the day from which it holds; none is given. Choose one.")
        proposed = page.proposal
        low, high = proposed.hr_low_bpm, proposed.hr_high_bpm
        if (low is not None and value < low) or (high is not None and value > high):
            raise RosterProblem(
                f"{value:g} bpm lies outside what the tests allow ({_ends(low, high)}). Choose a value inside."
            )
        changed: dict[str, object] = {"hr_bpm": value, "on": on}
        if value != proposed.hr_bpm:
            # speed and power belong to the proposed heart rate
            changed |= {"speed_mps": None, "grade": None, "power_w": None}
            changed["note"] = f"{proposed.note}; value chosen by the coach".lstrip("; ")
        accepted = proposed.model_copy(update=changed)
        self._own().accept_threshold(accepted)
        self._open()
        self.say(f"Accepted: {wording.threshold(accepted)}, valid from {wording.full_date(accepted.on)}.")

    def withdraw(self) -> None:
        """Withdraw the accepted threshold that is chosen; it stays in the file for the record.

        Raises
        ------
        RosterProblem
            When none is chosen.
        """
        on = self.standing.value
        if on is None:
            raise RosterProblem("no first threshold is accepted, so there is none to withdraw.")
        self._own().withdraw_threshold("first", on)
        self._open()
        self.say(
            f"Withdrawn: the first threshold of {wording.full_date(on)}. It stays in the file for the record."
        )

    def write_sheet(self) -> None:
        """Write the protocol sheet of the next test for the athlete."""
        path = save_protocol_sheet(self._roster, self._own(), self._page().series)
        self.say(f"Written: {path.relative_to(self._roster.path)}.")

    def _page(self) -> SeriesPage:
        if self.shown is None:
            raise RosterProblem("there is no series on this page yet. Choose an athlete with a drift test.")
        return self.shown

    def _own(self) -> AthleteFolder:
        return self._roster.athlete(self.athlete.value)

    def _open(self) -> None:
        """Read the athlete's tests and show them."""
        self.shown = None
        self._known = None
        self.page.value = ""
        self.say("")
        known = read_drift_tests(self._roster, self._own())
        machine = usual_machine(known.tests)
        names = [name_of_test(t) for t in known.tests]
        standing = [t for t in known.athlete.thresholds if t.which == "first" and not t.withdrawn]

        def fill() -> None:
            self.tests.options, self.tests.value = names, names
            self.machine.value = (
                WATTS
                if isinstance(machine, Ergometer)
                else BELT
                if isinstance(machine, Treadmill)
                else OUTDOORS
            )
            self.standing.options = [
                (f"{wording.full_date(t.on)}: {wording.threshold(t)}", t.on)
                for t in sorted(standing, key=lambda t: t.on, reverse=True)
            ]

        self.filling(fill)
        self._known = known
        self._sessions = recent_sessions(self._roster, self._own())
        self._show()

    def _show(self) -> None:
        """Make the page anew from the choices."""
        known = self._known
        if known is None:
            return
        names = [name_of_test(t) for t in known.tests]
        self.shown = series_page(
            known,
            criterion_pct=float(self.criterion.value),
            machine=MACHINES[self.machine.value],
            sessions=self._sessions,
            left_out=tuple(n for n in names if n not in self.tests.value),
        )
        self.page.value = on_screen(self.shown.html())
        proposed = self.shown.proposal

        def fill() -> None:
            self.value.value, self.day.value = proposed.hr_bpm, proposed.on

        self.filling(fill)
        self.say("")


def thresholds_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    *,
    criterion_pct: float | None = None,
    leave_out: str = "",
    interactive: bool = True,
) -> ThresholdsPanel | StillPage:
    """Open one athlete's series of drift tests.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    athlete : str, optional
        Folder name or name; None takes the athlete with the most drift tests.
    criterion_pct : float, optional
        Drift over an hour that marks the threshold; None takes the roster's. [%]
    leave_out : str
        Names of tests to leave out, with commas between, for a run without a screen.
    interactive : bool
        False gives the page without anything to click.

    Raises
    ------
    RosterProblem
        When there is no such roster or athlete.
    TooLittleData
        When the athlete has no drift test.

    Source
    ------
    This project's own choice.

    Examples
    --------
    ``workbooks/thresholds.ipynb`` is this function and two sentences.
    """
    folder = open_roster(roster)
    own = chosen_athlete(folder, athlete or _most_tested(folder))
    criterion = folder.settings.criterion_pct if criterion_pct is None else criterion_pct
    if interactive:
        return ThresholdsPanel(folder, own.slug, criterion)
    known = read_drift_tests(folder, own)
    page = series_page(
        known,
        criterion_pct=criterion,
        machine=usual_machine(known.tests),
        sessions=recent_sessions(folder, own),
        left_out=tuple(name.strip() for name in leave_out.split(",") if name.strip()),
    )
    return StillPage(page.html(), f"the thresholds of {own.slug}")


def _most_tested(folder: RosterFolder) -> str | None:
    """The athlete with the most drift tests, so that the page opens on something."""
    counted = []
    for slug in folder.athletes():
        try:
            counted.append((len(read_drift_tests(folder, folder.athlete(slug)).tests), slug))
        except CoachError:
            continue
    return max(counted, key=lambda c: c[0])[1] if counted else None


def _ends(low: float | None, high: float | None) -> str:
    """An interval in words, either end open."""
    if low is None:
        return f"at most {high:g} bpm"
    return f"at least {low:g} bpm" if high is None else f"{low:g} to {high:g} bpm"

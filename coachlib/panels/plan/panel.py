"""The panel of ``workbooks/plan.ipynb``: an athlete's coming week as a grid, its sums beside it, and how the letter says it."""

import os
from dataclasses import replace
from datetime import date, timedelta

import ipywidgets

from coachlib.analysis.plan.planned import as_recorded
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.week_ahead import WeekAhead, week_ahead
from coachlib.analysis.week.calendar import first_day, week_of
from coachlib.errors import BadArgument, CoachError
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.history import latest_week, week_of_athlete
from coachlib.panels.choosing.choosing import ChoicePanel, StillPage, on_screen
from coachlib.panels.desk.page_keeper import PageKeeper
from coachlib.panels.plan.plan_files import PlanFiles, PlanRow
from coachlib.panels.plan.plan_grid import PlanGrid
from coachlib.panels.plan.proposals import last_week_again, next_test_rows
from coachlib.panels.recording.panel import chosen_athlete
from coachlib.records.athlete import Event
from coachlib.report.letter.week_ahead import ahead
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import plan, wording
from coachlib.report.words.catalogue import whole

#: Weeks that are offered from the one after the last on. Own choice.
N_WEEKS = 4


class PlanPanel(ChoicePanel):
    """Athlete and week to choose, the grid of days, the sums and notices beside it, and the letter's words beneath.

    ``week`` is the week that was: the one planned is the next, as in its letter.
    """

    def __init__(self, roster: RosterFolder, athlete: str, week: str) -> None:
        super().__init__(roster, athlete, what="plan", name_width="5em", width="22em")
        self._monday: AthleteWeek | None = None
        self._files: PlanFiles | None = None
        self._rows: tuple[PlanRow, ...] = ()
        self.week = self.field(ipywidgets.Dropdown, "Week", options=self._weeks(week), value=week)
        self.grid = PlanGrid(changed=self.type_cell, added=self.add_row, removed=self.remove_row)
        self.beside = ipywidgets.HTML(layout={"flex": "1 1 18em", "min_width": "0"})
        self.preview = ipywidgets.HTML()
        self.again_button = self.button("Last week once more", self.take_over)
        self.test_button = self.button("Put in the next test", self.put_test)
        self.undo_button = self.button("Undo", self.undo)
        self.event_day = ipywidgets.Dropdown(
            description="on", style={"description_width": "2em"}, layout={"width": "11em"}
        )
        self.event_name = ipywidgets.Text(
            placeholder="name of a race or another event", layout={"width": "18em"}
        )
        self.event_button = self.button("Note the event", self.note_event)
        self.keeper = PageKeeper(athlete=self.athlete, week=self.week)
        self.on_choice(self._read, self.athlete)
        self.on_choice(self._read, self.week)
        choices = ipywidgets.HBox(
            [self.athlete, self.week, self.again_button, self.test_button, self.undo_button]
        )
        choices.layout = {"flex_flow": "row wrap"}
        grid = ipywidgets.VBox([self.grid], layout={"flex": "3 1 34em", "min_width": "0"})
        both = ipywidgets.HBox([grid, self.beside], layout={"flex_flow": "row wrap"})
        event = ipywidgets.HBox([self.event_day, self.event_name, self.event_button])
        event.layout = {"flex_flow": "row wrap"}
        self.children = [choices, self.status, both, event, self.preview, self.keeper]
        self.guarded(self._read)(None)

    def _weeks(self, week: str) -> list[tuple[str, str]]:
        """The weeks that can be planned, each by the one before it."""
        starts = self._roster.settings.week_starts
        begin = first_day(week, starts=starts)
        before = [begin + timedelta(weeks=n) for n in range(N_WEEKS)]
        return [(wording.week(d + timedelta(days=7)), week_of(d, starts=starts)) for d in before]

    # ---- reading ---------------------------------------------------------------------------------------------

    def _read(self) -> None:
        """Read the week that was and what is planned for the next."""
        self._files = self._monday = None
        starts = self._roster.settings.week_starts
        own = self.own()
        coming = week_of(first_day(self.week.value, starts=starts) + timedelta(days=7), starts=starts)
        files = PlanFiles(own, coming, self._roster.settings)
        self._monday = week_of_athlete(self._roster, own, self.week.value)
        self._files = files
        self.filling(lambda: self._fill_days(files))
        self.say("")
        self._show()

    def _fill_days(self, files: PlanFiles) -> None:
        horizon = [files.first + timedelta(days=n) for n in range(7 * N_WEEKS)]
        self.event_day.options = [(wording.day(d), d) for d in horizon]
        self.event_day.value = horizon[-1] if self.event_day.value is None else self.event_day.value

    @property
    def files(self) -> PlanFiles:
        """The week that is open."""
        if self._files is None:
            raise CoachError("no week is open. Choose one.")
        return self._files

    @property
    def monday(self) -> AthleteWeek:
        """The week that was, with what the diary now plans for the next."""
        if self._monday is None:
            raise CoachError("no week is open. Choose one.")
        return replace(self._monday, coming=self.files.read_rows())

    def _show(self, *, refused: tuple[int, str] | None = None) -> None:
        self._rows = self.files.rows()
        found = week_ahead(self.monday)
        sports = list(dict.fromkeys(as_recorded(s) for s in self.monday.week.athlete.sports))
        self.grid.show(
            self._rows, self.files.days, sports=sports, notes=_notes(self._rows, found), refused=refused
        )
        self.undo_button.disabled = not self.files.can_undo
        self.beside.value = on_screen(_beside(found))
        self.preview.value = on_screen(ahead(found))

    # ---- planning --------------------------------------------------------------------------------------------

    def type_cell(self, row: int, column: str, text: str) -> None:
        """Write one cell of the grid into the diary, or say why not."""
        self._act(lambda: self.files.change(self._rows[row], column, text), refused=(row, column))

    def add_row(self, day: str) -> None:
        """Write a row for a day, to be filled in."""
        self._act(lambda: self.files.add([{"date": day, "target": "easy"}]))

    def remove_row(self, row: int) -> None:
        """Take a planned row out."""
        self._act(lambda: self.files.remove(self._rows[row]))

    def _act(self, act: object, *, refused: tuple[int, str] | None = None) -> None:
        with self.lock:
            try:
                act()  # type: ignore[operator]
            except (CoachError, IndexError) as refusal:
                self._show(refused=refused)
                self.say(f"Not written: {refusal}")
                return
            self._show()
            self.say("Diary written.")

    def take_over(self) -> None:
        """Plan last week once more, on the days that are still free."""
        taken = [date.fromisoformat(row.cells["date"]) for row in self._rows]
        found = last_week_again(self.monday, taken)
        if not found:
            raise BadArgument("last week holds nothing for a day that is still free.")
        self.files.add(found)
        self._show()
        self.say(
            f"{wording.count(len(found), 'day')} taken over from last week. Tests and races are left out."
        )

    def put_test(self) -> None:
        """Put in the next test with its settings, and keep the day before it free."""
        self.files.add(next_test_rows(self.monday, self.files.read_rows(), self.files.days))
        self._show()
        self.say("Test put in. Its sheet goes with the letter.")

    def undo(self) -> None:
        """Take the last change back."""
        self.files.undo()
        self._show()
        self.say("Taken back.")

    def note_event(self) -> None:
        """Write an event into the athlete's profile."""
        event = Event(on=self.event_day.value, name=self.event_name.value or "?")
        self.own().keep_event(event)
        self.filling(lambda: setattr(self.event_name, "value", ""))
        self._read()
        self.say(f"Noted: {event.name}, {wording.day(event.on)}.")


def _notes(rows: tuple[PlanRow, ...], found: WeekAhead) -> list[str]:
    """Beneath each row the range that leads it, or why it waits."""
    by_day: dict[tuple[str, str], str] = {}
    for d in found.days:
        why = whole(d.held[0]) if d.held else "" if d.day.lead is None else plan.lead(d.day.lead)
        by_day[str(d.day.on), d.day.words] = f"waits: {why}" if d.held else why
    return [by_day.get((row.cells["date"], row.cells["planned"]), "") for row in rows]


def _beside(found: WeekAhead) -> Html:
    """The sums, what the week speaks against, and what is worth a look."""
    told = "".join(f'<li class="held">{escape(whole(c))}</li>' for c in found.told)
    notes = "".join(f"<li>{escape(whole(c))}</li>" for c in found.sums.notes)
    items = f"<ul>{told}{notes}</ul>" if told or notes else ""
    return Html(f'<section><p role="status"><b>{escape(plan.sums(found.sums))}</b></p>{items}</section>')


def plan_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    week: str | None = None,
    *,
    interactive: bool = True,
) -> PlanPanel | StillPage:
    """Open the planning page of an athlete.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    athlete : str
        An athlete's folder name or name; None takes the first.
    week : str
        ISO name of the week before the one to plan; None takes the roster's last complete week.
    interactive : bool
        False gives the week as the letter would say it, for a run without a browser.

    Raises
    ------
    RosterProblem
        When there is no such roster or athlete.

    Source
    ------
    This project's own choice.

    Examples
    --------
    ``workbooks/plan.ipynb`` is this function and two sentences.
    """
    folder = open_roster(roster)
    own = chosen_athlete(folder, athlete)
    chosen = week or latest_week(folder)
    if interactive:
        return PlanPanel(folder, own.slug, chosen)
    found = week_ahead(week_of_athlete(folder, own, chosen))
    return StillPage(Html(f"{_beside(found)}{ahead(found)}"), f"the plan panel of {own.slug}")

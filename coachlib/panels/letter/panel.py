"""The panel of ``workbooks/letter.ipynb``: note and diary of an athlete's week, and the letter made of them."""

import io
import os
import threading
from datetime import date, timedelta
from typing import Any

import ipywidgets
from jupyter_core.utils import ensure_event_loop

from coachlib.analysis.remarks.open_red_flags import OpenRedFlag
from coachlib.analysis.roster.reasons.red_flag import red_flag_code
from coachlib.analysis.roster.week_ahead import week_ahead
from coachlib.analysis.week.calendar import first_day
from coachlib.errors import CoachError
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.history import week_of_athlete
from coachlib.jobs.weeks import write_weeks
from coachlib.panels.choosing.choosing import WRAPPED, ChoicePanel, StillPage, on_screen
from coachlib.panels.desk.page_keeper import PageKeeper
from coachlib.panels.letter.diary_grid import DiaryGrid
from coachlib.panels.letter.week_files import DayRow, WeekFiles, weeks_of
from coachlib.panels.recording.panel import chosen_athlete
from coachlib.records.health import Settled
from coachlib.report.look.markdown import markdown_html
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.page.places import made_address, page_address
from coachlib.report.words import wording
from coachlib.report.words.catalogue import way_out, whole


class LetterPanel(ChoicePanel):
    """Athlete and week to choose, the note with its preview, the diary's rows, and the button that writes."""

    def __init__(self, roster: RosterFolder, athlete: str, week: str | None, *, today: date) -> None:
        super().__init__(roster, athlete, what="letter", name_width="5em", width="22em")
        self._today = today
        self._files: WeekFiles | None = None
        self._rows: list[DayRow] = []
        self._added: list[DayRow] = []
        self._plan: list[str] = []
        self._writing: threading.Thread | None = None
        self.week = self.field(ipywidgets.Dropdown, "Week")
        self.note = ipywidgets.Textarea(
            placeholder="Your words to the athlete, as the body of the letter",
            layout={"width": "100%", "height": "14em"},
        )
        self.note.add_class("coach-kept-note")
        self.note_label = ipywidgets.HTML("<b>Your note</b> (kept as you type; *stars* make words italic)")
        self.preview = ipywidgets.HTML()
        self.hindrances = ipywidgets.HTML()
        self.red_flags = ipywidgets.VBox([])
        self.grid = DiaryGrid(self.type_cell, self.add_row)
        self.write_button = self.button("Write and open", self.write, is_main=True)
        self.all_button = self.button("Write all", self.write_all)
        self.keeper = PageKeeper(athlete=self.athlete, week=self.week)
        self.on_choice(self._list_weeks, self.athlete)
        self.on_choice(self._open, self.week)
        self.note.observe(self.guarded(self._keep_note), "value")
        choices = ipywidgets.HBox([self.athlete, self.week, self.write_button, self.all_button])
        choices.layout = {"flex_flow": "row wrap"}
        left = ipywidgets.VBox([self.note_label, self.note], layout={"flex": "1 1 24em", "min_width": "0"})
        right = ipywidgets.VBox(
            [self.preview], layout={"flex": "1 1 24em", "min_width": "0", "max_height": "19em"}
        )
        both = ipywidgets.HBox([left, right], layout={"flex_flow": "row wrap"})
        self.children = [choices, self.status, self.red_flags, self.hindrances, both, self.grid, self.keeper]
        self._wanted = week
        self.guarded(self._list_weeks)(None)

    # ---- choosing --------------------------------------------------------------------------------------------

    def _list_weeks(self) -> None:
        """Offer the athlete's weeks, the wanted one or else the last complete one chosen."""
        settings = self._roster.settings
        weeks = weeks_of(self.own(), settings, self._today)
        wanted = self._wanted or self.week.value
        if wanted and wanted not in weeks:
            first_day(wanted)
            weeks = tuple(sorted({*weeks, wanted}, reverse=True))
        complete = [
            w for w in weeks if first_day(w, starts=settings.week_starts) + timedelta(days=6) < self._today
        ]

        def fill() -> None:
            self.week.options = [(wording.week(first_day(w, starts=settings.week_starts)), w) for w in weeks]
            self.week.value = wanted or (complete or list(weeks))[0]

        self.filling(fill)
        self._wanted = None
        self._open()

    def _open(self) -> None:
        """Read the week's note and rows."""
        self._files, self._added = None, []
        files = WeekFiles(self.own(), self.week.value, self._roster.settings)

        def fill() -> None:
            self.note.value = files.note

        self.filling(fill)
        self._files = files
        self.keeper.kept = {"note": files.note}
        self._look_at_week()
        self.say("")
        self._show()

    def _look_at_week(self) -> None:
        """What of the plan the week speaks against, and what was written that needs a physician first.

        Nothing of either where the week cannot be read yet: why stands among the hindrances.
        """
        self._plan = []
        flags: tuple[OpenRedFlag, ...] = ()
        try:
            seen = week_of_athlete(self._roster, self.own(), self.week.value)
            self._plan = [whole(told) for told in week_ahead(seen).told]
            flags = seen.red_flags
        except CoachError:
            pass
        by_day: dict[date, list[OpenRedFlag]] = {}
        for flag in flags:
            by_day.setdefault(flag.on, []).append(flag)
        self.red_flags.children = [self._to_settle(day, each) for day, each in by_day.items()]

    def _to_settle(self, day: date, flags: list[OpenRedFlag]) -> ipywidgets.VBox:
        """What was written on a day, with who has seen to it and the button that notes it."""
        said = "".join(f"<li>{escape(whole(red_flag_code(flag)))}</li>" for flag in flags)
        do = way_out(red_flag_code(flags[0]))
        by = self.field(
            ipywidgets.Text, "Settled by", placeholder="the physician, or you after one has looked"
        )
        button = self.button("Mark as settled", lambda: self.settle(day, by.value))
        row = ipywidgets.HBox([by, button], layout=WRAPPED)
        words = f"<ul>{said}</ul><p>{escape(do[:1].upper() + do[1:])}.</p>"
        return ipywidgets.VBox([ipywidgets.HTML(on_screen(Html(words))), row])

    def settle(self, remark_on: date, by: str) -> None:
        """Note who has seen to what was written on a day, and since when it is settled."""
        if not by.strip():
            raise CoachError("it is not said who has seen to it. Type the name, then mark it settled.")
        on = max(self._today, remark_on)
        self.own().settle(Settled(on=on, remark_on=remark_on, by=by.strip()))
        self._open()
        self.say(f"Settled: what was written on {wording.full_date(remark_on)}, by {by.strip()}.")

    def _show(self, *, refused: tuple[int, str] | None = None) -> None:
        """Show preview, rows, and what keeps the letter from being made."""
        hindrances: list[str] = []
        try:
            self._rows = sorted([*self.files.rows(), *self._added], key=lambda row: row.day)
        except CoachError as problem:
            self._rows = []
            hindrances.append(str(problem))
        first = first_day(self.week.value, starts=self._roster.settings.week_starts)
        days = [str(first + timedelta(days=n)) for n in range(7)]
        self.grid.show(self._rows, days, of=f"{self.athlete.value} {self.week.value}", refused=refused)
        self._preview()
        hindrances += self._hindrances()
        items = "".join(f"<li>{escape(words)}</li>" for words in hindrances)
        address = page_address("plan", athlete=self.athlete.value, week=self.week.value)
        items += "".join(
            f'<li>{escape(words)} <a href="{escape(address)}">Plan</a></li>' for words in self._plan
        )
        self.hindrances.value = on_screen(Html(f"<ul>{items}</ul>")) if items else ""

    def _preview(self) -> None:
        words = self.note.value.strip()
        set_note = f'<div class="note">{markdown_html(words)}</div>' if words else "<p>No note yet.</p>"
        self.preview.value = on_screen(Html(set_note))

    def _hindrances(self) -> list[str]:
        """What a letter would stumble over, as far as it can be seen before it is made."""
        found = []
        for read in (self.own().athlete, lambda: self.own().note(self.week.value)):
            try:
                read()
            except CoachError as problem:
                found.append(str(problem))
        return [*found, *self.own().read_diary().problems]

    @property
    def files(self) -> WeekFiles:
        """The week that is open."""
        if self._files is None:
            raise CoachError("no week is open. Choose one.")
        return self._files

    # ---- typing ----------------------------------------------------------------------------------------------

    def _keep_note(self) -> None:
        self.files.save_note(self.note.value)
        self.keeper.kept = {"note": self.files.note}
        self._preview()
        self.say("Note kept.")

    def type_cell(self, row: int, column: str, text: str) -> None:
        """Write one cell of the grid into the diary, or say why not."""
        with self.lock:
            try:
                self.files.change(self._rows[row], column, text)
            except (CoachError, IndexError) as refusal:
                self._show(refused=(row, column))
                self.say(f"Not written: {refusal}")
                return
            self._added = [added for added in self._added if added is not self._rows[row]]
            if column == "remarks":
                self._look_at_week()
            self._show()
            self.say("Diary written.")

    def add_row(self, day: str) -> None:
        """Offer an empty row for a day; it is written with its first cell."""
        with self.lock:
            empty = dict.fromkeys(self._rows[0].cells, "") if self._rows else {}
            self._added.append(DayRow(number=None, day=day, recording="", cells=empty))
            self._show()

    # ---- writing ---------------------------------------------------------------------------------------------

    def write(self) -> None:
        """Write this athlete's letter and open it."""
        self._write((self.athlete.value,), made_address(self.athlete.value, f"{self.week.value}.html"))

    def write_all(self) -> None:
        """Write everybody's letters and the call sheet."""
        self._write((), page_address("roster", week=self.week.value))

    def _write(self, athletes: tuple[str, ...], then: str) -> None:
        """Make letters beside the page: it goes on answering meanwhile."""
        if self._writing is not None and self._writing.is_alive():
            self.say("Letters are being written already.")
            return
        week = self.week.value
        for button in (self.write_button, self.all_button):
            button.disabled = True
        self.status.value = '<p class="working" role="status"><span class="moving"></span>Writing</p>'
        self._writing = threading.Thread(target=self._make, args=(athletes, week, then), daemon=True)
        self._writing.start()

    def _make(self, athletes: tuple[str, ...], week: str, then: str) -> None:
        told = io.StringIO()
        try:
            failed = write_weeks(
                self._roster.fresh(),
                today=date.today(),
                week=week,
                athletes=athletes,
                again=True,
                width=110,
                out=told,
            )
            said = told.getvalue()
        except CoachError as problem:
            failed, said = 1, str(problem)
        except Exception as problem:  # a thread would swallow it
            failed, said = 1, f"Something in the program is wrong ({type(problem).__name__}: {problem})."
        finally:
            ensure_event_loop().close()  # the runner's own, which ends with this thread
        with self.lock:
            for button in (self.write_button, self.all_button):
                button.disabled = False
            where = f'<p><a href="{escape(then)}">Open what was written</a></p>'
            self.status.value = on_screen(Html(f'<pre role="status">{escape(said.strip())}</pre>{where}'))
            if not failed:
                self.keeper.go(then)

    def written(self) -> Any:
        """Wait until what is being written is done; for a run without a screen."""
        if self._writing is not None:
            self._writing.join()
        return self.status.value


def letter_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    week: str | None = None,
    *,
    interactive: bool = True,
) -> LetterPanel | StillPage:
    """Open the letter page of an athlete's week.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    athlete : str
        An athlete's folder name or name; None takes the first.
    week : str
        ISO name; None takes the last complete week.
    interactive : bool
        False gives the note as it would be set, for a run without a browser.

    Raises
    ------
    RosterProblem
        When there is no such roster or athlete.

    Examples
    --------
    ``workbooks/letter.ipynb`` is this function and two sentences.
    """
    folder = open_roster(roster)
    own = chosen_athlete(folder, athlete)
    if interactive:
        return LetterPanel(folder, own.slug, week, today=date.today())
    chosen = week or weeks_of(own, folder.settings, date.today())[0]
    note = WeekFiles(own, chosen, folder.settings).note
    return StillPage(
        Html(f'<div class="note">{markdown_html(note)}</div>'), f"the letter panel of {own.slug}"
    )

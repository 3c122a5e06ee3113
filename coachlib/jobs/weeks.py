"""The letters of one week or of several, the call sheets, and what became of each in one table."""

import atexit
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TextIO

from coachlib.analysis.week.calendar import day_in_words, first_day, week_of
from coachlib.errors import BadArgument, CoachError, RosterProblem, refused_by_system
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.call_sheet import SheetMade, make_call_sheet
from coachlib.jobs.history import latest_week
from coachlib.jobs.letters import LetterMade, failed_letter, letter_left, make_letter
from coachlib.jobs.sheets import PROTOCOL_FILE
from coachlib.jobs.terminal import in_command, progress, table, tell, wrapped
from coachlib.jobs.workers import Workers, spread
from coachlib.report.words import wording
from coachlib.report.workbooks.runner import BookRunner

#: More weeks than this at once are a slip of the pen.  Own choice: ten years.
_MOST_WEEKS = 530


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekMade:
    """What became of a week: everybody's letter, and the call sheet where everybody got one."""

    week: str
    letters: tuple[LetterMade, ...]
    sheet: SheetMade | None

    @property
    def failed(self) -> bool:
        """Whether anything could not be made."""
        return any(r.failed for r in self.letters) or (self.sheet is not None and self.sheet.failed)


def write_weeks(
    folder: RosterFolder,
    *,
    today: date,
    week: str | None = None,
    first: str | None = None,
    last: str | None = None,
    athletes: Sequence[str] = (),
    again: bool = False,
    workers: Workers | None = None,
    width: int | None = None,
    out: TextIO | None = None,
) -> int:
    """Make the letters of some weeks, the call sheets where everybody gets one, and tell what became of each.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    today : date
        The day on which they are asked for.
    week : str, optional
        ISO name of the one week.
    first, last : str, optional
        Of several weeks the first and the last; without a last it is the default week.  Without any of these it is
        the default week: the latest that is over and holds a recording, else the present one.
    athletes : sequence of str
        Whom; nobody named means everybody.
    again : bool
        Make letters again whose inputs have not changed, and those of weeks before the default one, which else stay
        as they were made; the former one of these is kept beside the new one.
    workers : Workers, optional
        Who makes them, where there are several to make; else this process, one after another.
    width : int, optional
        How many signs fit beside one another where it is told.
    out : TextIO, optional
        Where it is told; else on the screen.

    Returns
    -------
    int
        0 when every letter stands, 1 when one failed.

    Raises
    ------
    BadArgument
        When a week has not begun, or the last lies before the first.
    RosterProblem
        When there is nobody, or nothing was recorded and no week is named.
    """
    owns = [folder.athlete(name) for name in athletes or folder.athletes()]
    if not owns:
        raise RosterProblem(
            f"{folder.path} has no athletes; add one with: coachlib new {in_command(folder.path)} --athlete NAME"
        )
    default = _default_week(folder, today)
    weeks = _weeks(first or week, last or (default if first else week), default, folder, today)
    asked = [
        _Letter(
            slug=own.slug, week=name, is_past=default is not None and first_day(name) < first_day(default)
        )
        for name in weeks
        for own in owns
    ]
    sheets = () if athletes else weeks
    with progress("Writing", len(asked) + len(sheets)) as step:
        making = _Making(folder=folder, again=again, today=today, workers=workers or Workers(), step=step)
        letters = making.letters(asked)
        of_weeks = making.sheets(sheets)
    made = [
        WeekMade(
            week=name,
            letters=tuple(letters[letter] for letter in asked if letter.week == name),
            sheet=of_weeks.get(name),
        )
        for name in weeks
    ]
    for line in _told(made, folder, today, is_default=not (week or first), width=width):
        tell(line, to=out)
    return int(any(each.failed for each in made))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Letter:
    """A letter that is asked for."""

    slug: str
    week: str
    is_past: bool


@dataclass(kw_only=True)
class _Making:
    """How everything is made: here one after another, or by workers; each that is finished is a step.

    ``warm`` are the workers that made letters, and whose runners are warm for the call sheets.
    """

    folder: RosterFolder
    again: bool
    today: date
    workers: Workers
    step: Callable[[str], None]
    warm: Workers | None = None

    def letters(self, asked: Sequence[_Letter]) -> dict[_Letter, LetterMade]:
        """Everybody's letters; those that stay as they are need no worker."""
        if not self.workers.are_elsewhere:
            with BookRunner() as runner:
                return {each: self._here(each, runner) for each in asked}
        made = {}
        for each in asked:
            if (left := self._left(each)) is not None:
                self.step(f"{each.slug}, {each.week}")
                made[each] = left
        open_ = [each for each in asked if each not in made]
        workers = self.workers.for_tasks(len(open_))
        if not workers.are_elsewhere:
            with BookRunner() as runner:
                return made | {each: self._here(each, runner) for each in open_}
        tasks = [(str(self.folder.path), e.slug, e.week, self.again, e.is_past, self.today) for e in open_]
        self.warm = workers
        for n, letter in spread(letter_elsewhere, tasks, workers):
            self.step(f"{open_[n].slug}, {open_[n].week}")
            made[open_[n]] = letter
        return made

    def sheets(self, weeks: Sequence[str]) -> dict[str, SheetMade]:
        """The call sheets, once their letters stand."""
        made = {}
        if self.warm is not None:
            tasks = [(str(self.folder.path), week, self.again) for week in weeks]
            for n, sheet in spread(sheet_elsewhere, tasks, self.warm):
                self.step(f"call sheet, {weeks[n]}")
                made[weeks[n]] = sheet
            return made
        with BookRunner() as runner:
            for week in weeks:
                self.step(f"call sheet, {week}")
                made[week] = make_call_sheet(self.folder, week, runner=runner, again=self.again)
        return made

    def _here(self, letter: _Letter, runner: BookRunner) -> LetterMade:
        self.step(f"{letter.slug}, {letter.week}")
        own = self.folder.athlete(letter.slug)
        return _letter(
            self.folder,
            own,
            letter.week,
            runner=runner,
            again=self.again,
            is_past=letter.is_past,
            today=self.today,
        )

    def _left(self, letter: _Letter) -> LetterMade | None:
        """A letter that stays as it stands; None where it is to be made, or that cannot be told."""
        if self.again:
            return None
        try:
            own = self.folder.athlete(letter.slug)
            return letter_left(self.folder, own, letter.week, is_past=letter.is_past)
        except (CoachError, OSError):
            return None


def letter_elsewhere(
    roster: str, slug: str, week: str, again: bool, is_past: bool, today: date
) -> LetterMade:
    """One letter, made in the process of a worker, which keeps its runner warm for the next."""
    own = AthleteFolder(slug=slug, path=Path(roster) / slug)
    try:
        folder = open_roster(roster)
        own = folder.athlete(slug)
    except CoachError as problem:
        return failed_letter(own, str(problem))
    return _letter(folder, own, week, runner=_warm_runner(), again=again, is_past=is_past, today=today)


def sheet_elsewhere(roster: str, week: str, again: bool) -> SheetMade:
    """One call sheet, made in the process of a worker."""
    try:
        folder = open_roster(roster)
    except CoachError as problem:
        return SheetMade(path=None, strongest={}, remarks=str(problem), failed=True)
    return make_call_sheet(folder, week, runner=_warm_runner(), again=again)


_of_this_thread = threading.local()


def _warm_runner() -> BookRunner:
    if not hasattr(_of_this_thread, "runner"):
        _of_this_thread.runner = BookRunner()
        atexit.register(_of_this_thread.runner.close)
    runner: BookRunner = _of_this_thread.runner
    return runner


def _letter(
    folder: RosterFolder,
    own: AthleteFolder,
    week: str,
    *,
    runner: BookRunner,
    again: bool,
    is_past: bool,
    today: date,
) -> LetterMade:
    try:
        return make_letter(folder, own, week, runner=runner, again=again, is_past=is_past, today=today)
    except CoachError as problem:
        return failed_letter(own, str(problem))
    except OSError as problem:
        return failed_letter(own, f"{own.slug} cannot be read: {refused_by_system(problem)}")


def _default_week(folder: RosterFolder, today: date) -> str | None:
    """The week that is meant where none is named; None without a recording."""
    try:
        return latest_week(folder, today=today)
    except RosterProblem:
        return None


def _weeks(
    first: str | None, last: str | None, default: str | None, folder: RosterFolder, today: date
) -> tuple[str, ...]:
    """The weeks that are meant, in order; each has begun."""
    starts = folder.settings.week_starts
    if first is None and last is None:
        return (default or latest_week(folder, today=today),)
    if first is None or last is None:
        raise BadArgument("several weeks need a first one and a last one; give --from WEEK and --to WEEK")
    for name in (first, last):
        begins = first_day(name, starts=starts)
        if begins > today:
            raise BadArgument(
                f"week {name} begins on {day_in_words(begins)} and has not begun; today is {day_in_words(today)}"
            )
    n = (first_day(last) - first_day(first)).days // 7 + 1
    if n < 1:
        raise BadArgument(
            f"the last week, {last}, lies before the first, {first}; give the earlier one first"
        )
    if n > _MOST_WEEKS:
        raise BadArgument(f"{first} to {last} are {n} weeks; at most {_MOST_WEEKS} are written at once")
    return tuple(week_of(first_day(first) + timedelta(weeks=each)) for each in range(n))


def _told(
    made: Sequence[WeekMade], folder: RosterFolder, today: date, *, is_default: bool, width: int | None
) -> list[str]:
    """What became of everything: the table, what it leaves open, which file to open and what to do next."""
    weeks = [each.week for each in made]
    head = f"Letters for {weeks[0]}" if len(weeks) == 1 else f"Letters for {weeks[0]} to {weeks[-1]}"
    rows = [row for each in made for row in _rows(each, folder.path, several=len(weeks) > 1)]
    heads = ["athlete", "sessions", "report", "anything wrong"]
    lines = [head, *table(["week", *heads] if len(weeks) > 1 else heads, rows, width=width), ""]
    more = []
    starts = folder.settings.week_starts
    stop = first_day(weeks[-1], starts=starts) + timedelta(days=6)
    if stop >= today:
        more.append(f"Week {weeks[-1]} is unfinished: it lasts until {day_in_words(stop)}.")
    elif is_default and stop + timedelta(days=7) < today:
        more.append(f"{weeks[-1]} is the latest week with a recording; name a later one with --week.")
    if left := _left_alone(made):
        more.append(left)
    return lines + [line for said in (*more, *_next_steps(made, folder)) for line in wrapped(said, width)]


def _rows(each: WeekMade, root: Path, *, several: bool) -> list[list[str]]:
    """A row for each letter; with a call sheet, those come first who need the coach most."""
    sheet = each.sheet
    needs = sheet.strongest if sheet is not None else {}
    order = {slug: rank for rank, slug in enumerate(needs)}
    rows = []
    for r in sorted(each.letters, key=lambda r: order.get(r.slug, len(order))):
        wrong = "; ".join(filter(None, (needs.get(r.slug), r.remarks))) or "nothing"
        sessions = "" if r.n_sessions is None else str(r.n_sessions)
        rows.append([r.athlete, sessions, _in_roster(r.path, root), wrong])
    if sheet is not None:
        rows.append(["(call sheet)", "", _in_roster(sheet.path, root), sheet.remarks or "nothing"])
    return [[each.week, *row] for row in rows] if several else rows


def _left_alone(made: Sequence[WeekMade]) -> str:
    """How many pages were left as they were; "" where none was."""
    n = sum(r.unchanged for each in made for r in each.letters)
    n_sheets = sum(each.sheet is not None and each.sheet.unchanged for each in made)
    letters = [wording.count(n, "letter")] * (n > 0)
    sheets = ["the call sheet" if len(made) == 1 else wording.count(n_sheets, "call sheet")] * (n_sheets > 0)
    return f"Left as they were, unchanged: {' and '.join(letters + sheets)}." if letters or sheets else ""


def _next_steps(made: Sequence[WeekMade], folder: RosterFolder) -> list[str]:
    """Which file to open, and the one thing to do next."""
    last = made[-1]
    roster = in_command(folder.path)
    pages = [r.path for r in last.letters if r.path is not None]
    sheet = last.sheet.path if last.sheet is not None else None
    lines = []
    if len(last.letters) == 1 and pages:
        lines.append(f"Open {pages[0]}")
    elif sheet is not None:
        lines.append(f"Open {sheet} first: who needs you, and why.")
    elif pages:
        lines.append(f"Open {pages[0]}")
    sheets = [r.test_sheet for r in last.letters if r.test_sheet is not None]
    if sheets:
        lines.append(
            f"Made along, how to do the next test: {sheets[0]}"
            if len(sheets) == 1
            else f"Made along for {len(sheets)} athletes, how to do the next test: {PROTOCOL_FILE} beside the letter."
        )
    if any(each.failed for each in made):
        return [*lines, f"Next: coachlib check {roster} tells what is wrong with the files."]
    if undecided := [r for r in last.letters if r.for_coach.get("undecided")]:
        who = wording.listed([r.athlete for r in undecided])
        return [*lines, f"Next: decide the test of {who}: coachlib open {roster}"]
    if without := [r for r in last.letters if not r.for_coach.get("has_note", True)]:
        note = folder.path / without[0].slug / "notes" / f"{last.week}.md"
        return [
            *lines,
            f"Next: your own words for {without[0].athlete} go into {note}; then the same command again.",
        ]
    return [*lines, "Next: read each letter, and send it the way you and the athlete agreed."]


def _in_roster(path: Path | None, root: Path) -> str:
    return "none" if path is None else str(path.relative_to(root))

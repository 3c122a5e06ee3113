"""Mail drafts for a week: one athlete each, unsent, with the letter; who gets none, and why."""

import shlex
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TextIO

from coachlib.analysis.plan.planned import PlannedDay, planned_days
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.one_thing import one_thing
from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.fingerprint import changed_since, fingerprint
from coachlib.jobs.history import latest_week, week_of_athlete
from coachlib.jobs.letters import BOOK
from coachlib.jobs.post.calendar import Entry, calendar_bytes
from coachlib.jobs.post.draft import Draft, draft_bytes, plain
from coachlib.jobs.publishing import let_out, standing
from coachlib.jobs.terminal import progress, table, tell
from coachlib.report.letter import sentences
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Posted:
    """What became of one athlete's draft; ``path`` is None where there is none, and ``said`` tells why."""

    slug: str
    name: str
    path: Path | None
    said: str = ""


def post(
    folder: RosterFolder,
    *,
    today: date,
    week: str | None = None,
    athletes: Sequence[str] = (),
    calendar: bool = False,
    now: datetime | None = None,
    width: int | None = None,
    out: TextIO | None = None,
) -> int:
    """Write a mail draft for each athlete with an address and a letter that holds; send nothing.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    today : date
        The day on which they are asked for.
    week : str, optional
        ISO name; by default the latest week that is over and holds a recording.
    athletes : sequence of str
        Whom; nobody named means everybody.
    calendar : bool
        Attach what is planned for the seven days after the week, and lay it beside the draft.
    now : datetime, optional
        The aware instant of writing, for calendars; by default as the computer's clock says.
    width, out : int and TextIO, optional
        How wide it is told, and where; else as the screen is.

    Returns
    -------
    int
        0; 1 when somebody with an address got none.

    Raises
    ------
    RosterProblem
        When nobody is on the roster, or nothing was recorded and no week is named.
    """
    owns = [folder.athlete(name) for name in athletes or folder.athletes()]
    if not owns:
        raise RosterProblem(f"{folder.path} has no athletes, so there is nobody to write to")
    week = week or latest_week(folder, today=today)
    at = now or datetime.now(UTC)
    posted = []
    with progress("Writing", len(owns)) as step:
        for own in owns:
            step(own.slug)
            posted.append(_posted(folder, own, week, calendar=calendar, now=at))
    rows = [
        [
            each.name,
            "none" if each.path is None else str(each.path.relative_to(folder.path)),
            each.said or "nothing",
        ]
        for each in posted
    ]
    tell(f"Drafts for {week}, unsent", to=out)
    for line in table(["athlete", "draft", "to know"], rows, width=width):
        tell(line, to=out)
    written = [each for each in posted if each.path is not None]
    if shared := _shared_addresses(folder, written):
        tell(shared, to=out)
    if written:
        tell("Open each in your mail program, read it, and send it yourself: mail is not encrypted.", to=out)
    return int(any(each.path is None and each.said != _NO_ADDRESS for each in posted))


_NO_ADDRESS = 'left out: no address; write email = "name@example.org" into athlete.toml'


def _posted(folder: RosterFolder, own: AthleteFolder, week: str, *, calendar: bool, now: datetime) -> Posted:
    name = own.slug
    try:
        athlete = own.athlete()
        name = athlete.name
        if athlete.email is None:
            return Posted(slug=own.slug, name=name, path=None, said=_NO_ADDRESS)
        letter = _letter(folder, own, week)
        monday = week_of_athlete(folder, own, week)
        with wording.spoken_in(athlete.units):
            entries = _entries(monday, own) if calendar else ()
            draft = _draft(monday, athlete.email, has_calendar=bool(entries))
        path = own.reports_dir / f"{week}.eml"
        attached = {letter.name: letter.read_bytes()}
        files = {own.reports_dir / f"{week}.txt": draft.text.encode()}
        if entries:
            attached["planned.ics"] = calendar_bytes(entries, whose=f"{folder.path.name}/{own.slug}", now=now)
            files[own.reports_dir / f"{week}.ics"] = attached["planned.ics"]
        files[path] = draft_bytes(draft, attached)
        let_out(files, own, folder, own_lines=draft.own_lines, week=week)
    except CoachError as problem:
        return Posted(slug=own.slug, name=name, path=None, said=f"left out: {problem}")
    said = "" if entries or not calendar else "nothing is planned for the week after, so there is no calendar"
    return Posted(slug=own.slug, name=name, path=path, said=said)


def _letter(folder: RosterFolder, own: AthleteFolder, week: str) -> Path:
    """The letter that stands, and still says what its draft would say.

    Raises
    ------
    RosterProblem
        When there is none, or what it is made from has changed since.
    """
    command = f"coachlib week {shlex.quote(str(folder.path))} --week {week}"
    found = standing(week, own, folder)
    if found is None:
        raise RosterProblem(f"there is no letter for {week}; make it with: {command}")
    made_from = fingerprint(folder, [own], BOOK, week)
    if not found.is_whole or found.made_from != made_from:
        changed = changed_since(found.made_from, made_from) if found.made_from is not None else ()
        why = (
            f"{wording.listed(list(changed))} changed since"
            if changed
            else "it cannot be told whether it still holds"
        )
        raise RosterProblem(f"its letter is not sent on, {why}; make it anew with: {command} --again")
    return found.path


def _draft(monday: AthleteWeek, address: str, *, has_calendar: bool) -> Draft:
    week = monday.week
    thing = one_thing(monday)
    what, why = whole(thing.what), whole(thing.why)
    # as in the letter: "instead of a test" is understood only after the reason
    said = f"{why} {what}" if thing.what.name.endswith("instead") else f"{what} {why}"
    return Draft(
        name=week.athlete.name,
        address=address,
        week=wording.week(week.start_on),
        sentences=sentences.lead(week),
        one_thing=said,
        coach=week.settings.coach,
        has_calendar=has_calendar,
    )


def _entries(monday: AthleteWeek, own: AthleteFolder) -> tuple[Entry, ...]:
    """What is planned for the seven days after the week, rest left out."""
    begins = monday.week.stop_on
    rows = [r for r in own.read_diary().rows if begins <= r.on < begins + timedelta(days=7) and r.is_planned]
    days = [d for d in planned_days(rows, monday.week.athlete, done=monday.history) if not d.is_rest]
    nth: Counter[date] = Counter()
    made = []
    for each in days:
        nth[each.on] += 1
        made.append(Entry(on=each.on, nth=nth[each.on], summary=_summary(each), details=plain(each.words)))
    return tuple(made)


def _summary(each: PlannedDay) -> str:
    """What a planned session is, in a few words."""
    what = each.target or each.meant
    minutes = "" if each.minutes is None else f", {wording.minutes(60 * each.minutes)}"
    return f"{plain(what)}{minutes}"


def _shared_addresses(folder: RosterFolder, written: Sequence[Posted]) -> str:
    """Whose drafts go to one address, which may be meant or a slip."""
    of: dict[str, list[str]] = {}
    for each in written:
        of.setdefault((folder.athlete(each.slug).athlete().email or "").casefold(), []).append(each.name)
    said = [
        f"{wording.listed(names)} have the same address: is that meant?"
        for names in of.values()
        if len(names) > 1
    ]
    return " ".join(said)

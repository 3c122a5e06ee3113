"""Weekly letters: one page an athlete, made again only when what it is made from has changed."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from coachlib.analysis.week.calendar import first_day
from coachlib.errors import CoachError
from coachlib.files.roster.athlete_folder import ATHLETE_FILE, AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.fingerprint import changed_since, fingerprint
from coachlib.jobs.publishing import PAGE_CHECKSUM, Page, Standing, publish, standing
from coachlib.jobs.sheets import PROTOCOL_FILE, against_test, save_protocol_sheet
from coachlib.jobs.withdrawn import pages_showing, withdrawn_on
from coachlib.records.athlete import Reference
from coachlib.report.letter.differences import differences
from coachlib.report.page.page import blocks_of, for_coach_of, numbers_of
from coachlib.report.words import wording
from coachlib.report.workbooks.books import book_path
from coachlib.report.workbooks.runner import BookRunner

BOOK = "weekly_report"


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterMade:
    """What became of one athlete's letter: made, left as it was or failed, and what the coach should know.

    ``for_coach`` is what stands beside the letter and not in it.  ``test_sheet`` is the sheet for the test that the letter
    asks for.
    """

    slug: str
    athlete: str
    n_sessions: int | None
    path: Path | None
    remarks: str
    for_coach: Mapping[str, Any] = field(default_factory=dict)
    test_sheet: Path | None = None
    failed: bool = False
    unchanged: bool = False


def make_letter(
    folder: RosterFolder,
    own: AthleteFolder,
    week: str,
    *,
    runner: BookRunner,
    again: bool = False,
    is_past: bool = False,
    today: date | None = None,
) -> LetterMade:
    """Make one athlete's letter, unless it stands already and nothing it is made from has changed.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    own : AthleteFolder
        Whose.
    week : str
        ISO name.
    runner : BookRunner
        What runs the workbook.
    again : bool
        Make it in any case.
    is_past : bool
        The week lies before the roster's latest: a letter that stands was sent, and stays as it is unless
        ``again`` asks for another; the former one is then kept.
    today : date, optional
        The day from which a test is planned that the letter asks for; without it the day after the week.  Its sheet
        is written beside the letter, and one that stands there already is made anew, so that it never asks what the
        letter forbids.
    """
    made_from = fingerprint(folder, [own], BOOK, week)
    found = standing(week, own, folder)
    if found is not None and not again:
        left = _left_as_it_is(folder, own, found, made_from, is_past=is_past)
        if left is not None:
            return left
    book = runner.run(book_path(BOOK), {"roster": str(folder.path), "athlete": own.slug, "week": week})
    numbers = numbers_of(book)
    _keep_references(own, for_coach_of(book), made_from)
    for_coach = {**for_coach_of(book), "names_allowed": own.note(week).names_allowed}
    name = numbers["athlete"]["name"]
    page = Page(
        name=week,
        title=f"{name}, week {week}",
        blocks=blocks_of(book),
        numbers=numbers,
        week=week,
        made_from=made_from,
        for_coach=for_coach,
    )
    keeps_former = is_past and found is not None
    path = publish(page, own, folder, keeps_former=keeps_former)
    replaced = _replaced(found.numbers, numbers) if keeps_former and found is not None else ""
    sheet, no_sheet = None, ""
    if not is_past:
        asks = for_coach["asks_for_test"] or (numbers.get("ahead") or {}).get("has_steady_test", False)
        sheet, no_sheet = _test_sheet(folder, own, week, asks=asks, today=today)
    return LetterMade(
        slug=own.slug,
        athlete=name,
        n_sessions=len(numbers["sessions"]),
        path=path,
        remarks="; ".join(
            filter(None, (replaced, _worth_knowing(for_coach), no_sheet, _still_shown(folder, own)))
        ),
        for_coach=for_coach,
        test_sheet=sheet,
    )


def _test_sheet(
    folder: RosterFolder, own: AthleteFolder, week: str, *, asks: bool, today: date | None
) -> tuple[Path | None, str]:
    """The sheet for the test that a letter asks for, else why none could be made; the letter stands in any case.

    One that stands from before is made anew too, so that it never asks what the letter forbids.
    """
    if not asks and not (own.reports_dir / PROTOCOL_FILE).exists():
        return None, ""
    after = first_day(week, starts=folder.settings.week_starts) + timedelta(days=7)
    try:
        against = against_test(folder, own, after)
        path = save_protocol_sheet(folder, own, against=against, today=max(after, today or after))
    except CoachError as problem:
        return None, f"no sheet for the next test: {problem}"
    return (path if asks else None), ""


def _keep_references(own: AthleteFolder, for_coach: Mapping[str, Any], made_from: Mapping[str, Any]) -> None:
    """Write down what the letter's changes are compared with, so that no later look compares with anything else.

    The profile is then what the letter is made from, for it says the same of this week.
    """
    kept = [Reference.model_validate(entry) for entry in for_coach.get("references", [])]
    if not kept:
        return
    for reference in kept:
        own.keep_reference(reference)
    profile = own.path / ATHLETE_FILE
    made_from["inputs"][f"{own.slug}/{ATHLETE_FILE}"] = hashlib.sha256(profile.read_bytes()).hexdigest()


def letter_left(
    folder: RosterFolder, own: AthleteFolder, week: str, *, is_past: bool = False
) -> LetterMade | None:
    """The letter that `make_letter` would leave as it stands; None where it would make one."""
    found = standing(week, own, folder)
    if found is None:
        return None
    return _left_as_it_is(folder, own, found, fingerprint(folder, [own], BOOK, week), is_past=is_past)


def _left_as_it_is(
    folder: RosterFolder,
    own: AthleteFolder,
    found: Standing,
    made_from: Mapping[str, Any],
    *,
    is_past: bool,
) -> LetterMade | None:
    unchanged = found.is_whole and found.made_from == made_from
    is_earlier_versions = bool(found.numbers) and PAGE_CHECKSUM not in found.numbers
    if unchanged or (is_past and (found.is_whole or is_earlier_versions)):
        return _left(folder, own, found, "" if unchanged else _since(found, made_from, own))
    return None


def failed_letter(own: AthleteFolder, why: str) -> LetterMade:
    """A letter that could not be made, and why."""
    return LetterMade(slug=own.slug, athlete=own.slug, n_sessions=None, path=None, remarks=why, failed=True)


def _left(folder: RosterFolder, own: AthleteFolder, found: Standing, since: str) -> LetterMade:
    """A letter that stays as it stands."""
    sessions = found.numbers.get("sessions")
    sheet = own.reports_dir / PROTOCOL_FILE
    return LetterMade(
        slug=own.slug,
        athlete=str((found.numbers.get("athlete") or {}).get("name", own.slug)),
        n_sessions=len(sessions) if isinstance(sessions, list) else None,
        path=found.path,
        remarks="; ".join(
            filter(None, (since, _worth_knowing(found.for_coach or {}), _still_shown(folder, own)))
        ),
        for_coach=found.for_coach or {},
        test_sheet=sheet if sheet.is_file() and (found.for_coach or {}).get("asks_for_test") else None,
        unchanged=True,
    )


def _still_shown(folder: RosterFolder, own: AthleteFolder) -> str:
    """Sheets that the athlete may have, and that show a threshold which was withdrawn."""
    gone = [t for t in own.athlete().thresholds if t.withdrawn]
    shown = ((name, t) for t in gone for name in pages_showing(folder, own, t) if not name[:4].isdigit())
    return "; ".join(
        f"{name}.html shows the {t.which} threshold of {wording.full_date(t.on)}, withdrawn: make it anew"
        for name, t in shown
    )


def _since(found: Standing, made_from: Mapping[str, Any], own: AthleteFolder) -> str:
    """Why the letter of a past week might differ if it was made today, and how to have that."""
    changed = changed_since(found.made_from, made_from) if found.made_from is not None else ()
    why = (
        f"since then {wording.listed(list(changed))} changed"
        if changed
        else "what changed since is not known"
    )
    if gone := withdrawn_on(found, own.athlete()):
        why += "".join(
            f", and it shows the {t.which} threshold of {wording.full_date(t.on)}, withdrawn" for t in gone
        )
    return f"stays as it was made, {why}; --again makes it anew and keeps this one beside it"


def _replaced(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    return f"made anew, the former one is kept beside it; different: {differences(before, after)}"


def _worth_knowing(for_coach: Mapping[str, Any]) -> str:
    """What the coach should know beside the letter."""
    unreadable = for_coach.get("unreadable", [])
    said = list(unreadable[:1])
    if (more := len(unreadable) - 1) > 0:
        said.append(f"{more} more recordings with problems, `coachlib check` tells all")
    said += for_coach.get("diary_problems", [])[:1]
    said += for_coach.get("plan", [])[:1]
    if not for_coach.get("has_note", True):
        said.append("no note from you yet")
    if names := for_coach.get("names_allowed"):
        said.append(f"names allowed: {', '.join(names)}")
    said += [f"{name}: test not decided yet" for name in for_coach.get("undecided", [])]
    return "; ".join(said)

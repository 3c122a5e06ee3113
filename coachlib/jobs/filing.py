"""Recordings added, one or hundreds: found, unpacked, filed away, and told in one summary."""

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from pathlib import Path, PurePath

from coachlib.errors import BadArgument, CoachError, FileProblem, KnownAlready, NoSession, RosterProblem
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.store.index import Index
from coachlib.jobs.adding import NOT_WHOLE, Added, add_recording
from coachlib.jobs.gathering import Source, gather, opened
from coachlib.jobs.questions import Keyboard, chosen, numbered
from coachlib.jobs.sorting import Left, Sorter
from coachlib.jobs.terminal import in_command, progress, tell
from coachlib.records.activity import Activity
from coachlib.report.words import wording
from coachlib.report.words.catalogue import way_out, ways_out, whole
from coachlib.report.words.sports import sport_in_words

_UTC = "utc taken"
#: Of files that nobody looked at, so many are named one by one.
_MOST_NAMED = 20


@dataclass(kw_only=True)
class _Tally:
    """What became of everything."""

    added: list[Added] = field(default_factory=list)
    not_whole: int = 0
    in_utc: int = 0
    known: list[str] = field(default_factory=list)
    no_session: list[str] = field(default_factory=list)
    damaged: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


def who_and_what(roster: RosterFolder, words: Sequence[str]) -> tuple[str | None, list[str]]:
    """Take what follows the roster apart: an athlete where one is named, and what to add.

    Raises
    ------
    RosterProblem
        When the first word is neither an athlete nor a file.
    BadArgument
        When nothing but an athlete is named.
    """
    if not words:
        return None, []
    first, *rest = words
    try:
        athlete = roster.athlete(first).slug
    except RosterProblem:
        looks_like_files = os.path.lexists(Path(first).expanduser()) or any(s in first for s in "*?[/\\.")
        if looks_like_files or not rest:
            return None, list(words)
        raise
    if not rest:
        raise BadArgument(
            f"{athlete} is an athlete; say what to add: coachlib add {roster.path} {athlete} FILES"
        )
    return athlete, rest


def add_files(
    roster: RosterFolder,
    named: Sequence[str | Path],
    *,
    athlete: str | None,
    by_device: bool,
    anyway: bool,
    today: date,
    ask: Keyboard | None,
) -> int:
    """Add every recording in what was named, and tell what became of each and of all.

    Parameters
    ----------
    roster : RosterFolder
        The roster.
    named : sequence of path or str
        Files, folders and patterns.
    athlete : str or None
        Whose they are; None: the only one's, or with ``by_device`` or several athletes whoever's device made them.
    by_device : bool
        Ask about a device that was not seen before also where there is one athlete.
    anyway : bool
        Add also what ran at the same time as another recording.
    today : date
        The day on which they are added.
    ask : callable, optional
        Who says whose a recording is, where the device does not.

    Returns
    -------
    int
        0 when everything was added or known already, 1 when something was left.
    """
    athletes = roster.athletes()
    if not athletes:
        raise RosterProblem(
            f"{roster.path} has no athletes; add one with: coachlib new {roster.path} --athlete NAME"
        )
    if athlete is None and len(athletes) == 1 and not by_device:
        athlete = athletes[0]
    found = gather(named)
    index = roster.index
    sorter = Sorter(roster, ask=partial(_ask_whose, ask, roster.settings.time_zone), index=index)
    tally = _Tally()
    for label, why in found.refused:
        _left(tally.refused, label, why)
    with progress("Adding", len(found.sources)) as step:
        for source in found.sources:
            step(PurePath(source.label).name)
            _add_one(source, roster, sorter, index, tally, athlete=athlete, anyway=anyway, today=today)
    for line in _summary(tally, found.passed_over, len(found.sources)):
        tell(line)
    if tally.added:
        named = in_command(roster.path)
        tell(f"Next: coachlib week {named}   (the letter), or coachlib check {named}   (what is missing)")
    return int(bool(tally.no_session or tally.damaged or tally.refused) or not found.sources)


def _add_one(
    source: Source,
    roster: RosterFolder,
    sorter: Sorter,
    index: Index,
    tally: _Tally,
    *,
    athlete: str | None,
    anyway: bool,
    today: date,
) -> None:
    """Add one recording, and tell what became of it."""
    try:
        with opened(source) as path:
            if athlete is not None:
                done: Added | Left = add_recording(
                    roster, roster.athlete(athlete), path, anyway=anyway, index=index, today=today
                )
            else:
                done = sorter.sort(path, label=source.label, anyway=anyway, today=today)
    except KnownAlready as problem:
        tally.known.append(_about(source.label, str(problem)))
    except NoSession as problem:
        _left(tally.no_session, source.label, str(problem))
    except FileProblem as problem:
        _left(tally.damaged, source.label, str(problem))
    except CoachError as problem:
        _left(tally.refused, source.label, str(problem))
    else:
        if isinstance(done, Left):
            _left(tally.refused, source.label, done.sentence)
        else:
            _tell_added(done, source.label, tally)


def _tell_added(done: Added, label: str, tally: _Tally) -> None:
    """Where a recording went, and what is to be known about it; what holds for many is said once at the end."""
    tell(f"{done.athlete}: {done.path.name} added from {label}")
    names = {each.name for each in done.told}
    for each in done.told:
        if each.name != _UTC:
            way = f" {_capital(way_out(each))}." if each.name in ways_out() else ""
            tell(f"  {whole(each)}{way}")
    tally.added.append(done)
    tally.not_whole += bool(names & NOT_WHOLE)
    tally.in_utc += _UTC in names


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _left(kind: list[str], label: str, why: str) -> None:
    tell(f"not added: {_about(label, why)}", to=sys.stderr)
    kind.append(label)


def _about(label: str, why: str) -> str:
    """Why a file was left, with its whole name; sentences about recordings begin with the last part of it."""
    name = PurePath(label).name
    for called in (label, name, name.removesuffix(".gz")):
        if why.startswith(f"{called} "):
            return label + why.removeprefix(called)
    return f"{label} {why}" if why.startswith(("is ", "comes ")) else f"{label}: {why}"


def _summary(tally: _Tally, passed_over: Sequence[str], n_sources: int) -> list[str]:
    """One line of counts, and what was assumed or passed over."""
    counts = [f"{len(tally.added)} added"]
    if tally.not_whole:
        counts[0] += f" ({tally.not_whole} of them not whole)"
    for kind, said in (
        (tally.known, "known already"),
        (tally.no_session, "not a session"),
        (tally.damaged, "damaged or no FIT file"),
        (tally.refused, "left"),
    ):
        if kind:
            counts.append(f"{len(kind)} {said}")
    if passed_over:
        counts.append(f"{len(passed_over)} passed over")
    lines = [f"{n_sources} {'file' if n_sources == 1 else 'files'} looked at: {', '.join(counts)}."]
    if tally.known:
        lines += ["Known already:", *_named(tally.known)]
    if passed_over:
        lines += [
            "Passed over, since only FIT files are read (.fit, .fit.gz, and .zip with them); what holds a session, export as "
            "FIT:",
            *_named(passed_over),
        ]
    if tally.in_utc:
        lines.append(
            f"UTC was taken for {wording.count(tally.in_utc, 'recording')}, since neither the file nor the roster knows the "
            "time zone; an evening may count for another day. Fill in time_zone in roster.toml, such as "
            '"Europe/Vienna".'
        )
    return lines


def _named(things: Sequence[str]) -> list[str]:
    """Things one below the other; of very many the first, and how many more there are."""
    more = len(things) - _MOST_NAMED
    return [f"  {thing}" for thing in things[:_MOST_NAMED]] + [f"  and {more} more"] * (more > 0)


def _ask_whose(
    ask: Keyboard | None, time_zone: str | None, label: str, activity: Activity, athletes: Sequence[str]
) -> str | None:
    """Ask whose a recording is, where there is somebody to ask; no answer leaves it."""
    if ask is None:
        return None
    sport = sport_in_words(activity.sport, activity.sub_sport)
    on = wording.full_date(activity.started_on(time_zone))
    what = f"{PurePath(label).name}, {sport}, {wording.duration(activity.elapsed_s)}, {on}"
    if len(athletes) == 1:
        question = (
            f"{what}: a device not seen before; is it {athletes[0]}'s? (1 yes, Enter leaves its recordings) "
        )
        choices: tuple[str, ...] = ("yes",)
    else:
        question = f"{what}: whose? ({numbered(athletes)}; Enter leaves it) "
        choices = tuple(athletes)
    while True:
        try:
            answer = ask(question).strip()
        except EOFError:
            return None
        found = chosen(answer, choices)
        if not answer or (len(athletes) == 1 and answer.casefold() in ("n", "no")):
            return None
        if found is not None or (len(athletes) == 1 and answer.casefold() == "y"):
            return athletes[0] if len(athletes) == 1 else found
        tell(f'"{answer}" is none of them')

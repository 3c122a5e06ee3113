"""Make the demo roster: ``python tests/demo/make.py [FOLDER]``.  The same code makes the same bytes."""

import csv
import hashlib
import io
import logging
import re
import sys
from collections.abc import Iterable
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from rich.progress import track

from coachlib.files.roster.diarytext import COLUMNS
from demo.ahead import AHEAD
from demo.people import PEOPLE, PLAN_ONLY, ROSTER, UNWRITTEN, Person
from demo.sessions import recording_of
from demo.write_fit import fit_bytes

ROOT = Path(__file__).resolve().parents[2] / "athletes_demo"


def stem(plan: dict[str, str]) -> str:
    """What a recording is called."""
    return f"{plan['date']}_{plan['name']}"


def recorded(person: Person) -> list[dict[str, str]]:
    """The lines of a season that led to a recording."""
    return [plan for plan in person.plan() if plan["do"]]


def fit_of(person: Person, plan: dict[str, str]) -> bytes:
    """The FIT file of one line."""
    return fit_bytes(
        recording_of(
            plan,
            person.truth,
            slug=person.slug,
            serial=person.serial_on(date.fromisoformat(plan["date"])),
            every_s=person.every_s,
            smart=person.smart,
            beats=person.beats,
        )
    )


def diary_of(person: Person) -> str:
    """What the athlete wrote down."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for plan in person.plan():
        if plan["remarks"] == UNWRITTEN:
            continue
        row = {key: value for key, value in plan.items() if key not in PLAN_ONLY}
        named = plan["do"] and person.names_recordings
        writer.writerow(row | {"recording": stem(plan) if named else ""})
    writer.writerows(AHEAD[person.slug])
    return text.getvalue()


def make(root: Path, people: Iterable[Person] = PEOPLE) -> None:
    """Write the whole roster; notes are written by hand and stay as they are."""
    for person in people:
        for plan in track(recorded(person), description=person.slug):
            _write(root / person.slug / "recordings" / f"{stem(plan)}.fit", fit_of(person, plan))
    write_texts(root, people)


def write_texts(root: Path, people: Iterable[Person] = PEOPLE) -> None:
    """Write everything but the recordings, which must be there: profiles and decisions name their bytes."""
    _write(root / "roster.toml", ROSTER.encode())
    for person in people:
        folder = root / person.slug
        checksums = {
            fit.stem: hashlib.sha256(fit.read_bytes()).hexdigest()
            for fit in (folder / "recordings").glob("*.fit")
        }
        for recording, text in person.decisions:
            whole = _counted(f'schema = 2\nfit_sha256 = "{checksums[recording]}"\n{text}')
            _write(folder / "recordings" / f"{recording}.decisions.toml", whole.encode())
        profile = person.profile
        for recording in re.findall(r"\{(\d{4}-\d\d-\d\d_\w+)\}", profile):
            profile = profile.replace(f"{{{recording}}}", checksums[recording])
        _write(folder / "athlete.toml", profile.encode())
        _write(folder / "diary.csv", diary_of(person).encode())


def _counted(text: str) -> str:
    """Decisions with the count of their entries at the end."""
    return f"{text}\n[end]\nentries = {text.count('[[')}\n"


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.is_file() or path.read_bytes() != data:
        path.write_bytes(data)


if __name__ == "__main__":
    logging.disable(logging.WARNING)
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT)

"""Rosters as large as a practice: the demo's sessions again and again, in the weeks before their own.

Every recording has other bytes and another start, so that nobody's is anybody else's; what was decided and written
about it moves with it.
"""

import csv
import hashlib
import re
import shutil
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from coachlib.files.fit.container import checksum

DEMO = Path(__file__).parents[2] / "athletes_demo"
#: The demo's people whose seasons are long, one after another for each new athlete.
_MODELS = ("ilva", "nadja", "tobin", "aldous")
#: From one copy of a season to the one before. [weeks]
_APART_WEEKS = 10
#: Which fields of which messages are instants, by global message number and field number.
_INSTANTS = {(0, 4), (18, 2), (19, 2), (34, 5)}
_TIMESTAMP = 253
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, kw_only=True, eq=False)
class _Model:
    """A recording of the demo with the places of its instants."""

    name: str
    data: np.ndarray
    places: np.ndarray
    decisions: str | None

    def moved(self, seconds: int) -> bytes:
        """The same recording at another time."""
        data = self.data.copy()
        words = data[self.places[:, None] + np.arange(4)].copy().view("<u4")[:, 0]
        data[self.places[:, None] + np.arange(4)] = (
            (words + np.uint32(seconds % 2**32)).astype("<u4").view(np.uint8).reshape(-1, 4)
        )
        body = data[:-2].tobytes()
        return body + checksum(body).to_bytes(2, "little")


def make_roster(folder: Path, *, n_athletes: int, n_recordings: int) -> Path:
    """Make a roster; the latest sessions are the demo's own weeks."""
    folder.mkdir(parents=True)
    shutil.copy(DEMO / "roster.toml", folder)
    models = {slug: _models(DEMO / slug / "recordings") for slug in _MODELS}
    for n in range(n_athletes):
        slug = _MODELS[n % len(_MODELS)]
        _make_athlete(folder / f"{slug}{n:02d}", DEMO / slug, models[slug], n, n_recordings)
    return folder


def _make_athlete(own: Path, demo: Path, models: list[_Model], n: int, n_recordings: int) -> None:
    recordings = own / "recordings"
    recordings.mkdir(parents=True)
    if (demo / "notes").is_dir():
        shutil.copytree(demo / "notes", own / "notes")
    profile = (demo / "athlete.toml").read_text()
    rows = list(csv.DictReader((demo / "diary.csv").read_text().splitlines()))
    diary, made = [], 0
    while made < n_recordings:
        back = timedelta(weeks=_APART_WEEKS * (made // len(models)))
        some = models[-(n_recordings - made) :] if n_recordings - made < len(models) else models
        for model in some:
            name = _earlier(model.name, back)
            data = model.moved(-int(back.total_seconds()) + n)
            (recordings / f"{name}.fit").write_bytes(data)
            old, new = (hashlib.sha256(x).hexdigest() for x in (model.data.tobytes(), data))
            if model.decisions is not None:
                (recordings / f"{name}.decisions.toml").write_text(model.decisions.replace(old, new))
            if not back:
                profile = profile.replace(old, new)
        diary += [{key: _earlier(value, back) for key, value in row.items()} for row in rows]
        made += len(some)
    first = profile.index("\n[") if "\n[" in profile else len(profile)
    head = re.sub(r'(?m)^name = "(.*)"', rf'name = "\1 {_LETTERS[n]}"', profile[:first])
    (own / "athlete.toml").write_text(head + profile[first:])
    with (own / "diary.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(sorted(diary, key=lambda row: (row["date"], row["start"])))


_LETTERS = [f"{first}{second}" for first in "BCDFGHJKLM" for second in "aeiou"]


def _earlier(text: str, back: timedelta) -> str:
    """A name or a cell with its day moved back."""
    return _DAY.sub(lambda day: str(date.fromisoformat(day[0]) - back), text, count=1) if text else text


def _models(recordings: Path) -> list[_Model]:
    found = []
    for path in sorted(recordings.glob("*.fit")):
        data = path.read_bytes()
        decisions = path.with_name(f"{path.stem}.decisions.toml")
        found.append(
            _Model(
                name=path.stem,
                data=np.frombuffer(data, np.uint8),
                places=np.array(_places(data)),
                decisions=decisions.read_text() if decisions.is_file() else None,
            )
        )
    return found


def _places(data: bytes) -> list[int]:
    """Where the instants of a recording stand; the demo's have no compressed headers and little-endian numbers."""
    at, defined, places = data[0], {}, []
    while at < len(data) - 2:
        head = data[at]
        at += 1
        if head & 0x40:
            number = int.from_bytes(data[at + 2 : at + 4], "little")
            n_fields = data[at + 4]
            fields, offset = [], 0
            for field in range(n_fields):
                which, size = data[at + 5 + 3 * field], data[at + 6 + 3 * field]
                if which == _TIMESTAMP or (number, which) in _INSTANTS:
                    fields.append(offset)
                offset += size
            defined[head & 15] = fields, offset
            at += 5 + 3 * n_fields
        else:
            fields, size = defined[head & 15]
            places += [at + offset for offset in fields]
            at += size
    return places

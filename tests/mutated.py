"""Everything that a person, a device or this program wrote, with its bytes changed at random, read again."""

import json
import random
import tempfile
import time
from pathlib import Path

from decision_files import BOTH, FORMER
from fitmutations import other_writers_file, own_file

from coachlib.errors import CoachError
from coachlib.files.fit.reading import read_fit_bytes, read_parts
from coachlib.files.roster.decisionstext import decisions_bytes, decisions_of
from coachlib.files.roster.diarytext import read_diary
from coachlib.files.roster.loading import loaded
from coachlib.files.roster.tomltext import decoded
from coachlib.files.store.packing import packed, unpacked
from coachlib.records.athlete import Athlete
from coachlib.records.note import read_note
from coachlib.records.roster import RosterSettings
from coachlib.report.look.markdown import markdown_html

OLD = Path(__file__).parent / "rosters_of_old/0.1.0"
#: What one file may take to be read or refused. [s]  Own choice, as for recordings.
LONGEST_S = 5.0
TOKENS = (
    b"\0", b"\xff" * 8, b"9" * 4301, b"[[", b"]]", b'"""', b"\r", b"\xef\xbb\xbf", b"\xff\xfe", b"-", b"1e999", b"nan",
    b"<!--", b"-->", b"\xe2\x80\xae", b"=", b"\n\n", b"{" * 2000, b"99999-99-99", b"names allowed: ", b";", b"\x0e\x10",
)  # fmt: skip


def changed(data, rng):
    """Some bytes of a file changed, moved, doubled or taken away."""
    data = bytearray(data)
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(data) + 1)
        other = rng.randrange(len(data) + 1)
        size = rng.choice((1, 2, 4, 16, 200))
        kind = rng.randrange(9)
        if kind == 0 and at < len(data):
            data[at] ^= 1 << rng.randrange(8)
        elif kind == 1:
            data[at : at + 1] = bytes([rng.randrange(256)])
        elif kind == 2:
            del data[at : at + size]
        elif kind == 3:
            data[at:at] = rng.randbytes(size)
        elif kind == 4:
            data[at:at] = rng.choice(TOKENS)
        elif kind == 5 and rng.random() < 0.3:
            del data[at:]
        elif kind == 6:
            data[at:at] = data[other : other + size]
        elif kind == 7:
            data[at : at + size], data[other : other + size] = (
                data[other : other + size],
                data[at : at + size],
            )
        elif rng.random() < 0.05:
            data *= 2
    return bytes(data)


def _activity(data):
    activity = read_fit_bytes(data)
    assert (activity.samples["time_s"].diff().iloc[1:] > 0).all()


def _profile(data):
    loaded(Athlete, data, "athlete.toml", given={"slug": "x"})


def _settings(data):
    loaded(RosterSettings, data, "roster.toml")


def _decisions(data):
    decisions_of(data, "d.toml")


def _diary(data):
    read = read_diary(data, "diary.csv")
    assert all(isinstance(problem, str) for problem in read.problems)


def _note(data):
    note = read_note(decoded(data, "note"), "note")
    said = markdown_html(note.words) if note.words else ""
    assert "<script" not in said.lower()


def _packed():
    parts = read_parts(own_file())
    return packed(parts), parts[0].sha256


def _stored(whole, sha256):
    def read(data):
        try:
            found = unpacked(data, sha256)
        except Exception:  # the store passes over whatever a damaged file does to a decoder
            return
        assert found is None or data == whole

    return read


def inputs():
    """Every kind of input: whole files of it, and what reads it."""
    whole, sha256 = _packed()
    return {
        "recording": ((own_file(), other_writers_file()), _activity),
        "decisions": ((FORMER.encode(), decisions_bytes(None, "d.toml", BOTH)), _decisions),
        "profile": (((OLD / "mira/athlete.toml").read_bytes(),), _profile),
        "settings": (((OLD / "roster.toml").read_bytes(),), _settings),
        "diary": (((OLD / "mira/diary.csv").read_bytes(),), _diary),
        "note": (
            (b"names allowed: Berta\n<!-- mine -->\n# Week\n\n* **Well** done\n1. one\n> two\n",),
            _note,
        ),
        "stored recording": ((whole,), _stored(whole, sha256)),
    }


def run(n, seed):
    """Read changed files; what came out that is neither an answer nor a sentence, and how many were refused."""
    rng = random.Random(seed)
    kinds = inputs()
    wrong, refused, slowest_s = [], 0, 0.0
    for number in range(n):
        kind = rng.choices(list(kinds), weights=(4, 2, 2, 1, 2, 1, 1))[0]
        seeds, read = kinds[kind]
        data = changed(rng.choice(seeds), rng)
        begun_s = time.process_time()
        try:
            read(data)
        except CoachError as problem:
            refused += 1
            if not str(problem).strip() or "Traceback" in str(problem):
                wrong.append((number, kind, repr(problem)))
        except Exception as problem:
            wrong.append((number, kind, repr(problem)[:300]))
            (Path(tempfile.gettempdir()) / f"mutated-{seed}-{number}").write_bytes(data)
        spent_s = time.process_time() - begun_s
        slowest_s = max(slowest_s, spent_s)
        if spent_s > LONGEST_S:
            wrong.append((number, kind, f"{spent_s:.1f} s"))
    return wrong, refused, slowest_s


def told(n, seed):
    """What a run says, in one line a finding."""
    wrong, refused, slowest_s = run(n, seed)
    lines = [json.dumps(each) for each in wrong]
    return [
        *lines,
        f"{n} inputs, seed {seed}: {len(wrong)} wrong, {refused} refused, slowest {slowest_s:.2f} s",
    ]

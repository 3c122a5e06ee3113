"""Processes killed at random moments of what a coach does, and what a roster holds afterwards.

Run: python tests/benchmarks/kills.py [HOW_MANY] [SEED] [WHAT ...]
A forked child does the work and is killed; whole files, old or new, and nothing left over are asked for afterwards.
"""

import os
import random
import shutil
import signal
import sys
import tempfile
import time
import traceback
import warnings
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import contextlib

from rosters import fit_data, make_roster, put, wandering

from coachlib.__main__ import main
from coachlib.files.roster.athlete_folder import decisions_path
from coachlib.files.roster.folder import open_roster
from coachlib.files.store.store import sha256_of
from coachlib.jobs.adding import add_recording
from coachlib.jobs.clearing import clear_leftovers
from coachlib.jobs.forgetting import forget
from coachlib.jobs.moving import move
from coachlib.jobs.publishing import Page, publish, standing
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow

WEEK, TODAY = "2026-W40", date(2026, 10, 20)
DAY_S = 86400
DATA = [fit_data(wandering(seed=n), start=1_160_000_000 + n * DAY_S, serial=n) for n in range(6)]
KINDS = ("easy", "long", "drift test", "intervals")


def made(folder):
    """A roster of two; one has a recording, a diary row and decisions about it."""
    make_roster(folder, "anna", "berta")
    fit = put(folder / "anna", "2026-10-04_treadmill.fit", DATA[0])
    (folder / "anna/diary.csv").write_text("date,recording,remarks\n2026-10-04,2026-10-04_treadmill,hills\n")
    on = open_roster(folder)
    on.athlete("anna").save_decisions(fit, Decisions(fit_sha256=sha256_of(fit), kind="easy"), based_on=None)
    return on


def add(on):
    for n, data in enumerate(DATA[1:]):
        source = on.path.parent / f"{n}.fit"
        source.write_bytes(data)
        try:
            add_recording(on, on.athlete("anna"), source, today=TODAY)
        except Exception as problem:
            if "already" not in str(problem):
                raise


def save(on):
    own = on.athlete("anna")
    fit = own.recordings()[0]
    for kind in KINDS:
        own.save_decisions(
            fit, Decisions(fit_sha256=sha256_of(fit), kind=kind), based_on=own.decisions_seen(fit)
        )
        own.choose_zones("share of maximum" if kind == "long" else "two thresholds")


def letter(on):
    for n in range(3):
        page = Page(
            name=WEEK, title="x", blocks=("<h1>A</h1>", f"<p>{n}</p>"), numbers={"n": n}, made_from={"n": n}
        )
        publish(page, on.athlete("anna"), on)


def move_it(on):
    if any(sha256_of(fit) == sha256_of_first() for fit in on.athlete("anna").recordings()):
        move(on, on.athlete("anna"), "2026-10-04_treadmill", on.athlete("berta"), today=TODAY)


def sha256_of_first():
    import hashlib

    return hashlib.sha256(DATA[0]).hexdigest()


def forget_her(on):
    if "anna" in on.athletes():
        answers = iter(("yes", "anna"))
        forget(on, on.athlete("anna"), ask=lambda _: next(answers))


def week(on):
    main(["week", str(on.path), "--week", WEEK, "--again"], today=TODAY)


def desk(on):
    main(["open", str(on.path), "--no-browser"])


DO = {
    "add": add, "save": save, "letter": letter, "move": move_it, "forget": forget_her, "week": week, "open": desk,
}  # fmt: skip
#: How often each is killed, out of ten; what starts processes of its own takes long.
OFTEN = {"add": 3, "save": 2, "letter": 2, "move": 1, "forget": 1, "week": 0.7, "open": 0.3}


def wrong_with(folder, what):
    """Everything that is not whole, neither old nor new."""
    on = open_roster(folder)
    clear_leftovers(on)
    wrong = [
        str(p) for p in folder.rglob("*") if p.name.endswith((".tmp", ".lock")) and "locks" not in p.parts
    ]
    fits = [p for p in folder.rglob("*.fit") if p.parent.name == "recordings"]
    wrong += [f"{p} is not whole" for p in fits if p.read_bytes() not in DATA]
    for slug in on.athletes():
        own = on.athlete(slug)
        own.athlete()
        read = own.read_diary()
        wrong += read.problems
        assert all(isinstance(row, DiaryRow) for row in read.rows)
        for fit in own.recordings():
            if decisions_path(fit).is_file() and own.decisions(fit, sha256_of(fit)).kind not in KINDS:
                wrong.append(f"{fit}: decisions are not those of any moment")
        found = standing(WEEK, own, on)
        if found is not None and found.is_whole and what == "letter":
            said = found.path.read_text()
            wrong += (
                [] if f"<p>{found.numbers['n']}</p>" in said else [f"{found.path}: page and numbers differ"]
            )
    if what == "move":
        wrong += [] if any(p.read_bytes() == DATA[0] for p in fits) else ["the recording is lost"]
        hills = sum("hills" in p.read_text() for p in folder.glob("*/diary.csv"))
        wrong += [] if hills else ["the diary row is lost"]
    return wrong


def done(folder, what):
    """Whether what was stopped is done when it is done again."""
    DO[what](open_roster(folder))
    on = open_roster(folder)
    if what == "add":
        return len(on.athlete("anna").recordings()) == len(DATA)
    if what == "letter":
        return standing(WEEK, on.athlete("anna"), on).is_whole
    if what == "move":
        hills = [p.parent.name for p in folder.glob("*/diary.csv") if "hills" in p.read_text()]
        return on.athlete("anna").recordings() == () and hills == ["berta"]
    if what == "forget":
        return not any(b"Anna" in p.read_bytes() for p in folder.rglob("*") if p.is_file())
    return True


def killed(what, folder, after_s):
    """Do something in a child of its own and kill it after a time; how long it ran."""
    on = open_roster(folder)
    begun_s = time.monotonic()
    child = os.fork()
    if not child:
        os.setsid()
        null = os.open(os.devnull, os.O_RDWR)
        for number in (0, 1, 2):
            os.dup2(null, number)
        try:
            DO[what](on)
        except BaseException:
            (folder.parent / "child.txt").write_text(traceback.format_exc())
        finally:
            os._exit(0)
    stop_s = begun_s + after_s
    while time.monotonic() < stop_s and os.waitpid(child, os.WNOHANG) == (0, 0):
        time.sleep(min(0.002, after_s))
    ran_s = time.monotonic() - begun_s
    for end in (lambda: os.killpg(child, signal.SIGKILL), lambda: os.waitpid(child, 0)):
        with contextlib.suppress(ProcessLookupError, ChildProcessError):
            end()
    return ran_s


def run(n, seed, kinds=tuple(DO)):
    """Kill so many; returns what was wrong, in sentences."""
    warnings.simplefilter("ignore", DeprecationWarning)  # a process of one thread may fork
    rng = random.Random(seed)
    wrong, counts = [], dict.fromkeys(kinds, 0)
    longest_s = dict.fromkeys(kinds, 3.0) | {"week": 25.0, "open": 6.0}
    for number in range(n):
        what = rng.choices(kinds, weights=[OFTEN[kind] for kind in kinds])[0]
        counts[what] += 1
        with tempfile.TemporaryDirectory() as where:
            folder = made(Path(where) / "roster").path
            if counts[what] == 1 and what not in ("week", "open"):  # how long it takes when nobody kills it
                spare = made(Path(where) / "spare").path
                begun_s = time.monotonic()
                DO[what](open_roster(spare))
                longest_s[what] = 1.2 * (time.monotonic() - begun_s)
                shutil.rmtree(spare)
                for path in Path(where).glob("*.fit"):
                    path.unlink()
            after_s = rng.uniform(0, longest_s[what])
            killed(what, folder, after_s)
            try:
                found = wrong_with(folder, what)
                found += (
                    []
                    if what in ("week", "open") or done(folder, what)
                    else ["not finished by doing it again"]
                )
                found += wrong_with(folder, what)
            except Exception as problem:
                found = [repr(problem)]
            if (report := Path(where) / "child.txt").is_file():
                found.append(report.read_text()[-600:])
            wrong += [f"{number} {what} after {after_s:.3f} s: {each}" for each in found]
    return wrong, counts


if __name__ == "__main__":
    how_many = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    start = int(sys.argv[2]) if len(sys.argv) > 2 else random.SystemRandom().randrange(10**6)
    found, each = run(how_many, start, tuple(sys.argv[3:]) or tuple(DO))
    print("\n".join(found))
    print(f"{how_many} kills, seed {start}, {each}: {len(found)} wrong")

"""Nothing of a person is found after they were forgotten, and nobody else loses anything."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from rosters import fit_data, make_roster, put, wandering

from coachlib.errors import RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.files.store.drafts import Drafts
from coachlib.files.store.store import sha256_of
from coachlib.jobs import forgetting
from coachlib.jobs.forgetting import REMOVED, forget
from coachlib.jobs.publishing import Page, publish, standing
from coachlib.jobs.recordings import Recordings
from coachlib.records.decisions import Decisions, Window

WEEK = "2026-W41"
SURE = ("yes", "berta")


def answering(*answers):
    given = iter(answers)

    def ask(question):
        try:
            return next(given)
        except StopIteration:
            raise EOFError from None

    return ask


def page(name, words, **more):
    blocks = ("<h1>Week</h1>", f'<p class="words">{words}</p>')
    numbers = {"remarks": words}
    return Page(name=name, title="Week", blocks=blocks, numbers=numbers, made_from={"x": "1"}, **more)


@pytest.fixture
def roster(tmp_path):
    folder = make_roster(tmp_path / "roster", "anna", "berta", "tom")
    (folder / "roster.toml").write_text(
        'name = "Group"\ncoach = "Maren"\ntime_zone = "Europe/Vienna"\n# Berta from May on\n'
    )
    (folder / "berta/athlete.toml").write_text('name = "Berta Müller"\nemail = "run77@example.org"\n')
    (folder / "tom/athlete.toml").write_text(
        'name = "Tom Müller"\n[[event]]\non = 2026-12-01\nname = "with Berta"\n'
    )
    for n, slug in enumerate(("anna", "berta", "tom")):
        put(folder / slug, "2026-10-05_run.fit", fit_data(wandering(seed=n + 1), serial=4711 + n))
        (folder / slug / "notes").mkdir()
        (folder / slug / "diary.csv").write_text("date;rpe;remarks\n2026-10-05;3;hills\n")
    (folder / "anna/notes/2026-W41.md").write_text(
        "names allowed: Berta, Tom\nGood ride, Berta and Tom! Ask run77@example.org.\n"
    )
    (folder / "tom/notes/2026-W41.md").write_text(
        "names allowed: Berta Müller\nTom Müller, Berta's pace was yours.\n"
    )
    (folder / "tom/diary.csv").write_bytes(
        "date;remarks\n2026-10-05;mit Bérta über den Hügel\n".encode("cp1252")
    )
    roster = open_roster(folder)
    for slug in roster.athletes():
        own = roster.athlete(slug)
        recordings = Recordings(folder=roster, own=own)
        for recording in recordings.open():
            recordings.judged(recording)
            steady = Window(start_s=0, stop_s=60, purpose="steady", note="beside Berta")
            decided = Decisions(fit_sha256=recording.sha256, windows=[steady])
            mine = Drafts(folder / ".coachlib/drafts" / slug, recording.name, recording.sha256, None)
            mine.keep(decided, rejected=(), based_on=None, kept_at=datetime(2026, 10, 6, tzinfo=UTC))
            mine.release()
        words = "with Berta" if slug == "anna" else "hills"
        publish(page(WEEK, words, week=WEEK, for_coach={"names_allowed": ["Berta"]}), own, roster)
    publish(page(WEEK, "Berta Müller first, then Tom"), None, roster)
    (folder / ".coachlib/workbooks").mkdir()
    (folder / ".coachlib/workbooks/recording (changed).ipynb").write_text(
        '{"cells": ["athlete = \'berta\'"]}'
    )
    return open_roster(folder)


def everything(folder):
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in Path(folder).rglob("*") if p.is_file()}


def test_nothing_of_the_person_is_found_afterwards(roster):
    berta = roster.athlete("berta")
    marks = ["berta", "bérta", "run77@", sha256_of(berta.recordings()[0]), "4712"]
    marks = [mark.encode(code) for mark in marks for code in ("utf-8", "cp1252", "utf-16-le")]
    assert forget(roster, berta, ask=answering(*SURE)) == 0
    for name, data in everything(roster.path).items():
        found = [mark for mark in marks if mark in data.lower() or mark in name.lower().encode()]
        assert found == [], name
    assert open_roster(roster.path).athletes() == ("anna", "tom")


def test_the_others_lose_nothing_but_the_name(roster):
    before = everything(roster.path)
    forget(roster, roster.athlete("berta"), ask=answering(*SURE))
    after = everything(roster.path)
    gone = {name for name in before.keys() - after.keys() if not name.startswith(("berta/", ".coachlib/"))}
    assert gone == {f"reports/{WEEK}.html", f"reports/{WEEK}.json"}
    assert after["anna/notes/2026-W41.md"].decode() == (
        f"names allowed: Tom\nGood ride, {REMOVED} and Tom! Ask {REMOVED}.\n"
    )
    assert after["tom/notes/2026-W41.md"].decode() == f"Tom Müller, {REMOVED} pace was yours.\n"
    assert after["tom/diary.csv"] == f"date;remarks\n2026-10-05;mit {REMOVED} über den Hügel\n".encode(
        "cp1252"
    )
    fresh = open_roster(roster.path)
    assert fresh.athlete("tom").athlete().events[0].name == f"with {REMOVED}"
    for slug in fresh.athletes():
        assert standing(WEEK, fresh.athlete(slug), fresh).is_whole, "a sent letter stays, and is known"
        assert standing(WEEK, fresh.athlete(slug), fresh).made_from == {"x": "1"}
        same = [name for name in before if name.startswith(slug) and name.endswith((".fit", "athlete.toml"))]
        assert all(after[name] == before[name] for name in same if name != "tom/athlete.toml")
        [draft] = (fresh.path / ".coachlib/drafts" / slug).glob("*.json")
        assert json.loads(draft.read_text())["decisions"]["windows"][0]["note"] == f"beside {REMOVED}"
    assert f"with {REMOVED}" in after[f"anna/reports/{WEEK}.html"].decode()


@pytest.mark.parametrize("answers", [(), ("no",), ("y", "berta"), ("yes",), ("yes", "tom"), ("yes", "")])
def test_without_two_clear_answers_nothing_goes(roster, answers, capsys):
    before = everything(roster.path)
    assert forget(roster, roster.athlete("berta"), ask=answering(*answers)) == 1
    assert everything(roster.path) == before
    said = capsys.readouterr().out
    assert "one recording" in said
    assert "the name in tom/diary.csv" in said
    assert "Nothing was removed; Berta Müller stays." in said


def test_nobody_at_the_keyboard_and_an_open_window_are_told(roster):
    before = everything(roster.path)
    berta = roster.athlete("berta")
    with pytest.raises(RosterProblem, match="asked twice, and nobody sits at a keyboard; nothing is removed"):
        forget(roster, berta, ask=None)
    assert everything(roster.path) == before
    mine = Drafts(roster.path / ".coachlib/drafts/berta", "x", "a" * 64, None)
    mine.keep(Decisions(fit_sha256="a" * 64), rejected=(), based_on=None, kept_at=datetime.now(UTC))
    with pytest.raises(RosterProblem, match="a window with unsaved changes of Berta Müller is open"):
        forget(roster, berta, ask=answering(*SURE))


def test_what_stays_is_told(roster, capsys):
    put(roster.path / "tom", "2026-10-07_with_berta.fit", fit_data(wandering(seed=9)))
    (roster.path / "tom/scan.pdf").write_bytes("%PDF Berta Müller".encode())
    assert forget(roster, roster.athlete("berta"), ask=answering(*SURE)) == 1
    said = capsys.readouterr().out
    assert "2026-10-07_with_berta.fit names Berta Müller in its own name; rename it" in said
    assert "scan.pdf names Berta Müller; take the name out there" in said
    assert not (roster.path / "berta").exists()


@pytest.mark.parametrize("at", range(0, 12, 2))
def test_a_run_that_is_stopped_is_done_by_the_next_one(roster, at, monkeypatch):
    left = [at]
    delete = forgetting._delete

    def stopped(path):
        left[0] -= 1
        if left[0] < 0:
            raise KeyboardInterrupt
        delete(path)

    with monkeypatch.context() as patch:
        patch.setattr(forgetting, "_delete", stopped)
        try:
            forget(roster, roster.athlete("berta"), ask=answering(*SURE))
        except KeyboardInterrupt:
            again = open_roster(roster.path)
            patch.undo()
            assert forget(again, again.athlete("Berta Müller"), ask=answering(*SURE)) == 0
    assert not any(b"berta" in data.lower() for data in everything(roster.path).values())


def test_who_shares_a_name_keeps_it(roster):
    (roster.path / "anna/athlete.toml").write_text('name = "Berta Andersen"\n')
    (roster.path / "anna/notes/2026-W41.md").write_text("Berta, well ridden; with Müller.\n")
    fresh = open_roster(roster.path)
    forget(fresh, fresh.athlete("berta"), ask=answering(*SURE))
    assert (roster.path / "anna/notes/2026-W41.md").read_text() == f"Berta, well ridden; with {REMOVED}.\n"


def test_a_link_goes_and_what_it_leads_to_stays(roster, tmp_path):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "mine.txt").write_text("Berta Müller")
    (roster.path / "berta/more").symlink_to(elsewhere)
    assert forget(roster, roster.athlete("berta"), ask=answering(*SURE)) == 0
    assert (elsewhere / "mine.txt").read_text() == "Berta Müller"

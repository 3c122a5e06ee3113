"""One door: what passes it, what does not, and what is left when something goes wrong in it."""

import errno
import json
import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from rosters import make_roster

from coachlib.errors import FileProblem, ReportProblem
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.clearing import clear_leftovers
from coachlib.jobs.publishing import Page, let_out, names_of_others, publish, standing
from coachlib.report.page.blocks import Html

NAME = "2026-W41"


@pytest.fixture
def roster(tmp_path):
    return open_roster(make_roster(tmp_path / "roster", "anna", "berta"))


@pytest.fixture
def anna(roster):
    return roster.athlete("anna")


def page(words="A calm week.", *, n=1, **changes):
    blocks = (Html("<h1>Anna</h1>"), Html(f'<p class="words">{words}</p>'))
    values = {
        "blocks": blocks,
        "numbers": {"n": n},
        "made_from": {"x": str(n)},
        "for_coach": {"n": n},
        **changes,
    }
    return Page(name=NAME, title="Anna", **values)


def files_of(folder):
    return sorted(p.name for p in folder.rglob("*") if p.is_file())


def test_page_numbers_and_what_is_known_about_them_are_one_state(roster, anna):
    path = publish(page(), anna, roster)
    assert path == anna.reports_dir / f"{NAME}.html"
    assert "A calm week." in path.read_text("utf-8")
    kept = json.loads(path.with_suffix(".json").read_text("utf-8"))
    assert set(kept) == {"n", "page_sha256"}
    found = standing(NAME, anna, roster)
    assert found.is_whole
    assert (found.made_from, found.for_coach) == ({"x": "1"}, {"n": 1})
    assert files_of(anna.reports_dir) == [f"{NAME}.html", f"{NAME}.json"]


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_only_the_owner_may_read_what_is_published(roster, anna):
    anna.reports_dir.mkdir(mode=0o750)
    open_before = anna.reports_dir / f"{NAME}.html"
    open_before.write_text("old")
    open_before.chmod(0o644)
    publish(page(), anna, roster)
    made = roster.path / ".coachlib/made/anna" / f"{NAME}.json"
    for path in (open_before, open_before.with_suffix(".json"), made):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(anna.reports_dir.stat().st_mode) == 0o750, "folders stay as they are"


def test_a_page_alone_has_no_numbers_beside_it(roster, anna):
    publish(page(numbers=None, made_from={}), anna, roster)
    assert files_of(anna.path / "reports") == [f"{NAME}.html"]


@pytest.mark.parametrize(
    "changes",
    [
        {"words": "with Berta"},
        {"numbers": {"remarks": "with Berta"}},
        {"words": "/home/coach/x"},
        {"words": "<script>x</script>"},
        {"words": "<a href='x'>x</a>"},
        {"words": "x" * 300_000},
    ],
)
def test_nothing_unclean_reaches_the_disk(roster, anna, changes):
    publish(page(), anna, roster)
    before = {p: p.read_bytes() for p in roster.path.rglob("*") if p.is_file()}
    with pytest.raises(ReportProblem):
        publish(page(**changes), anna, roster)
    assert {p: p.read_bytes() for p in roster.path.rglob("*") if p.is_file()} == before


def test_the_coachs_own_page_may_name_everybody(roster):
    assert publish(page("Berta and Anna"), None, roster) == roster.reports_dir / f"{NAME}.html"


def test_a_profile_that_cannot_be_read_is_looked_out_for_all_the_same(roster, anna):
    (roster.path / "berta/athlete.toml").write_text('name = "Berta Holmqvist"\nzones = "three"\nx = [')
    assert names_of_others(roster, anna) == ("berta", "Berta Holmqvist")
    with pytest.raises(ReportProblem, match="'Holmqvist'"):
        publish(page("Holmqvist was there"), anna, roster)


@pytest.mark.parametrize(
    "damage",
    [
        lambda path: path.write_bytes(b""),
        lambda path: path.write_text(path.read_text().replace("calm", "hard")),
        lambda path: path.unlink(),
        lambda path: path.with_suffix(".json").write_bytes(b""),
        lambda path: path.with_suffix(".json").unlink(),
        lambda path: path.with_suffix(".json").write_text(
            path.with_suffix(".json").read_text().replace('"n": 1', '"n": 2')
        ),
        lambda path: path.with_suffix(".json").write_text("[" * 100_000),
    ],
)
def test_every_damage_to_page_or_numbers_is_noticed(roster, anna, damage):
    path = publish(page(), anna, roster)
    damage(path)
    found = standing(NAME, anna, roster)
    assert found is None or not found.is_whole


def test_what_is_no_page_passes_the_same_look_out_or_is_not_written(roster, anna):
    (roster.path / "berta/athlete.toml").write_text('name = "Berta Holm"\nemail = "run77@example.org"\n')
    table, calendar = anna.reports_dir / "week.csv", anna.reports_dir / "week.ics"
    for words in ("with Berta", "ask run77@example.org"):
        with pytest.raises(ReportProblem, match=r"week\.ics holds the name of another athlete"):
            let_out({table: b"day\r\n", calendar: f"SUMMARY:{words}\r\n".encode()}, anna, roster, week=NAME)
    assert not anna.reports_dir.exists()
    let_out({table: b"day\r\n", calendar: b"SUMMARY:easy\r\n"}, anna, roster)
    assert files_of(anna.reports_dir) == ["week.csv", "week.ics"]
    assert stat.S_IMODE(table.stat().st_mode) & 0o077 == 0 or os.name != "posix"


KILLED = """
import os, sys
from pathlib import Path
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.publishing import Page, publish
roster, at = open_roster(sys.argv[1]), int(sys.argv[2])
left = [at]
def counted(call):
    def step(*arguments, **options):
        left[0] -= 1
        if left[0] < 0:
            os._exit(9)
        return call(*arguments, **options)
    return step
os.fsync, Path.replace = counted(os.fsync), counted(Path.replace)
blocks = ("<h1>Anna</h1>", "<p>New words.</p>")
publish(Page(name="2026-W41", title="A", blocks=blocks, numbers={"n": 2}, made_from={"x": "2"}), roster.athlete("anna"), roster)
"""


@pytest.mark.parametrize("at", range(7))
def test_a_run_killed_at_any_step_leaves_old_or_new_or_is_noticed(roster, anna, at):
    path = publish(page(), anna, roster)
    old = (path.read_bytes(), path.with_suffix(".json").read_bytes())
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(roster.path), str(at)], check=False, env=os.environ
    )
    assert done.returncode == (9 if at < 6 else 0)
    found = standing(NAME, anna, roster)
    now = (path.read_bytes(), path.with_suffix(".json").read_bytes())
    if found.is_whole:
        assert now == old or (b"New words" in now[0] and b'"n": 2' in now[1])
    else:
        assert at in (3, 4, 5), "between the first and the last step"
    clear_leftovers(roster)
    left = [name for name in files_of(roster.path) if name.endswith((".tmp", ".lock"))]
    assert left == []
    publish(page("Again.", n=3), anna, roster)
    assert standing(NAME, anna, roster).is_whole


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EIO, errno.EACCES, errno.EDQUOT])
@pytest.mark.parametrize("at", range(4))
def test_a_disk_that_refuses_leaves_the_old_page_and_a_sentence(roster, anna, monkeypatch, number, at):
    path = publish(page(), anna, roster)
    old = (path.read_bytes(), path.with_suffix(".json").read_bytes())
    left = [at]

    def refusing(call):
        def step(*arguments, **options):
            left[0] -= 1
            if left[0] < 0:
                raise OSError(number, os.strerror(number))
            return call(*arguments, **options)

        return step

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", refusing(os.fsync))
        patch.setattr(Path, "replace", refusing(Path.replace))
        with pytest.raises(FileProblem, match=f"cannot be written: {os.strerror(number)}.*then try again"):
            publish(page("New.", n=2), anna, roster)
    if at < 3:
        assert (path.read_bytes(), path.with_suffix(".json").read_bytes()) == old
    else:
        assert not standing(NAME, anna, roster).is_whole
    assert files_of(anna.reports_dir) == [f"{NAME}.html", f"{NAME}.json"]


def test_a_folder_that_cannot_be_made_is_told(roster, anna):
    anna.reports_dir.write_text("a file where the folder should be")
    with pytest.raises(FileProblem, match=r"the folder .*reports cannot be made"):
        publish(page(), anna, roster)


def test_without_the_derived_folder_the_page_stands_and_nothing_more_is_known(roster, anna):
    publish(page(), anna, roster)
    shutil.rmtree(roster.path / ".coachlib")
    found = standing(NAME, anna, roster)
    assert found.is_whole
    assert found.made_from is None


def test_a_former_page_is_kept_beside_the_new_one(roster, anna):
    for n, words in enumerate(("First.", "Second.", "Third."), 1):
        publish(page(words, n=n), anna, roster, keeps_former=True)
    former = {p.name: p.read_text() for p in anna.reports_dir.iterdir()}
    assert "First." in former[f"{NAME}.former-1.html"]
    assert "Second." in former[f"{NAME}.former-2.html"]
    assert '"n": 2' in former[f"{NAME}.former-2.json"]
    assert "Third." in former[f"{NAME}.html"]


@pytest.mark.skipif(
    sys.platform != "linux" or os.geteuid() != 0, reason="mounting a small disk needs Linux and root"
)
def test_a_disk_that_is_really_full(tmp_path):
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", str(disk)], check=False)
    if mounted.returncode:
        pytest.skip("no small disk can be mounted here")
    try:
        roster = open_roster(make_roster(disk / "roster", "anna", "berta"))
        anna = roster.athlete("anna")
        path = publish(page(), anna, roster)
        old = path.read_bytes()
        (disk / "ballast").write_bytes(b"x" * (shutil.disk_usage(disk).free - 8192))
        with pytest.raises(FileProblem, match="Make room on the disk"):
            publish(page("word " * 20_000), anna, roster)
        assert path.read_bytes() == old
        assert standing(NAME, anna, roster).is_whole
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        with pytest.raises(FileProblem, match="only be read: make it writable"):
            publish(page("New."), anna, roster)
        assert path.read_bytes() == old
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=False)

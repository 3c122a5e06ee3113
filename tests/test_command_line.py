"""The commands, as a coach types them."""

import gzip
import shlex
import shutil
import subprocess
import sys
import zipfile
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from fitbytes import CYCLING, GENERIC, RUNNING, START, FitBytes
from rosters import DAY_S, fit_data, make_roster, put, wandering

from coachlib.__main__ import main
from coachlib.commands.command import MISTYPED, STOPPED, UNWELL, WELL
from coachlib.commands.parser import parser
from coachlib.commands.registry import COMMANDS
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.workers import processors

DEMO = Path(__file__).parent.parent / "athletes_demo"
TODAY = date(2026, 11, 23)
NOBODY = SimpleNamespace(isatty=lambda: False)
#: Numbers of the open FIT profile's lists.
FITNESS_EQUIPMENT, INDOOR_ROWING = 4, 14


@pytest.fixture
def roster(tmp_path):
    return make_roster(tmp_path / "roster", "mira", "tom")


@pytest.fixture
def downloads(tmp_path):
    folder = tmp_path / "downloads"
    folder.mkdir()
    return folder


@pytest.fixture
def run(downloads):
    path = downloads / "8123.fit"
    path.write_bytes(fit_data(wandering(900)))
    return path


def ran(capsys, *typed):
    """Exit status, standard output, error output."""
    status = main([str(word) for word in typed], today=TODAY)
    return status, *capsys.readouterr()


def next_step(roster):
    """What stands last where something was added."""
    folder = roster.resolve()
    return f"Next: coachlib week {folder}   (the letter), or coachlib check {folder}   (what is missing)"


def recordings(roster, slug="mira"):
    return [p.name for p in open_roster(roster).athlete(slug).recordings()]


@pytest.mark.parametrize("command", list(COMMANDS))
def test_every_command_says_what_it_reads_and_writes_with_an_example(capsys, command):
    status, out, _ = ran(capsys, command, "--help")
    assert status == WELL
    said = " ".join(out.split())
    for each in (
        "reads: ",
        "writes: ",
        f"example: coachlib {command} ",
        "exit status: 0 all well, 1 something",
    ):
        assert each in said


@pytest.mark.parametrize(
    "command", [name for name in COMMANDS if name not in ("week", "post", "open", "forget")]
)
def test_the_examples_work_on_the_demo(tmp_path, capsys, monkeypatch, command):
    shutil.copytree(DEMO, tmp_path / "athletes_demo", ignore=shutil.ignore_patterns("reports", ".coachlib"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", NOBODY)
    program, *typed = shlex.split(COMMANDS[command].example)
    assert program == "coachlib"
    status, _, err = ran(capsys, *typed)
    assert (status, err) == (WELL, "")


@pytest.mark.parametrize("command", ["week", "post", "open", "forget"])
def test_the_other_examples_name_the_demo(command):
    typed = parser().parse_args(shlex.split(COMMANDS[command].example)[1:])
    assert (typed.command, typed.roster.name) == (command, "athletes_demo")


def test_help_comes_at_once():
    """CPU time, the best of three, so that a busy machine does not count."""
    code = "import sys; sys.argv = ['coachlib', '--help']; import time; from coachlib.__main__ import main; main(); "
    code += "print(time.process_time(), file=sys.stderr)"
    spent_s = []
    for _ in range(3):
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        spent_s.append(float(done.stderr))
    assert min(spent_s) < 0.2


def test_help_needs_no_heavy_library():
    code = "import sys; from coachlib.__main__ import main; main(['--help']); "
    code += "print(sorted({'numpy', 'pandas', 'pydantic', 'rich', 'tomlkit'} & set(sys.modules)), file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr == "[]\n"


def test_the_program_tells_its_version(capsys):
    assert ran(capsys, "--version")[:2] == (WELL, "coachlib 0.1.0\n")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ((), f"say what to do: {', '.join(COMMANDS)}. To begin: coachlib new my_roster"),
        (("weeks",), 'no command is called "weeks"; did you mean week?'),
        (("letter",), 'no command is called "letter"; there are ' + ", ".join(COMMANDS)),
        (("week", "r", "--wek", "3"), "unrecognized arguments: --wek 3"),
        (("add", "r"), "say what to add: files, folders, or --from FOLDER"),
        (
            ("week", "r", "--week", "2026-W41", "--to", "2026-W42"),
            "--week is one week, --from and --to are several",
        ),
        (
            ("week", "r", "--week", "41"),
            'a week is named by ISO year and number, such as "2026-W41"; found "41"',
        ),
        (("week", "r", "--week", "2026-W54"), 'found "2026-W54"'),
    ],
)
def test_what_is_typed_wrongly_is_told(capsys, typed, told):
    status, _, err = ran(capsys, *typed)
    assert status == MISTYPED
    assert told in err
    assert "usage" not in err
    assert len(err.splitlines()) <= 2


def test_a_coachs_error_is_one_sentence_and_no_traceback(tmp_path, capsys):
    status, out, err = ran(capsys, "check", tmp_path / "nowhere")
    assert (status, out) == (UNWELL, "")
    assert err == f"there is no folder {tmp_path / 'nowhere'}; a roster is a folder with roster.toml in it\n"


def test_the_keyboard_stops_a_command_cleanly(roster, capsys, monkeypatch):
    def stop(_, **options):
        raise KeyboardInterrupt

    monkeypatch.setattr("coachlib.jobs.checking.check_roster", stop)
    assert ran(capsys, "check", roster) == (STOPPED, "", "stopped\n")


def test_anything_else_is_a_bug_and_shows(roster, monkeypatch):
    def break_down(_, **options):
        raise ZeroDivisionError

    monkeypatch.setattr("coachlib.jobs.checking.check_roster", break_down)
    with pytest.raises(ZeroDivisionError):
        main(["check", str(roster)])


def test_a_week_passes_on_what_was_typed(roster, capsys, monkeypatch):
    asked = {}

    def write_weeks(folder, **options):
        asked.update(options, path=folder.path)
        return UNWELL

    monkeypatch.setitem(sys.modules, "coachlib.jobs.weeks", SimpleNamespace(write_weeks=write_weeks))
    typed = ("week", roster, "--week", "2026-W41", "--athlete", "mira", "Tom Example", "--again")
    assert ran(capsys, *typed)[0] == UNWELL
    workers = asked.pop("workers")
    assert (workers.n, workers.on) == (processors(), None)
    assert asked == {
        "path": roster.resolve(),
        "week": "2026-W41",
        "first": None,
        "last": None,
        "athletes": ("mira", "Tom Example"),
        "again": True,
        "today": TODAY,
        "width": None,
    }


def test_open_serves_the_desk_on_the_roster_of_the_environment(roster, capsys, monkeypatch):
    opened = []

    def open_desk(path, **options):
        opened.append((path, options))
        return WELL

    monkeypatch.setitem(sys.modules, "coachlib.panels.desk.server", SimpleNamespace(open_desk=open_desk))
    monkeypatch.setenv("COACHLIB_ROSTER", str(roster))
    assert ran(capsys, "open")[0] == WELL
    assert ran(capsys, "open", "--lab", "--no-browser")[0] == WELL
    assert opened == [
        (roster.resolve(), {"lab": False, "browser": True}),
        (roster.resolve(), {"lab": True, "browser": False}),
    ]


def test_it_runs_as_a_module(roster):
    done = subprocess.run(
        [sys.executable, "-m", "coachlib", "check", str(roster / "none")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == UNWELL
    assert done.stderr.startswith("there is no folder")


def test_a_recording_is_filed_under_its_local_day(roster, run, capsys):
    before = run.read_bytes()
    assert ran(capsys, "add", roster, "mira", run) == (
        WELL,
        f"mira: 2026-10-03_treadmill.fit added from {run}\n1 file looked at: 1 added.\n{next_step(roster)}\n",
        "",
    )
    assert run.read_bytes() == before
    assert (roster / "mira" / "recordings" / "2026-10-03_treadmill.fit").read_bytes() == before


def test_the_athletes_zone_gives_the_day(roster, run, capsys):
    (roster / "mira" / "athlete.toml").write_text('name = "Mira"\ntime_zone = "Pacific/Honolulu"\n')
    ran(capsys, "add", roster, "mira", run)
    assert recordings(roster) == ["2026-10-02_treadmill.fit"]


def test_a_taken_name_is_numbered(roster, downloads, capsys):
    files = []
    for n in range(3):
        files.append(downloads / f"{n}.fit")
        files[-1].write_bytes(
            fit_data(wandering(300, seed=n), start=START + 3600 * n, sport=CYCLING, sub_sport=GENERIC)
        )
    assert ran(capsys, "add", roster, "mira", *files)[0] == WELL
    assert recordings(roster) == [
        "2026-10-03_cycling-2.fit",
        "2026-10-03_cycling-3.fit",
        "2026-10-03_cycling.fit",
    ]


def test_the_same_file_is_refused_with_whoever_has_it(roster, run, capsys):
    ran(capsys, "add", roster, "mira", run)
    for slug in ("mira", "tom"):
        status, out, err = ran(capsys, "add", roster, slug, run, "--anyway")
        assert (status, err) == (WELL, "")
        assert out.splitlines() == [
            "1 file looked at: 0 added, 1 known already.",
            "Known already:",
            f"  {run} lies with mira already, as 2026-10-03_treadmill.fit",
        ]
    assert recordings(roster) == ["2026-10-03_treadmill.fit"]
    assert recordings(roster, "tom") == []


def test_a_re_export_is_refused(roster, run, downloads, capsys):
    ran(capsys, "add", roster, "mira", run)
    again = downloads / "export.fit"
    again.write_bytes(fit_data(wandering(900), serial=99))
    status, out, err = ran(capsys, "add", roster, "mira", again, "--anyway")
    assert (status, err) == (WELL, "")
    assert f"  {again} holds the same values as 2026-10-03_treadmill.fit, exported again\n" in out


def test_a_second_device_is_refused_unless_meant(roster, run, downloads, capsys):
    ran(capsys, "add", roster, "mira", run)
    watch = downloads / "watch.fit"
    watch.write_bytes(fit_data(wandering(900)[5:], start=START + 8))
    status, _, err = ran(capsys, "add", roster, "mira", watch)
    assert status == UNWELL
    assert err.startswith(
        f"not added: {watch} is probably the session 2026-10-03_treadmill.fit on another device"
    )
    assert ran(capsys, "add", roster, "mira", watch, "--anyway")[0] == WELL
    assert recordings(roster) == ["2026-10-03_treadmill-2.fit", "2026-10-03_treadmill.fit"]


def test_another_recording_of_the_same_time_is_asked_about(roster, run, downloads, capsys):
    ran(capsys, "add", roster, "mira", run)
    other = downloads / "other.fit"
    other.write_bytes(fit_data(wandering(900, seed=5)))
    status, _, err = ran(capsys, "add", roster, "mira", other)
    assert status == UNWELL
    assert "ran at the same time as 2026-10-03_treadmill.fit: they share 100 %" in err


def test_one_bad_file_does_not_stop_the_others(roster, run, downloads, capsys):
    page = downloads / "page.fit"
    page.write_text("<html>please log in</html>")
    status, out, err = ran(capsys, "add", roster, "mira", page, downloads / "none.fit", run)
    assert status == UNWELL
    assert out.splitlines() == [
        f"mira: 2026-10-03_treadmill.fit added from {run}",
        "2 files looked at: 1 added, 1 damaged or no FIT file, 1 left.",
        next_step(roster),
    ]
    assert err.count("not added: ") == 2
    assert f"not added: {page}: a recording must be a FIT file" in err
    assert f"not added: {downloads / 'none.fit'} is not there; name files or folders\n" in err


def test_an_unknown_athlete_is_told(roster, run, capsys):
    status, _, err = ran(capsys, "add", roster, "max", run)
    assert (status, err) == (UNWELL, 'no athlete is called "max"; the roster has mira and tom\n')


def test_a_roster_without_faults_is_well(roster, capsys):
    for slug in ("mira", "tom"):
        folder = roster / slug
        put(folder, "2026-10-03_treadmill.fit", fit_data(wandering(900, seed=len(slug)), start=START))
        (folder / "diary.csv").write_text("date,rpe,remarks\n2026-10-03,3,fine\n")
        with (folder / "athlete.toml").open("a") as profile:
            profile.write('hr_max_bpm = 190\n[[threshold]]\nwhich = "first"\non = 2026-10-01\nhr_bpm = 150\n')
    assert ran(capsys, "check", roster) == (WELL, "2 athletes checked: nothing is wrong.\n", "")


def test_advice_alone_is_well(roster, capsys):
    status, out, _ = ran(capsys, "check", roster)
    assert status == WELL
    assert out.splitlines()[1:4] == [
        "mira",
        "  advice   diary.csv: there is no diary, so effort, talk test and remarks are missing from the "
        "letters.",
        "           Start one with a line of columns such as date,start,rpe,talk,health,remarks.",
    ]
    assert out.count("there are no recordings yet") == 2
    assert out.endswith("2 athletes checked: 0 problems, 4 advice.\n")


def make_faults(roster):
    """Everything wrong at once; what must be found stands beside each fault."""
    mira = roster / "mira"
    (mira / "athlete.toml").write_text(
        'name = "Mira"\nhr_max_bpm = 150\n'
        '[[threshold]]\nwhich = "second"\non = 2026-09-20\nhr_bpm = 140\n'
        '[[threshold]]\nwhich = "first"\non = 2026-07-01\nhr_bpm = 145\n'
    )
    hr = wandering(900, around=150)
    hr[300:320] = 177
    put(mira, "2026-10-03_a.fit", fit_data(hr))
    put(mira, "2026-10-03_b.fit", fit_data(hr))
    put(mira, "2026-10-03_c.fit", fit_data(hr, serial=7))
    put(mira, "2026-10-03_d.fit", fit_data(hr[5:], start=START + 8))
    put(mira, "2026-10-05_run.fit", fit_data(wandering(900, seed=3), start=START + 2 * DAY_S))
    put(mira, "broken.fit", b"not a recording")
    (mira / "recordings" / "gone.decisions.toml").write_text("schema = 1\n")
    (mira / "recordings" / "2026-10-05_run.decisions.toml").write_text(
        f'schema = 1\nfit_sha256 = "{"0" * 64}"\n'
    )
    (mira / "recordings" / "photo.jpg").touch()
    (mira / "notes").mkdir()
    (mira / "notes" / "week 41.md").write_text("hello")
    (mira / "diary.csv").write_text(
        "date,start,rpe,recording\n2026-10-01,17:30,3,\n2026-10-02,,4,missing\n2026-10-05,9:00,11,\n"
    )
    tom = roster / "tom"
    (tom / "athlete.toml").write_text("name = Tom\n")
    put(tom, "2026-10-03_a.fit", fit_data(hr))
    (roster / "eva" / "recordings").mkdir(parents=True)


FAULTS = [
    ("eva", "problem", "athlete.toml: the folder eva needs athlete.toml"),
    ("mira", "problem", "broken.fit: "),
    (
        "mira",
        "problem",
        "2026-10-05_run.decisions.toml: was made for a recording with checksum 000000000000...",
    ),
    ("mira", "problem", "2026-10-03_b.fit: 2026-10-03_a and 2026-10-03_b are the same file twice"),
    (
        "mira",
        "problem",
        "2026-10-03_c.fit: 2026-10-03_a and 2026-10-03_c hold the same values, exported twice",
    ),
    (
        "mira",
        "problem",
        "2026-10-03_d.fit: 2026-10-03_a and 2026-10-03_d are probably one session on two devices",
    ),
    ("mira", "problem", 'diary.csv: line 4: column `rpe` is "11"'),
    ("mira", "advice", "diary.csv: no recording belongs to the row of 2026-10-01, 17:30"),
    ("mira", "problem", "diary.csv: the row of 2026-10-02 names the recording “missing”"),
    ("mira", "advice", "diary.csv: 5 recordings have no row, the latest 2026-10-05_run"),
    (
        "mira",
        "problem",
        "athlete.toml: the maximum is 150 bpm, but 5 recordings hold more for ten seconds, the most 177 bpm in "
        "2026-10-03_a",
    ),
    ("mira", "advice", "athlete.toml: the thresholds do not stand in the order of their dates"),
    (
        "mira",
        "problem",
        "athlete.toml: from 2026-09-20 on the second threshold (140 bpm, of 2026-09-20) is not above",
    ),
    ("mira", "advice", "athlete.toml: the first threshold of 2026-07-01 is 14 weeks old"),
    ("mira", "problem", "gone.decisions.toml: the recording gone.fit is not there"),
    ("mira", "advice", "photo.jpg: nothing here reads it"),
    ("mira", "problem", "week 41.md: a week is named by ISO year and number"),
    ("tom", "problem", "athlete.toml: line 1 cannot be read: name = Tom"),
    ("tom", "problem", "2026-10-03_a.fit: the same file lies with mira as 2026-10-03_"),
]


def test_every_fault_of_a_roster_is_told_in_one_go(roster, capsys):
    make_faults(roster)
    status, out, _ = ran(capsys, "check", roster)
    assert status == UNWELL
    for athlete, severity, told in FAULTS:
        part = out.split(f"\n{athlete}\n")[1].split("\n\n")[0]
        assert f"  {severity:8} {told}" in part
    assert ".." not in out.replace("...", "")


def test_a_machine_that_cannot_be_is_a_problem(roster, capsys):
    with (roster / "mira" / "athlete.toml").open("a") as profile:
        profile.write("[treadmill]\nspeed_high_kmh = 12\nspeed_step_kmh = 20\n")
    status, out, _ = ran(capsys, "check", roster)
    assert status == UNWELL
    assert (
        "  problem  athlete.toml: key `speed_step_kmh` of [treadmill] is 20; allowed: a number from 0.05 to"
        in out
    )
    assert "Correct it in a text editor and check again" in out


def test_a_check_changes_nothing_but_the_derived_store(roster, capsys):
    make_faults(roster)
    before = {p: p.read_bytes() for p in roster.rglob("*") if p.is_file()}
    ran(capsys, "check", roster)
    after = {p: p.read_bytes() for p in roster.rglob("*") if p.is_file() and ".coachlib" not in p.parts}
    assert after == before


def test_decisions_give_the_part_and_what_is_left_out(roster, capsys):
    hr = np.array(wandering(900, around=140))
    hr[300:330] = 200
    path = put(roster / "mira", "2026-10-03_run.fit", fit_data(hr, sport=RUNNING))
    (roster / "mira" / "athlete.toml").write_text('name = "Mira"\nhr_max_bpm = 185\n')
    assert "holds 200 bpm for ten seconds" in ran(capsys, "check", roster)[1]
    sha = open_roster(roster).store.activity(path).sha256
    text = f'schema = 1\nfit_sha256 = "{sha}"\npart = 0\n[[exclusion]]\nstart_s = 298.0\nstop_s = 332.0\n'
    path.with_name("2026-10-03_run.decisions.toml").write_text(text)
    assert "for ten seconds" not in ran(capsys, "check", roster)[1]


@pytest.fixture
def known_devices(roster, capsys):
    """Mira's watch is number 1, Tom's 2; 3 was used by both."""
    for slug, serial, day in (("mira", 1, 0), ("tom", 2, 0), ("mira", 3, 1), ("tom", 3, 2)):
        data = fit_data(wandering(300, seed=day), start=START + DAY_S * day, serial=serial)
        put(roster / slug, f"{serial}-{day}.fit", data)
    return roster


def new_files(downloads, *serials):
    for serial in serials:
        (downloads / "card").mkdir(exist_ok=True)
        path = downloads / "card" / f"device{serial}.FIT"
        path.write_bytes(fit_data(wandering(300, seed=serial), start=START + DAY_S * 20, serial=serial))


def answer_with(monkeypatch, *answers):
    """Somebody sits at the keyboard and types; what was asked is kept."""
    asked, left = [], list(answers)

    def typed(question):
        asked.append(question)
        return left.pop(0)

    monkeypatch.setattr("builtins.input", typed)
    monkeypatch.setattr("sys.stdin", SimpleNamespace(isatty=lambda: True))
    return asked


def test_a_folder_is_sorted_by_devices_seen_before(known_devices, downloads, capsys):
    new_files(downloads, 1, 2)
    status, out, err = ran(capsys, "add", known_devices, "--from", downloads)
    assert (status, err) == (WELL, "")
    assert out.splitlines() == [
        f"mira: 2026-10-23_treadmill.fit added from {downloads / 'card/device1.FIT'}",
        f"tom: 2026-10-23_treadmill.fit added from {downloads / 'card/device2.FIT'}",
        "2 files looked at: 2 added.",
        next_step(known_devices),
    ]


def test_without_an_athlete_devices_tell(known_devices, downloads, capsys):
    new_files(downloads, 1, 2)
    assert ran(capsys, "add", known_devices, downloads)[0] == WELL
    assert "2026-10-23_treadmill.fit" in recordings(known_devices, "tom")


def test_nothing_is_guessed_where_nobody_can_be_asked(known_devices, downloads, capsys, monkeypatch):
    new_files(downloads, 1, 3, 4)
    monkeypatch.setattr("sys.stdin", NOBODY)
    status, out, err = ran(capsys, "add", known_devices, "--from", downloads)
    assert status == UNWELL
    assert out.startswith("mira: 2026-10-23_treadmill.fit added from ")
    three, four = (downloads / "card" / f"device{n}.FIT" for n in (3, 4))
    assert err.splitlines() == [
        f"not added: {three} comes from a device that mira and tom used; say whose it is: "
        f"coachlib add {known_devices} ATHLETE {three}",
        f"not added: {four} comes from a device not seen before; say whose it is: "
        f"coachlib add {known_devices} ATHLETE {four}",
    ]


@pytest.mark.parametrize("answer", ["tom", "2", " TOM "])
def test_the_coach_is_asked_until_the_answer_fits_and_once_a_device(
    known_devices, downloads, capsys, monkeypatch, answer
):
    new_files(downloads, 4)
    (downloads / "later.fit").write_bytes(
        fit_data(wandering(300, seed=9), start=START + DAY_S * 21, serial=4)
    )
    asked = answer_with(monkeypatch, "max", answer)
    status, out, _ = ran(capsys, "add", known_devices, "--from", downloads)
    assert status == WELL
    assert (
        asked
        == ["device4.FIT, treadmill, 5 min, 23 October 2026: whose? (1 mira, 2 tom; Enter leaves it) "] * 2
    )
    assert out.splitlines() == [
        '"max" is none of them',
        f"tom: 2026-10-23_treadmill.fit added from {downloads / 'card/device4.FIT'}",
        f"tom: 2026-10-24_treadmill.fit added from {downloads / 'later.fit'}",
        "2 files looked at: 2 added.",
        next_step(known_devices),
    ]


def test_enter_leaves_a_file(known_devices, downloads, capsys, monkeypatch):
    new_files(downloads, 3)
    answer_with(monkeypatch, "")
    assert ran(capsys, "add", known_devices, "--from", downloads)[0] == UNWELL
    assert "2026-10-23_treadmill.fit" not in recordings(known_devices) + recordings(known_devices, "tom")


def test_the_end_of_the_keyboard_leaves_a_file_and_what_is_there_is_not_asked_about(
    known_devices, downloads, capsys, monkeypatch
):
    new_files(downloads, 3)
    (downloads / "again.fit").write_bytes((known_devices / "mira" / "recordings" / "3-1.fit").read_bytes())
    asked = []

    def closed(question):
        asked.append(question)
        raise EOFError

    monkeypatch.setattr("builtins.input", closed)
    monkeypatch.setattr("sys.stdin", SimpleNamespace(isatty=lambda: True))
    status, out, _ = ran(capsys, "add", known_devices, "--from", downloads)
    assert status == UNWELL
    assert [question.split(",")[0] for question in asked] == ["device3.FIT"]
    assert "again.fit lies with mira already, as 3-1.fit" in out


def test_a_folder_without_recordings_is_told(roster, downloads, capsys):
    (downloads / "track.gpx").touch()
    status, out, err = ran(capsys, "add", roster, "--from", downloads)
    assert (status, err) == (UNWELL, "")
    assert out.splitlines() == [
        "0 files looked at: 0 added, 1 passed over.",
        "Passed over, since only FIT files are read (.fit, .fit.gz, and .zip with them); what holds a session, export as FIT:",
        f"  {downloads / 'track.gpx'}",
    ]
    status, _, err = ran(capsys, "add", roster, "--from", downloads / "none")
    assert (status, err) == (UNWELL, f"not added: {downloads / 'none'} is not there; name files or folders\n")


# a roster of one, and everything that a newcomer has


@pytest.fixture
def alone(tmp_path):
    return make_roster(tmp_path / "alone", "mira")


def session(seed, *, day=0, **options):
    return fit_data(wandering(300, seed=seed), start=START + DAY_S * day, **options)


def test_a_roster_of_one_needs_no_athletes_name(alone, run, capsys):
    assert ran(capsys, "add", alone, run)[0] == WELL
    assert recordings(alone) == ["2026-10-03_treadmill.fit"]


def test_the_roster_may_be_named_by_the_environment(alone, run, capsys, monkeypatch):
    monkeypatch.setenv("COACHLIB_ROSTER", str(alone))
    assert ran(capsys, "add", run)[0] == WELL
    assert recordings(alone) == ["2026-10-03_treadmill.fit"]


def test_everything_a_person_has(alone, downloads, capsys):
    (downloads / "2024").mkdir()
    (downloads / "2024" / "a.fit").write_bytes(session(1, day=1))
    (downloads / "b.FIT.gz").write_bytes(gzip.compress(session(2, day=2)))
    inner = downloads / "inner.zip"
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("deep/d.fit", session(4, day=4))
    with zipfile.ZipFile(downloads / "export.zip", "w") as archive:
        archive.writestr("c.fit", session(3, day=3))
        archive.writestr("e.fit.gz", gzip.compress(session(5, day=5)))
        archive.writestr("profile.json", "{}")
        archive.writestr("__MACOSX/._c.fit", "resource")
        archive.write(inner, "inner.zip")
    inner.unlink()
    (downloads / "again.fit").write_bytes(session(3, day=3))
    (downloads / "settings.fit").write_bytes(FitBytes().file_id(kind=2).bytes())
    (downloads / "broken.fit").write_bytes(session(6, day=6)[:9])
    (downloads / "broken.zip").write_bytes(b"PK\x03\x04 and then nothing")
    (downloads / "photo.jpg").touch()
    (downloads / ".DS_Store").touch()
    status, out, err = ran(capsys, "add", alone, downloads)
    assert status == UNWELL
    assert recordings(alone) == [f"2026-10-0{3 + day}_treadmill.fit" for day in range(1, 6)]
    assert (
        "9 files looked at: 5 added, 1 known already, 1 not a session, 2 damaged or no FIT file, 2 passed over."
        in out
    )
    assert f"  {downloads / 'photo.jpg'}\n" in out
    assert f"  {downloads / 'export.zip'}/profile.json\n" in out
    assert f"added from {downloads / 'export.zip'}/inner.zip/deep/d.fit\n" in out
    assert "DS_Store" not in out + err
    assert "MACOSX" not in out + err
    for name in ("settings.fit", "broken.fit", "broken.zip"):
        assert f"not added: {downloads / name}" in err
    assert ran(capsys, "add", alone, downloads)[1].count("added from") == 0


def test_patterns_are_resolved_where_the_shell_did_not(alone, downloads, capsys):
    for n in range(3):
        (downloads / f"{'ab'[n % 2]}{n}.fit").write_bytes(session(n, day=n))
    assert ran(capsys, "add", alone, downloads / "a*.fit")[0] == WELL
    assert len(recordings(alone)) == 2
    status, _, err = ran(capsys, "add", alone, downloads / "z*.fit")
    assert (status, err) == (UNWELL, f"not added: {downloads / 'z*.fit'}: nothing fits this pattern\n")


def test_a_locked_archive_and_one_that_would_fill_the_disk_are_refused(alone, downloads, capsys):
    bomb = downloads / "bomb.zip"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("run.fit", bytes(60_000_000))
    locked = bytearray(session_zip(downloads))
    for header, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        locked[locked.index(header) + at] |= 1
    (downloads / "locked.zip").write_bytes(locked)
    status, _, err = ran(capsys, "add", alone, bomb, downloads / "locked.zip")
    assert status == UNWELL
    assert "bomb.zip/run.fit unpacks to more than 50 MB, as no recording does" in err
    assert "is locked with a password; unpack it first" in err
    assert recordings(alone) == []


def session_zip(folder):
    path = folder / "plain.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("run.fit", session(1))
    data = path.read_bytes()
    path.unlink()
    return data


def test_from_a_folder_in_a_roster_of_one_each_unknown_device_is_asked_about_once(
    alone, downloads, capsys, monkeypatch
):
    for n, serial in enumerate((7, 8, 7, 8, 8)):
        (downloads / f"{n}.fit").write_bytes(session(n, day=n, serial=serial))
    asked = answer_with(monkeypatch, "perhaps", "1", "")
    status, _, err = ran(capsys, "add", alone, "--from", downloads)
    assert status == UNWELL
    assert [question.split(",")[0] for question in asked] == ["0.fit", "0.fit", "1.fit"]
    assert asked[0].endswith("a device not seen before; is it mira's? (1 yes, Enter leaves its recordings) ")
    assert len(recordings(alone)) == 2
    assert err.count("comes from a device not seen before") == 3
    asked = answer_with(monkeypatch, "y")
    assert ran(capsys, "add", alone, "--from", downloads)[0] == WELL
    assert len(asked) == 1
    assert len(recordings(alone)) == 5


def test_two_recordings_of_clocks_that_were_not_set_are_two(alone, downloads, capsys):
    for n in range(2):
        (downloads / f"{n}.fit").write_bytes(fit_data(wandering(300, seed=n), start=1000))
    status, out, err = ran(capsys, "add", alone, downloads)
    assert (status, err) == (WELL, "")
    assert "2 files looked at: 2 added" in out
    assert ran(capsys, "add", alone, downloads)[1].startswith("2 files looked at: 0 added, 2 known already.")


def test_what_is_not_whole_and_what_was_assumed_about_time_is_told(alone, downloads, capsys):
    (alone / "roster.toml").write_text('name = "R"\n')
    (downloads / "cut.fit").write_bytes(session(1)[:-200])
    (downloads / "whole.fit").write_bytes(session(2, day=1))
    (downloads / "ahead.fit").write_bytes(session(3, day=2000))
    status, out, err = ran(capsys, "add", alone, downloads)
    assert (status, err) == (WELL, "")
    assert "3 files looked at: 3 added (1 of them not whole)." in out
    assert "  The file's header announces" in out
    assert "25 March 2032" in out
    assert (
        "UTC was taken for three recordings, since neither the file nor the roster knows the time zone" in out
    )


def test_a_rowing_machine_is_called_one(alone, downloads, capsys):
    (downloads / "row.fit").write_bytes(session(1, sport=FITNESS_EQUIPMENT, sub_sport=INDOOR_ROWING))
    ran(capsys, "add", alone, downloads)
    assert recordings(alone) == ["2026-10-03_rowing-machine.fit"]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("mira",), "mira is an athlete; say what to add: coachlib add "),
        (("nobody",), "not added: nobody is not there; name files or folders"),
    ],
)
def test_what_is_missing_is_told(alone, capsys, typed, told):
    status, _, err = ran(capsys, "add", alone, *typed)
    assert status == UNWELL
    assert told in err


def test_a_roster_of_nobody_leads_to_the_first(tmp_path, run, capsys):
    status, _, err = ran(capsys, "add", make_roster(tmp_path / "empty"), run)
    assert status == UNWELL
    assert "has no athletes; add one with: coachlib new" in err

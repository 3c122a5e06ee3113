"""A roster from nothing: what is asked, what is written, what is refused."""

import re
import stat
import sys
from datetime import date
from types import SimpleNamespace

import pytest
from fitbytes import START
from rosters import fit_data, put, wandering

from coachlib.__main__ import MISTYPED, STOPPED, UNWELL, WELL, main
from coachlib.files.roster.folder import open_roster
from coachlib.files.roster.templates import OF_ATHLETE, OF_ROSTER
from coachlib.records.athlete import Threshold

NOBODY = SimpleNamespace(isatty=lambda: False)


@pytest.fixture(autouse=True)
def nobody_types(monkeypatch):
    monkeypatch.setattr("sys.stdin", NOBODY)


def ran(capsys, *typed):
    status = main([str(word) for word in typed])
    return status, *capsys.readouterr()


def sits_at_keyboard(monkeypatch, *answers):
    """Somebody answers one question after the other; the end of the answers is the end of the keyboard."""
    left = list(answers)

    def typed(_):
        if not left:
            raise EOFError
        return left.pop(0)

    monkeypatch.setattr("builtins.input", typed)
    monkeypatch.setattr("sys.stdin", SimpleNamespace(isatty=lambda: True))
    return left


def test_options_fill_in_everything(tmp_path, capsys):
    folder = tmp_path / "deep" / "club"
    status, out, err = ran(
        capsys, "new", folder, "--name", "Hill Club", "--coach", 'Mo "Hills" Nguyễn', "--time-zone", "vienna",
        "--week-starts", "sunday", "--athlete", "Anna-Lena Müller", "--sports", "Running, cross-country skiing",
        "--birth-year", "1984", "--sex", "female", "--max", "186", "--max-from", "measured", "--rest", "47,5",
        "--rest-from", "lying, on waking", "--medicine", "no",
    )  # fmt: skip
    assert (status, err) == (WELL, "")
    roster = open_roster(folder)
    settings = roster.settings
    assert (settings.name, settings.coach) == ("Hill Club", 'Mo "Hills" Nguyễn')
    assert (settings.time_zone, settings.week_starts) == ("Europe/Vienna", "sunday")
    athlete = roster.athlete("anna-lena-muller").athlete()
    assert athlete.name == "Anna-Lena Müller"
    assert athlete.sports == ("running", "cross_country_skiing")
    assert (athlete.birth_year, athlete.sex, athlete.heart_rate_medicine) == (1984, "female", False)
    assert (athlete.hr_max_bpm, athlete.hr_max_from, athlete.hr_rest_bpm) == (186, "measured", 47.5)
    assert "lying, on waking" in (folder / "anna-lena-muller" / "athlete.toml").read_text()
    assert out.splitlines()[-2:] == [
        f"Next: coachlib add {folder} FILES   (recordings, folders or .zip files of them)",
        f"then: coachlib week {folder}",
    ]


def test_nothing_needs_to_be_said(tmp_path, capsys):
    assert ran(capsys, "new", tmp_path / "my_roster", "--athlete", "Tom")[0] == WELL
    roster = open_roster(tmp_path / "my_roster")
    assert roster.settings.name == "my roster"
    athlete = roster.athlete("tom").athlete()
    assert athlete.hr_max_bpm is None
    assert athlete.heart_rate_medicine is None
    assert athlete.sports == ()


def test_without_a_time_zone_that_is_said(tmp_path, capsys):
    assert "No time zone is set" in ran(capsys, "new", tmp_path / "r", "--athlete", "Tom")[1]


def test_a_roster_without_athletes_leads_to_the_first(tmp_path, capsys):
    status, out, _ = ran(capsys, "new", tmp_path / "r", "--time-zone", "UTC")
    assert status == WELL
    assert out.splitlines()[-1] == f"Next: coachlib new {tmp_path / 'r'} --athlete NAME"


def test_a_new_roster_is_well_and_its_example_is_no_session(tmp_path, capsys):
    folder = tmp_path / "r"
    ran(capsys, "new", folder, "--athlete", "Tom")
    put(folder / "tom", "2026-10-05_run.fit", fit_data(wandering(900), start=START + 2 * 86400))
    diary = open_roster(folder).athlete("tom").read_diary()
    assert (diary.rows, diary.problems) == ((), ())
    assert "2026-10-05" in (folder / "tom" / "diary.csv").read_text()
    assert ran(capsys, "check", folder)[0] == WELL


def test_the_diarys_example_counts_once_its_sign_is_taken_away(tmp_path, capsys):
    ran(capsys, "new", tmp_path / "r", "--athlete", "Tom")
    path = tmp_path / "r" / "tom" / "diary.csv"
    path.write_text(path.read_text().replace("# 2026-10-05", "2026-10-05"))
    diary = open_roster(tmp_path / "r").athlete("tom").read_diary()
    assert diary.problems == ()
    (row,) = diary.rows
    assert (row.on, row.rpe, row.talk, row.health) == (date(2026, 10, 5), 3, "comfortable", "ok")


def commented_out(text):
    """What stands behind the signs of comments: keys and tables, each block as one text."""
    blocks = re.findall(r"(?:^# (?:\[.*|[a-z_]+ = .*)\n)+", text, re.MULTILINE)
    return [re.sub(r"^# ", "", block, flags=re.MULTILINE) for block in blocks]


@pytest.mark.parametrize("name", ["roster.toml", "tom/athlete.toml"])
def test_every_line_behind_a_sign_may_be_used(tmp_path, capsys, name):
    ran(capsys, "new", tmp_path / "r", "--athlete", "Tom")
    path = tmp_path / "r" / name
    text = path.read_text()
    offered = commented_out(text)
    assert len(offered) >= 6
    for block in offered:
        path.write_text(
            text.replace(re.sub(r"^", "# ", block.rstrip("\n"), flags=re.MULTILINE), block.rstrip("\n"))
        )
        assert path.read_text() != text
        roster = open_roster(tmp_path / "r")
        assert roster.athlete("tom").athlete().name == "Tom"


def test_a_key_is_still_filled_in_after_a_threshold_was_accepted(tmp_path, capsys):
    ran(capsys, "new", tmp_path / "r", "--athlete", "Tom")
    own = open_roster(tmp_path / "r").athlete("tom")
    own.accept_threshold(Threshold(which="first", on=date(2026, 10, 5), hr_bpm=150))
    path = own.path / "athlete.toml"
    text = path.read_text()
    for key in (
        "birth_year = 1984",
        "hr_max_bpm = 186",
        'time_zone = "Europe/Vienna"',
        "heart_rate_medicine = false",
    ):
        assert f"# {key}" in text
        text = text.replace(f"# {key}", key)
    path.write_text(text)
    athlete = own.athlete()
    assert (athlete.birth_year, athlete.hr_max_bpm, athlete.time_zone) == (1984, 186, "Europe/Vienna")
    assert athlete.thresholds[0].hr_bpm == 150


def test_only_the_owner_may_read(tmp_path, capsys):
    ran(capsys, "new", tmp_path / "r", "--athlete", "Tom")
    for path in [tmp_path / "r", *(tmp_path / "r").rglob("*")]:
        assert stat.S_IMODE(path.stat().st_mode) == (0o700 if path.is_dir() else 0o600)
    assert {p.name for p in (tmp_path / "r").iterdir()} == {"roster.toml", "tom"}


def test_one_more_athlete_and_no_two_of_one_name(tmp_path, capsys):
    ran(capsys, "new", tmp_path / "r", "--athlete", "Tom")
    before = (tmp_path / "r" / "tom" / "athlete.toml").read_bytes()
    assert ran(capsys, "new", tmp_path / "r", "--athlete", "Eva")[0] == WELL
    status, _, err = ran(capsys, "new", tmp_path / "r", "--athlete", "TOM")
    assert status == UNWELL
    assert "holds tom already, and nothing is written into it" in err
    (tmp_path / "r" / "eva").rename(tmp_path / "r" / "e")
    status, _, err = ran(capsys, "new", tmp_path / "r", "--athlete", "eva")
    assert (status, "Eva is on the roster already, in the folder e" in err) == (UNWELL, True)
    assert open_roster(tmp_path / "r").athletes() == ("e", "tom")
    assert (tmp_path / "r" / "tom" / "athlete.toml").read_bytes() == before


def test_a_roster_that_is_there_is_not_written_over(tmp_path, capsys):
    folder = tmp_path / "r"
    ran(capsys, "new", folder, "--name", "Old", "--athlete", "Tom")
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    status, _, err = ran(capsys, "new", folder)
    assert (status, err) == (
        UNWELL,
        f"{folder} is a roster already; add somebody with: coachlib new {folder} --athlete NAME\n",
    )
    assert (
        "whose name stands in roster.toml"
        in ran(capsys, "new", folder, "--name", "New", "--athlete", "Eva")[2]
    )
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


def test_a_folder_with_files_is_left_alone(tmp_path, capsys):
    (tmp_path / "run.fit").write_bytes(b"x")
    status, _, err = ran(capsys, "new", tmp_path, "--athlete", "Tom")
    assert status == UNWELL
    assert err.startswith(f"{tmp_path} holds files already (run.fit), and nothing is written among them")
    assert [p.name for p in tmp_path.iterdir()] == ["run.fit"]
    assert "is a file; name a folder" in ran(capsys, "new", tmp_path / "run.fit")[2]


def test_a_folder_that_cannot_be_made_is_told_in_words(tmp_path, capsys):
    (tmp_path / "file").touch()
    status, _, err = ran(capsys, "new", tmp_path / "file" / "roster", "--athlete", "Tom")
    assert status == UNWELL
    assert "cannot be made" in err or "cannot be read" in err


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("--birth-year", "84"), "answer `birth_year` is 84; allowed: a year from 1910 to 2030"),
        (("--max", "fast"), 'Highest heart rate [beats per minute] is "fast"; needed: a number such as 186'),
        (("--max", "nan"), "answer `hr_max_bpm` is nan"),
        (("--max", "110", "--rest", "115"), "rest must lie below the maximum"),
        (("--max-from", "measured"), "was given, but not what it is about; give both"),
        (("--sex", "f"), 'Sex is "f"; allowed: female or male, or its number'),
        (("--medicine", "maybe"), 'is "maybe"; allowed: yes or no, or its number'),
        (("--time-zone", "Viena"), '"Viena" is no time zone; did you mean Europe/Vienna'),
        (("--time-zone", "Mars/Base"), 'it is named by a city, such as "Europe/Vienna"'),
        (("--athlete", "???"), "allowed: a name of at least one letter"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(tmp_path, capsys, typed, told):
    status, out, err = ran(capsys, "new", tmp_path / "r", "--athlete", "Tom", *typed)
    assert (status, out) == (UNWELL, "")
    assert told in err
    assert not (tmp_path / "r").exists()


def test_answers_without_a_name_are_not_lost_silently(tmp_path, capsys):
    status, _, err = ran(capsys, "new", tmp_path / "r", "--max", "186")
    assert (status, err) == (UNWELL, "hr_max_bpm cannot be kept without a name; give it with --athlete\n")


def test_names_of_all_kinds_get_folders(tmp_path, capsys):
    names = {
        "李娜": "李娜", "Łukasz O'Neill": "łukasz-o-neill", "../Eva": "eva", "Con": "con-1", "Reports": "reports-1",
        "x" * 200: "x" * 60, "Ana\tMaría": "ana-maria", "E. T.": "e-t",
    }  # fmt: skip
    ran(capsys, "new", tmp_path / "r")
    for name in names:
        assert ran(capsys, "new", tmp_path / "r", "--athlete", name)[0] == WELL
    roster = open_roster(tmp_path / "r")
    assert set(roster.athletes()) == set(names.values())
    assert {roster.athlete(s).athlete().name for s in roster.athletes()} == set(names)


def test_somebody_is_asked_one_thing_after_the_other(tmp_path, capsys, monkeypatch):
    monkeypatch.setenv("TZ", "Europe/Vienna")
    left = sits_at_keyboard(
        monkeypatch,
        "", "Coach", "", "1",  # roster: name as proposed, coach, zone as proposed, week
        "Anna", "1, 7, ski touring", "1884", "1984", "2", "115", "1", "117", "50", "", "no",
        "Tom", "-", "", "", "", "", "",
        "",
    )  # fmt: skip
    status, out, _ = ran(capsys, "new", tmp_path / "my_roster")
    assert status == WELL
    assert left == []
    roster = open_roster(tmp_path / "my_roster")
    assert roster.settings.name == "my roster"
    assert (roster.settings.coach, roster.settings.time_zone) == ("Coach", "Europe/Vienna")
    anna, tom = (roster.athlete(s).athlete() for s in ("anna", "tom"))
    assert anna.sports == ("running", "cross_country_skiing", "ski touring")
    assert (anna.birth_year, anna.sex, anna.hr_max_from) == (1984, "male", "measured")
    assert (anna.hr_max_bpm, anna.hr_rest_bpm, anna.heart_rate_medicine) == (115, 50, False)
    assert (tom.sports, tom.hr_max_bpm, tom.heart_rate_medicine) == ((), None, None)
    assert "answer `birth_year` is 1884; allowed: a year from 1910 to 2030" in out
    assert "rest must lie below the maximum" in out
    for blank in (*OF_ROSTER, *OF_ATHLETE):
        assert f"{blank.title}: {blank.used_for}." in out
    assert "1 running, 2 cycling, 3 rowing, 4 walking, 5 hiking, 6 swimming, 7 cross-country skiing" in out


def test_what_was_typed_is_not_asked(tmp_path, capsys, monkeypatch):
    left = sits_at_keyboard(monkeypatch, "", "", "", "", "", "", "", "", "", "")
    ran(
        capsys,
        "new",
        tmp_path / "r",
        "--athlete",
        "Tom",
        "--coach",
        "C",
        "--week-starts",
        "sunday",
        "--max",
        "190",
    )
    # the roster's name and zone; sports, birth, sex, where the maximum is from, rest, medicine
    assert len(left) == 2
    left = sits_at_keyboard(monkeypatch)
    assert ran(capsys, "new", tmp_path / "r", "--athlete", "Eva", "--no-questions")[0] == WELL


def test_leaving_in_the_middle_writes_nothing(tmp_path, capsys, monkeypatch):
    sits_at_keyboard(monkeypatch, "Club", "Coach", "UTC", "1", "Anna", "1")
    status, _, err = ran(capsys, "new", tmp_path / "r")
    assert (status, err) == (STOPPED, "stopped\n")
    assert not (tmp_path / "r").exists()


def test_a_folder_is_needed(capsys):
    status, out, err = ran(capsys, "new")
    assert (status, out) == (MISTYPED, "")
    assert err == "the following arguments are required: FOLDER\ncoachlib new --help tells more\n"
    assert sys.stdin is NOBODY

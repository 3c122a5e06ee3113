"""Numbers out: tidy tables that read back, every column described, nothing that a spreadsheet would run."""

import io
import math
from datetime import date

import pandas as pd
import pytest
from rosters import fit_data, make_roster, put, wandering

from coachlib.files.roster.cells import neutral
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.export.columns import TABLES
from coachlib.jobs.export.writing import export, frame
from coachlib.jobs.recordings import Recordings

TODAY = date(2026, 11, 23)
DIARY = (
    "date,recording,target,planned_min,done_min,rpe,remarks\n"
    "{on},run,=1+1,45,,4,=cmd|' /C calc'!A0\n"
    "2026-11-10,,strength,,40,3,\n"
    "2026-11-25,,-5 km easy,60,,,\n"
)


def exported(folder, to, **options):
    told = io.StringIO()
    status = export(open_roster(folder), today=TODAY, to=to, out=told, **options)
    return status, told.getvalue()


def read(to, name):
    return pd.read_csv(to / f"{name}.csv", keep_default_na=False, na_values="")


@pytest.fixture
def folder(tmp_path):
    folder = make_roster(tmp_path / "roster", "mira", "nan", "=cmd")
    put(folder / "mira", "run.fit", fit_data(wandering(1200)))
    own = open_roster(folder).athlete("mira")
    (session,) = Recordings(folder=open_roster(folder), own=own).open()
    (folder / "mira" / "diary.csv").write_text(DIARY.format(on=session.on))
    (folder / "=cmd" / "athlete.toml").write_text(
        'schema = 1\nname = "=SUM(A1)"\n[[threshold]]\nwhich = "first"\non = 2026-10-01\nhr_bpm = 150\n'
        'method = "@home"\n[[typed_test]]\non = 2026-10-02\nfirst_half_bpm = 140\nsecond_half_bpm = 147\nminutes = 30\n'
    )
    return folder


def test_tables_read_back_with_the_numbers_of_the_one_judgement(folder, tmp_path):
    status, told = exported(folder, tmp_path / "out")
    assert status == 0
    assert told.startswith("three sessions, one test, one threshold and one week of three athletes, in ")
    sessions = read(tmp_path / "out", "sessions").set_index("recording")
    roster = open_roster(folder)
    recordings = Recordings(folder=roster, own=roster.athlete("mira"))
    (one,) = recordings.open()
    judged = recordings.judged(one)
    for name in ("moving_s", "hr_mean_bpm", "hr_top_bpm", "hr_s", "rpe_load"):
        assert sessions.loc["run", name] == getattr(judged, name)
    assert pd.Timestamp(sessions.loc["run", "started_at"]) == judged.started_at
    (test,) = read(tmp_path / "out", "tests").to_dict("records")
    # 140 to 147 bpm over half an hour is 5 %, and twice that over an hour
    assert (test["drift_pct"], test["hour_drift_pct"]) == (pytest.approx(5.0), pytest.approx(10.0))


def test_a_session_without_recording_counts_by_its_minutes_and_a_plan_is_no_session_done(folder, tmp_path):
    exported(folder, tmp_path / "out")
    rows = read(tmp_path / "out", "sessions").set_index("on")
    strength, planned = rows.loc["2026-11-10"], rows.loc["2026-11-25"]
    assert (strength.is_done, strength.moving_s, strength.rpe_load) == (True, 2400.0, 120.0)
    assert (planned.is_done, planned.planned_min) == (False, 60.0)
    assert math.isnan(planned.moving_s)


def test_no_cell_is_run_by_a_spreadsheet_and_no_number_is_harmed(folder, tmp_path):
    exported(folder, tmp_path / "out")
    for name in (*TABLES, "columns"):
        raw = pd.read_csv(tmp_path / "out" / f"{name}.csv", dtype=str, keep_default_na=False)
        kinds = {c.name: c.kind for c in TABLES[name].columns} if name in TABLES else {}
        for column in raw:
            if kinds.get(column) == "number":
                [float(cell) for cell in raw[column] if cell]
            else:
                assert not any(cell[:1] in tuple("=+-@\t\r") and cell for cell in raw[column])
    sessions = read(tmp_path / "out", "sessions")
    assert set(sessions.target.dropna()) == {"'=1+1", "strength", "'-5 km easy"}
    assert "calc" not in (tmp_path / "out" / "sessions.csv").read_text()


@pytest.mark.parametrize(
    "text", ["=1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1", "\uff1d1", "\uff0b1", "\u00a0=1"]
)
def test_what_spreadsheets_run_gets_an_apostrophe(text):
    assert neutral(text) == "'" + text


@pytest.mark.parametrize("text", ["", "easy", "4 x 4 min", "easy - long", "a=b", "'already"])
def test_other_texts_stay(text):
    assert neutral(text) == text


def test_negative_numbers_stay_numbers(tmp_path):
    cells = frame("sessions", [{"athlete": "mira", "drift_pct": -1.5, "temperature_c": -7.0}])
    assert cells.drift_pct.iloc[0] == -1.5
    assert "-1.5" in cells.to_csv()


def test_parquet_keeps_types_and_texts(folder, tmp_path):
    exported(folder, tmp_path / "out", form="parquet")
    sessions = pd.read_parquet(tmp_path / "out" / "sessions.parquet")
    assert str(sessions.started_at.dt.tz) == "UTC"
    assert sessions.is_done.dtype == "boolean"
    assert "=1+1" in set(sessions.target.dropna())


def test_every_column_is_described_once_with_a_unit_where_it_is_a_number(folder, tmp_path):
    exported(folder, tmp_path / "out")
    described = read(tmp_path / "out", "columns")
    for name, table in TABLES.items():
        own = described[described.table == name]
        assert list(own.name) == list(read(tmp_path / "out", name).columns)
        assert own.meaning.notna().all()
        assert own.source.notna().all()
        dimensionless = {"part", "n_tests", "n_sessions", "trimp"}
        assert all(c.unit or c.name in dimensionless for c in table.columns if c.kind == "number")


def test_an_athlete_called_nan_stays_a_name(folder, tmp_path):
    (folder / "nan" / "diary.csv").write_text("date,done_min\n2026-11-01,30\n")
    exported(folder, tmp_path / "out", athletes=("nan",))
    assert list(read(tmp_path / "out", "sessions").athlete) == ["nan"]


def test_nobody_elses_numbers_where_one_is_named(folder, tmp_path):
    exported(folder, tmp_path / "out", athletes=("mira",))
    for name in TABLES:
        assert set(read(tmp_path / "out", name).athlete) <= {"mira"}


def test_who_cannot_be_read_is_named_and_stops_nobody(folder, tmp_path):
    (folder / "nan" / "athlete.toml").write_text("nothing = ")
    status, told = exported(folder, tmp_path / "out")
    assert status == 1
    assert "nan is left out: " in told
    assert set(read(tmp_path / "out", "sessions").athlete) == {"mira"}


def test_only_the_owner_may_read_the_files(folder, tmp_path):
    exported(folder, None)
    for path in (folder / "reports" / "export").iterdir():
        assert path.stat().st_mode & 0o077 == 0

"""The roster folder: found, read, written without losing anybody's work."""

import hashlib
from concurrent.futures import ThreadPoolExecutor
from datetime import date

import pytest
from rosters import fit_data, make_roster, put, wandering

from coachlib.errors import CoachError, DecisionProblem, RosterProblem
from coachlib.files.roster.athlete_folder import decisions_path
from coachlib.files.roster.folder import open_roster
from coachlib.files.store.store import sha256_of
from coachlib.records.athlete import Threshold
from coachlib.records.decisions import Decisions, Window


@pytest.fixture
def roster(tmp_path):
    return open_roster(make_roster(tmp_path / "roster", "mira", "tom"))


@pytest.fixture
def mira(roster):
    return roster.athlete("mira")


@pytest.fixture
def fit(mira):
    return put(mira.path, "2026-10-03_treadmill.fit", fit_data(wandering(60)))


def first_threshold(**changes):
    return Threshold(**{"which": "first", "on": date(2026, 10, 5), "hr_bpm": 158, **changes})


def test_a_roster_tells_its_settings_and_athletes(roster):
    (roster.path / ".hidden").mkdir()
    (roster.path / "reports").mkdir()
    assert roster.settings.name == "Test roster"
    assert roster.athletes() == ("mira", "tom")


def test_the_environment_names_a_roster(roster, monkeypatch):
    monkeypatch.setenv("COACHLIB_ROSTER", str(roster.path))
    assert open_roster().path == roster.path
    monkeypatch.delenv("COACHLIB_ROSTER")
    with pytest.raises(RosterProblem, match=r"no roster is named; give the folder that holds roster.toml"):
        open_roster()


def test_what_is_no_roster_is_told(tmp_path):
    with pytest.raises(
        RosterProblem, match=r"there is no folder .*nowhere; a roster is a folder with roster.toml"
    ):
        open_roster(tmp_path / "nowhere")
    with pytest.raises(RosterProblem, match=r"has no roster.toml; make one"):
        open_roster(tmp_path)
    (tmp_path / "roster.toml").write_text('name = "R"\naccent = "teal"\n')
    with pytest.raises(
        RosterProblem, match=r'roster.toml: key `accent` is "teal"; allowed: a colour such as'
    ):
        open_roster(tmp_path)


@pytest.mark.parametrize("named", ["mira", "Mira", "Mira Example", "mira example"])
def test_an_athlete_is_found_by_folder_or_name(roster, named):
    assert roster.athlete(named).slug == "mira"


def test_an_unknown_athlete_is_told_with_those_there_are(roster):
    with pytest.raises(RosterProblem, match=r'no athlete is called "max"; the roster has mira and tom'):
        roster.athlete("max")


def test_a_name_that_two_share_is_refused(roster):
    (roster.path / "tom" / "athlete.toml").write_text('name = "Mira Example"\n')
    with pytest.raises(RosterProblem, match=r'"Mira Example" may be mira or tom'):
        roster.athlete("Mira Example")


def test_a_profile_with_faults_tells_them_all(mira):
    (mira.path / "athlete.toml").write_text('schema = 1\nname = "M"\nzones = "three"\nhr_maxx = 3\n')
    with pytest.raises(RosterProblem) as refused:
        mira.athlete()
    assert str(refused.value).splitlines() == [
        "athlete.toml of mira: key `hr_maxx` is not known; did you mean `hr_max_bpm`?",
        'athlete.toml of mira: key `zones` is "three"; '
        'allowed: "two thresholds", "heart-rate reserve" or "share of maximum"',
    ]


def test_optional_things_may_be_missing(mira):
    assert (mira.read_diary().rows, mira.recordings(), mira.note("2026-W41").words) == ((), (), None)


def test_recordings_come_by_name(mira):
    names = ["2026-10-04_running.FIT", "2026-10-03_running.fit", "2026-10-03_running.decisions.toml"]
    for name in names:
        (mira.recordings_dir / name).touch()
    assert [path.name for path in mira.recordings()] == [names[1], names[0]]


def test_a_note_is_the_coachs_text(mira):
    mira.notes_dir.mkdir()
    (mira.notes_dir / "2026-W41.md").write_text("Well *done*.\n", encoding="utf-8")
    assert mira.note("2026-W41").words == "Well *done*."


def test_a_diarys_faults_are_told(mira):
    (mira.path / "diary.csv").write_text("date,rpe\n2026-10-05,11\n2026-10-06,12\n")
    assert [p[:26] for p in mira.read_diary().problems] == [f"diary.csv of mira, line {n}:" for n in (2, 3)]


def test_decisions_come_back_as_saved(mira, fit):
    decided = Decisions(fit_sha256=sha256_of(fit), kind="easy", windows=(Window(start_s=0, stop_s=50),))
    assert mira.decisions(fit, decided.fit_sha256) is None
    seen = mira.save_decisions(fit, decided, based_on=mira.decisions_seen(fit))
    assert mira.decisions(fit, decided.fit_sha256) == decided
    assert seen == mira.decisions_seen(fit)


def test_saving_the_same_again_changes_no_byte(mira, fit):
    sha = sha256_of(fit)
    path = decisions_path(fit)
    lines = ("\ufeff# mine", "schema=1", f"fit_sha256='{sha}'", "", "[[window]]", "stop_s=9", "start_s=1", "")
    path.write_bytes("\r\n".join(lines).encode())
    before = path.read_bytes()
    decided = mira.decisions(fit, sha)
    seen = mira.save_decisions(fit, decided, based_on=mira.decisions_seen(fit))
    assert path.read_bytes() == before
    assert seen == hashlib.sha256(before).hexdigest()


def test_decisions_of_another_file_are_refused(mira, fit):
    decided = Decisions(fit_sha256=sha256_of(fit), kind="easy")
    mira.save_decisions(fit, decided, based_on=None)
    fit.write_bytes(fit_data(wandering(70)))
    with pytest.raises(
        DecisionProblem, match=r"was made for a recording with checksum .* put the former file back"
    ):
        mira.decisions(fit, sha256_of(fit))
    with pytest.raises(DecisionProblem, match=r"these decisions belong to a recording with checksum"):
        mira.save_decisions(fit, decided, based_on=mira.decisions_seen(fit))


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("schema = 3\n", "key `schema` is 3, and this version reads 1 and 2; install the version"),
        ("schema = true\n", "key `schema` is true, and this version reads 1 and 2"),
        ("schema = 2\n", "the file has no [end] that counts its entries, so it was cut short; bring back"),
        ("", "key `schema` is missing; write schema = 1 as its first line"),
        ("schema = 1\nwindows = 3\n", "key `windows` is not known; did you mean `window`?"),
        ("schema = 1\nkind =\n", "line 2 cannot be read: kind ="),
    ],
)
def test_decisions_in_another_form_are_refused(mira, fit, text, sentence):
    decisions_path(fit).write_text(text)
    with pytest.raises(DecisionProblem, match=r"2026-10-03_treadmill.decisions.toml of mira.*") as refused:
        mira.decisions(fit, sha256_of(fit))
    assert sentence in str(refused.value)


@pytest.mark.parametrize("seen", [None, "0" * 64])
def test_a_save_never_overwrites_what_somebody_saved_since(mira, fit, seen):
    theirs = Decisions(fit_sha256=sha256_of(fit), kind="long")
    mira.save_decisions(fit, theirs, based_on=None)
    mine = theirs.model_copy(update={"kind": "race"})
    with pytest.raises(DecisionProblem, match=r"somebody saved .* since you opened it; nothing was written"):
        mira.save_decisions(fit, mine, based_on=seen)
    assert mira.decisions(fit, theirs.fit_sha256) == theirs


def test_of_many_writers_at_once_one_wins_and_the_others_are_told(mira, fit):
    sha = sha256_of(fit)

    def save(part):
        try:
            mira.save_decisions(fit, Decisions(fit_sha256=sha, part=part), based_on=None)
        except DecisionProblem:
            return None
        return part

    with ThreadPoolExecutor(8) as pool:
        winners = [part for part in pool.map(save, range(8)) if part is not None]
    assert len(winners) == 1
    assert mira.decisions(fit, sha).part == winners[0]


PROFILE = """\
schema = 1
name = "Mira Example"
hr_max_bpm = 186   # treadmill, March

# from the spring
[[threshold]]
which = "first"
on = 2026-04-01
hr_bpm = 152

# ill in autumn
[[block]]
from = 2026-10-12
to = 2026-10-20
kind = "ill"
"""


def test_an_accepted_threshold_is_added_and_all_else_stays(mira):
    (mira.path / "athlete.toml").write_text(PROFILE)
    mira.accept_threshold(
        first_threshold(
            hr_low_bpm=153, hr_high_bpm=164, speed_mps=10.4 / 3.6, method="drift series 1", tests=("9f2c",)
        )
    )
    added = """
[[threshold]]
which = "first"
on = 2026-10-05
hr_bpm = 158
hr_low_bpm = 153
hr_high_bpm = 164
speed_kmh = 10.4
method = "drift series 1"
tests = ["9f2c"]
"""
    before, after = PROFILE.split("\n# ill")
    assert (mira.path / "athlete.toml").read_text() == before + added + "\n# ill" + after
    assert mira.athlete().threshold_on("first", date(2026, 10, 5)).hr_bpm == 158


def test_accepting_twice_is_once(mira):
    mira.accept_threshold(first_threshold())
    mira.accept_threshold(first_threshold())
    assert len(mira.athlete().thresholds) == 1


def test_another_value_on_the_same_day_needs_a_withdrawal(mira):
    mira.accept_threshold(first_threshold())
    with pytest.raises(
        RosterProblem, match=r"mira already has a first threshold of 158 bpm accepted on 2026-10-05"
    ):
        mira.accept_threshold(first_threshold(hr_bpm=160))
    mira.withdraw_threshold("first", date(2026, 10, 5))
    mira.accept_threshold(first_threshold(hr_bpm=160))
    assert mira.athlete().threshold_on("first", date(2026, 10, 6)).hr_bpm == 160


def test_a_withdrawn_threshold_stays_in_the_file(mira):
    (mira.path / "athlete.toml").write_text(PROFILE)
    mira.withdraw_threshold("first", date(2026, 4, 1))
    text = (mira.path / "athlete.toml").read_text()
    assert text == PROFILE.replace("hr_bpm = 152\n", "hr_bpm = 152\nwithdrawn = true\n")
    with pytest.raises(
        RosterProblem, match=r"no first threshold accepted on 2026-04-01 to withdraw; standing: none"
    ):
        mira.withdraw_threshold("first", date(2026, 4, 1))


def test_thresholds_accepted_at_once_are_all_kept(mira):
    def accept(day):
        mira.accept_threshold(first_threshold(on=date(2026, 9, day)))

    with ThreadPoolExecutor(6) as pool:
        list(pool.map(accept, range(1, 13)))
    assert {t.on.day for t in mira.athlete().thresholds} == set(range(1, 13))


def test_a_file_that_another_program_holds_is_told(mira, monkeypatch):
    (mira.path / "diary.csv").touch()

    def held(path):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.read_bytes", held)
    with pytest.raises(
        RosterProblem, match=r"diary.csv of mira cannot be opened: Permission denied. Close it in"
    ):
        mira.read_diary()
    with pytest.raises(RosterProblem, match=r"athlete.toml of mira cannot be opened: Permission denied"):
        mira.athlete()


def test_a_missing_profile_is_told(mira):
    (mira.path / "athlete.toml").unlink()
    with pytest.raises(CoachError, match=r"mira has no athlete.toml; make one"):
        mira.athlete()

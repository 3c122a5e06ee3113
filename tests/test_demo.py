"""The demo roster: small, whole, remade to the byte, and read alike by two decoders."""

import csv
from datetime import date, datetime, timedelta
from pathlib import Path

import fitdecode
import numpy as np
import published_values
import pytest

pytest.importorskip("fit_tool", reason="fit-tool writes the demo recordings; install the extra `test`")

from demo import people, simulate
from demo.make import ROOT, diary_of, fit_of, recorded, stem, write_texts
from demo.people import PEOPLE, UNWRITTEN, Person

from coachlib.analysis.first_threshold.accepting import proposal
from coachlib.analysis.first_threshold.series import analyse_series
from coachlib.files.fit.reading import read_fit
from coachlib.files.roster.folder import open_roster
from coachlib.files.store.store import sha256_of
from coachlib.jobs.field_tests.decided import decided_as
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.measures.first_threshold.estimate import METHOD as SERIES_METHOD
from coachlib.measures.output.energy import vo2_running_acsm
from coachlib.panels.second_threshold.panel import second_threshold
from coachlib.report.first_threshold.accepting_view import note_of

MOST_BYTES = 8_000_000
BY_SLUG = {person.slug: person for person in PEOPLE}
#: What stands in a record, read by both decoders.
FIELDS = ("heart_rate", "speed", "power", "cadence", "altitude", "distance", "position_lat", "position_long")
#: One recording for each sport and state of data.
SAMPLED = (
    "ilva/2026-10-08_running",
    "ilva/2026-11-21_treadmill",
    "tobin/2026-10-24_cycling",
    "tobin/2026-10-27_trainer",
    "nadja/2026-10-20_rowing",
    "nadja/2026-11-03_rowing",
    "aldous/2026-10-28_hiking",
    "aldous/2026-11-14_skiing",
    "wenna/2026-11-14_running",
    "wenna/2026-11-21_running",
)


def fit_path(named: str) -> Path:
    slug, recording = named.split("/")
    return ROOT / slug / "recordings" / f"{recording}.fit"


def plan_of(named: str) -> tuple[Person, dict[str, str]]:
    slug, recording = named.split("/")
    person = BY_SLUG[slug]
    return person, next(plan for plan in recorded(person) if stem(plan) == recording)


def test_the_roster_stays_small():
    files = [path for path in ROOT.rglob("*") if path.is_file() and ".coachlib" not in path.parts]
    assert sum(path.stat().st_size for path in files if "reports" not in path.parts) < MOST_BYTES


@pytest.mark.parametrize("person", PEOPLE, ids=lambda person: person.slug)
def test_recordings_are_those_of_the_season(person):
    found = {path.stem for path in (ROOT / person.slug / "recordings").glob("*.fit")}
    assert found == {stem(plan) for plan in recorded(person)}


@pytest.mark.parametrize(
    "named",
    [
        "ilva/2026-10-08_running",
        "tobin/2026-10-24_cycling",
        "nadja/2026-10-20_rowing",
        "aldous/2026-10-28_hiking",
        "wenna/2026-11-14_running",
    ],
)
def test_the_generator_remakes_a_file_to_the_byte(named):
    assert fit_of(*plan_of(named)) == fit_path(named).read_bytes()


def test_profiles_diaries_and_decisions_are_those_of_the_generator(tmp_path):
    for person in PEOPLE:
        (tmp_path / person.slug).mkdir()
        (tmp_path / person.slug / "recordings").mkdir()
        for path in (ROOT / person.slug / "recordings").glob("*.fit"):
            (tmp_path / person.slug / "recordings" / path.name).write_bytes(path.read_bytes())
    write_texts(tmp_path)
    made = sorted(p.relative_to(tmp_path) for p in tmp_path.rglob("*") if p.suffix in (".toml", ".csv"))
    assert len(made) > 2 * len(PEOPLE)
    assert [str(p) for p in made if (tmp_path / p).read_bytes() != (ROOT / p).read_bytes()] == []


def _plain(value: object) -> object:
    return value.replace(tzinfo=None) if isinstance(value, datetime) else value


def by_fitdecode(path: Path, kind: str) -> list[dict[str, object]]:
    with fitdecode.FitReader(path, check_crc=fitdecode.CrcCheck.RAISE) as reader:
        frames = [f for f in reader if f.frame_type == fitdecode.FIT_FRAME_DATA and f.name == kind]
    return [{field.name: _plain(field.value) for field in frame.fields} for frame in frames]


def by_fitparse(path: Path, kind: str) -> list[dict[str, object]]:
    fitparse = pytest.importorskip("fitparse", reason="fitparse is the second decoder; install `test`")
    with fitparse.FitFile(str(path), check_crc=True) as fit:
        return [{field.name: field.value for field in message} for message in fit.get_messages(kind)]


@pytest.mark.parametrize("named", SAMPLED)
def test_two_decoders_read_the_same(named):
    path = fit_path(named)
    for kind, fields in {
        "record": ("timestamp", *FIELDS),
        "lap": ("start_time", "total_elapsed_time", "total_timer_time"),
        "session": ("start_time", "total_elapsed_time", "sport", "sub_sport"),
        "event": ("timestamp", "event_type"),
        "hrv": ("time",),
    }.items():
        one, other = by_fitdecode(path, kind), by_fitparse(path, kind)
        assert len(one) == len(other)
        assert one or kind == "hrv"
        for field in fields:
            assert [row.get(field) for row in one] == [row.get(field) for row in other], (kind, field)


@pytest.mark.parametrize("named", SAMPLED)
def test_a_recording_reads_as_it_was_simulated(named):
    person, plan = plan_of(named)
    activity = read_fit(fit_path(named))
    assert activity.local_start(None).replace(tzinfo=None) == datetime.fromisoformat(
        f"{plan['date']}T{plan['start']}"
    )
    assert activity.device == str(person.serial_on(activity.started_on(None)))
    assert activity.is_indoor == (plan["name"] in ("treadmill", "trainer", "rowing"))
    assert (activity.rr_s.size > 0) == person.beats
    assert len(activity.pauses) >= plan["extras"].count("pause@")
    assert activity.caveats == ()


def test_the_roster_loads_without_a_problem():
    roster = open_roster(ROOT)
    assert roster.athletes() == tuple(sorted(BY_SLUG))
    for slug in roster.athletes():
        folder = roster.athlete(slug)
        assert folder.athlete().slug == slug
        assert folder.read_diary().problems == ()
        for path in folder.recordings():
            folder.decisions(path, sha256_of(path))


@pytest.mark.parametrize("slug", ["ilva", "tobin", "nadja"])
def test_a_threshold_accepted_from_a_method_of_ours_is_what_the_method_says(slug):
    roster = open_roster(ROOT)
    own = roster.athlete(slug)
    athlete, drifts = own.athlete(), read_drift_tests(roster, own).tests
    said = [c.threshold(c.on) for c in second_threshold(roster, own).candidates]
    for accepted in athlete.thresholds:
        if accepted.method == SERIES_METHOD:
            tests = [t for t in drifts if t.sha256 in accepted.tests or t.typed]
            offered = proposal(analyse_series(tests, athlete), athlete, on=accepted.on)
            said.append(offered.threshold.model_copy(update={"note": note_of(offered)}))
    ours = [t for t in athlete.thresholds if t.tests and not t.method.startswith("coach")]
    assert len(ours) == 2
    for accepted in ours:
        (found,) = [t for t in said if t.method == accepted.method]
        assert found.tests == accepted.tests
        assert found.note == accepted.note
        for told in ("hr_bpm", "hr_low_bpm", "hr_high_bpm", "grade"):
            assert getattr(accepted, told) == getattr(found, told)
        assert accepted.power_w is None or accepted.power_w == round(found.power_w)
        assert accepted.speed_mps is None or accepted.speed_mps == pytest.approx(
            found.speed_mps, abs=0.05 / 3.6
        )
        assert (accepted.power_w is None) == (found.power_w is None)
        assert (accepted.speed_mps is None) == (found.speed_mps is None)


def practice(*columns: str) -> set[float]:
    """Check values of the published files that are common practice, by what they are."""
    names = [p.stem for p in published_values.FOLDER.glob("*.csv")]
    tables = [t for name in names if is_practice(name) for t in (published_values.load(name),)]
    return {float(v) for t in tables for c in columns if c in t for v in t[c]}


def is_practice(name: str) -> bool:
    """Whether a published file holds what has no source but common practice."""
    return "common practice" in (published_values.FOLDER / f"{name}.csv").read_text("utf-8").splitlines()[0]


def test_the_demo_is_a_scenario_of_its_own():
    """No half mean, as a coach writes it down, no threshold and no setting is a check value from practice."""
    hearts = practice("first_bpm", "second_bpm")
    settings = practice("vo2")
    assert {143.0, 163.0} < hearts
    assert 42.8 in settings
    known = published_values.load("practice_settings")
    belts = set(zip(known.speed_kmh, known.grade_pct, strict=True))
    roster = open_roster(ROOT)
    for person in PEOPLE:
        own = roster.athlete(person.slug)
        tests = read_drift_tests(roster, own).tests
        drifts = [d.judged.steady.drift for d in decided_as(roster, own, "drift test", [])]
        halves = {
            round(h)
            for d in (*drifts, *own.athlete().typed_tests)
            for h in (d.first_half_bpm, d.second_half_bpm)
        }
        thresholds = {t.hr_bpm for t in own.athlete().thresholds} | {person.truth.curve.threshold_bpm}
        assert not (halves | thresholds) & hearts, person.slug
        for t in (t for t in tests if t.grade is not None):
            assert (round(3.6 * t.speed_mps, 1), round(100 * t.grade, 1)) not in belts
            assert round(vo2_running_acsm(t.speed_mps, t.grade), 1) not in settings
            assert round(vo2_running_acsm(t.speed_mps, t.grade)) not in settings


def test_one_test_waits_for_the_coach():
    tests = {stem(plan) for plan in recorded(people.ILVA) if plan["kind"] == "drift test"}
    undecided = tests - {recording for recording, _ in people.ILVA.decisions}
    assert undecided == {"2026-11-21_treadmill"}


def test_every_name_is_borne_once():
    words = [
        word
        for person in PEOPLE
        for line in person.profile.splitlines()
        if line.startswith("name = ")
        for word in line.split('"')[1].split()
    ]
    assert len(words) == 2 * len(PEOPLE)
    assert len(set(words)) == len(words)


def test_letters_name_nobody_else():
    for person in PEOPLE:
        others = [other.slug for other in PEOPLE if other is not person]
        notes = "".join(p.read_text("utf-8") for p in (ROOT / person.slug).glob("notes/*.md"))
        told = (diary_of(person) + notes).casefold()
        assert [other for other in others if other in told] == []


def test_diary_and_recordings_belong_together_but_for_two():
    alone = []
    for person in PEOPLE:
        for plan in person.plan():
            is_session = plan["rpe"] != ""
            is_written = plan["remarks"] != UNWRITTEN
            if is_session and not (plan["do"] and is_written):
                alone.append((person.slug, plan["date"]))
    assert alone == [("tobin", "2026-11-12"), ("aldous", "2026-11-11")]


def test_ten_weeks_end_on_the_latest_sunday():
    rows = csv.DictReader(diary_of(people.ILVA).splitlines())
    days = [date.fromisoformat(row["date"]) for row in rows if row["recording"]]
    assert max(days) == date(2026, 11, 22)
    assert max(days).isoweekday() == 7
    assert min(days) > max(days) - timedelta(weeks=10)


def test_drift_is_the_criterion_at_the_threshold():
    curve = simulate.DriftCurve(threshold_bpm=150.0)
    assert float(curve(np.array(150.0))) == pytest.approx(5.0)
    assert float(curve(np.array(110.0))) < 1.0


def test_simulated_drift_is_what_the_curve_says():
    """No noise, one hour after 15 min at the settings: halves drift by the first half's mean lies on the curve."""
    curve = simulate.DriftCurve(threshold_bpm=150.0)
    time_s = np.arange(4501.0)
    for demand in (130.0, 143.0, 145.0):
        heart = simulate.heart_rate(
            time_s,
            np.full(time_s.size, demand),
            curve=curve,
            day=simulate.Day(),
            rng=_Silent(),
            start_bpm=80.0,
            top_bpm=230.0,
        )
        first, second = heart[900:2700].mean(), heart[2700:4500].mean()
        assert 100 * (second - first) / first == pytest.approx(float(curve(np.array(first))), abs=0.35)


class _Silent:
    """A generator of no noise at all."""

    def normal(self, mean=0.0, sd=1.0, size=None):
        return 0.0 if size is None else np.zeros(size)


def test_beats_lose_their_memory_with_intensity():
    """Scatter of beat intervals falls with intensity, and so does its correlation from beat to beat."""
    curve = simulate.DriftCurve(threshold_bpm=150.0)
    time_s = np.arange(900.0)
    scatter, memory = [], []
    for level in (110.0, 150.0, 180.0):
        rr = simulate.beats(time_s, np.full(time_s.size, level), curve=curve, rng=np.random.default_rng(5))
        assert 60.0 / rr.mean() == pytest.approx(level, rel=0.01)
        scatter.append(rr.std())
        memory.append(np.corrcoef(rr[1:], rr[:-1])[0, 1])
    assert scatter == sorted(scatter, reverse=True)
    assert memory == sorted(memory, reverse=True)

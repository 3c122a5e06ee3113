"""How long things take, each beside the plain way: ``python -m pytest tests/benchmarks --benchmark-enable``.

Machines differ, so that what is held are ratios to something plain that runs in the same minute.
"""

import contextlib
import shutil
import subprocess
import sys
import time
import warnings
from pathlib import Path

import fitdecode
import numpy as np
import pytest
from benchmarks.big_rosters import make_roster

from coachlib.errors import FileProblem
from coachlib.files.fit.reading import read_fit_bytes
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.adding import add_recording
from coachlib.jobs.history import read_athlete_week
from coachlib.measures.first_threshold.estimate import estimate_first_threshold
from coachlib.measures.season.threshold_watch import watch_threshold

ROOT = Path(__file__).parents[2]
WEEK = "2026-W47"


def cpu_s(action, *, repeats=1):
    """The least processor time of an action. [s]"""
    times = []
    for _ in range(repeats):
        begin = time.process_time()
        action()
        times.append(time.process_time() - begin)
    return min(times)


def loops_s():
    """Processor time of a million turns of a loop: how fast this machine is just now. [s]"""
    return cpu_s(lambda: sum(range(1_000_000)), repeats=5)


def drained(data):
    """Every message of a file, with the decoder's own defaults."""
    with warnings.catch_warnings(), contextlib.suppress(fitdecode.FitError):
        warnings.simplefilter("ignore")
        return sum(1 for _ in fitdecode.FitReader(data))


def test_reading_beside_the_decoders_own_defaults(benchmark):
    files = [
        path.read_bytes() for path in sorted((ROOT / "athletes_demo").glob("*/recordings/*-0[1-7]*.fit"))
    ]

    def ours():
        for data in files:
            with contextlib.suppress(FileProblem):
                read_fit_bytes(data)

    benchmark.pedantic(ours, rounds=3, warmup_rounds=1)
    ratio = cpu_s(lambda: [drained(data) for data in files]) / cpu_s(ours, repeats=2)
    benchmark.extra_info["times less than the decoder"] = round(ratio, 1)
    assert ratio >= 8


def test_threshold_from_20_tests(benchmark):
    rng = np.random.default_rng(3)
    hr, weeks = rng.uniform(140, 165, 20), np.sort(rng.integers(0, 100, 20))
    drift = np.clip(0.4 * (hr - 140) + rng.normal(0, 1, 20), 0, 9)

    def ours():
        return estimate_first_threshold(hr, drift, np.full(20, 0.8), weeks=weeks)

    benchmark(ours)
    ratio = cpu_s(ours, repeats=9) / loops_s()
    benchmark.extra_info["of a million turns of a loop"] = round(ratio, 2)
    assert ratio < 1.5


def test_watch_of_100_sessions(benchmark):
    rng = np.random.default_rng(3)
    hr, drift, week = rng.uniform(130, 160, 100), rng.normal(3, 1.5, 100), np.sort(rng.integers(0, 50, 100))

    def ours():
        return watch_threshold(week, hr, drift, np.full(100, 1.0), n_weeks=50)

    benchmark(ours)
    ratio = cpu_s(ours, repeats=9) / loops_s()
    benchmark.extra_info["of a million turns of a loop"] = round(ratio, 2)
    assert ratio < 4


@pytest.fixture(scope="module")
def seasons(tmp_path_factory):
    """One athlete with 60 and one with 240 recordings, all judged once."""
    made = {}
    for n in (60, 240):
        folder = tmp_path_factory.mktemp(f"r{n}") / "roster"
        make_roster(folder, n_athletes=1, n_recordings=n)
        read_athlete_week(folder, None, WEEK)
        made[n] = folder
    return made


def test_a_warm_week_grows_no_faster_than_the_years_that_lie_behind(benchmark, seasons):
    def of(n):
        return lambda: read_athlete_week(seasons[n], None, WEEK)

    benchmark.pedantic(of(240), rounds=3, warmup_rounds=1)
    ratio = cpu_s(of(240), repeats=3) / cpu_s(of(60), repeats=3)
    benchmark.extra_info["four times the recordings take"] = round(ratio, 2)
    assert ratio < 4


def test_an_unchanged_index(benchmark, seasons):
    own = open_roster(seasons[240]).athlete("ilva00").recordings_dir
    found = benchmark(lambda: open_roster(seasons[240]).index.entries(own))
    assert len(found) == 240


def test_adding_grows_with_what_is_added(benchmark, seasons, tmp_path):
    files = sorted((seasons[240] / "ilva00" / "recordings").glob("*.fit"))

    def added(n):
        roster = shutil.copytree(
            seasons[60],
            tmp_path / f"to{n}",
            ignore=lambda at, names: [x for x in names if x.endswith(".fit")],
        )
        folder = open_roster(roster)
        index = folder.index
        own = folder.athlete("ilva00")
        return cpu_s(lambda: [add_recording(folder, own, path, index=index) for path in files[:n]])

    few, many = added(40), benchmark.pedantic(lambda: added(160), rounds=1)
    benchmark.extra_info["four times the files take"] = round(many / few, 2)
    assert many / few < 5


def test_a_check_of_an_unchanged_roster_beside_one_that_reads_it(benchmark, seasons):
    command = [sys.executable, "-m", "coachlib", "check", str(seasons[240])]

    def took():
        begin = time.perf_counter()
        subprocess.run(command, capture_output=True, check=False)
        return time.perf_counter() - begin

    time.sleep(2.5)  # until no clock can mistake what has only just been written
    reads = took()
    benchmark.pedantic(took, rounds=3)
    benchmark.extra_info["share of one that reads"] = round(min(took() for _ in range(3)) / reads, 2)


PLAIN = """
import sys, papermill, nbformat
from nbconvert import HTMLExporter
book, roster, out, *slugs = sys.argv[1:]
for slug in slugs:
    done = papermill.execute_notebook(book, f"{out}/{slug}.ipynb", dict(roster=roster, athlete=slug, week="2026-W47"),
                                      progress_bar=False, kernel_name="python3")
    open(f"{out}/{slug}.html", "w").write(HTMLExporter().from_notebook_node(done)[0])
"""


def test_twelve_letters_beside_a_plain_loop(benchmark, tmp_path):
    """Papermill athlete by athlete, and the same workbook exported by nbconvert; both find everything judged."""
    roster = make_roster(tmp_path / "roster", n_athletes=12, n_recordings=30)
    week = [sys.executable, "-m", "coachlib", "week", str(roster), "--week", WEEK]
    subprocess.run(week, capture_output=True, check=False)
    slugs = [path.parent.name for path in sorted(roster.glob("*/athlete.toml"))]
    book = str(ROOT / "workbooks" / "weekly_report.ipynb")

    def took(command):
        begin = time.perf_counter()
        subprocess.run(command, capture_output=True, check=True)
        return time.perf_counter() - begin

    plain = took([sys.executable, "-c", PLAIN, book, str(roster), str(tmp_path), *slugs])
    ours = benchmark.pedantic(lambda: took([*week, "--again"]), rounds=1)
    benchmark.extra_info["share of the plain loop's time"] = round(ours / plain, 3)
    assert ours / plain <= 0.25

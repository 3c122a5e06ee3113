"""Letters made by several processes, here or on a cluster: the same letters; a worker that is killed costs none."""

import os
import signal
import subprocess
import sys
import time
from datetime import date

import pytest
from fitbytes import START
from rosters import DAY_S, fit_data, make_roster, put, wandering

from coachlib.errors import BadArgument, RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.weeks import write_weeks
from coachlib.jobs.workers import Workers, checked_address, spread

ATHLETES = ("anna", "berta", "cora", "dora")
TODAY, WEEK = date(2026, 10, 12), "2026-W40"


def make(folder):
    make_roster(folder, *ATHLETES)
    for n, slug in enumerate(ATHLETES):
        put(folder / slug, "a.fit", fit_data(wandering(900, seed=n), start=START + DAY_S))
    return folder


def pages(folder):
    """Everybody's page and the call sheet, as they stand."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob(f"{WEEK}.html")}


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    """The pages as one process makes them."""
    folder = make(tmp_path_factory.mktemp("plain") / "roster")
    assert write_weeks(open_roster(folder), today=TODAY) == 0
    return pages(folder)


class Cluster:
    """A scheduler and two workers on this computer, each a process of its own that nobody starts again."""

    def __init__(self, folder):
        self.file = folder / "scheduler.json"
        options = ["--scheduler-file", str(self.file), "--no-dashboard"]
        self.processes = [self.start("scheduler", "--host", "127.0.0.1", "--port", "0", *options)]
        for n in range(2):
            where = ["--local-directory", str(folder / f"w{n}"), "--host", "127.0.0.1"]
            self.processes.append(
                self.start("worker", *options, "--no-nanny", "--nthreads", "1", "--name", f"w{n}", *where)
            )
        self.workers = self.processes[1:]

    def start(self, what, *options):
        return subprocess.Popen(
            [sys.executable, "-m", "dask", what, *options],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def address(self):
        from distributed import Client

        with Client(scheduler_file=str(self.file), timeout="60s", set_as_default=False) as client:
            client.wait_for_workers(2, timeout=60)
            return client.scheduler.address

    def stop(self):
        for process in self.processes:
            process.kill()
            process.wait()


@pytest.fixture
def cluster(tmp_path):
    pytest.importorskip("distributed", reason="letters on a cluster need dask's distributed")
    made = Cluster(tmp_path)
    yield made
    made.stop()


@pytest.mark.filterwarnings("ignore::ResourceWarning", "ignore::DeprecationWarning")
def test_a_worker_of_a_cluster_that_is_killed_costs_no_letter(tmp_path, plain, cluster, capsys):
    folder = make(tmp_path / "roster")
    address = cluster.address()
    killed = tmp_path / "killed"
    watch = (
        "import os, signal, sys, time, pathlib\n"
        "folder, pid, mark = pathlib.Path(sys.argv[1]), int(sys.argv[2]), pathlib.Path(sys.argv[3])\n"
        "while not list(folder.glob('*/reports/*.html')): time.sleep(0.02)\n"
        "os.kill(pid, signal.SIGKILL); mark.touch()"
    )
    subprocess.Popen([sys.executable, "-c", watch, str(folder), str(cluster.workers[0].pid), str(killed)])
    assert write_weeks(open_roster(folder), today=TODAY, workers=Workers(on=address)) == 0
    assert killed.exists()
    assert cluster.workers[0].wait(timeout=5) == -signal.SIGKILL
    assert pages(folder) == plain


@pytest.mark.parametrize(
    ("address", "why"),
    [
        ("tcp://10.0.0.7:8786", "is not encrypted"),
        ("tcp://127.0.0.1.example.org:8786", "is not encrypted"),
        ("tcp://club.example:8786", "is not encrypted"),
        ("10.0.0.7:8786", "is no scheduler's address"),
        ("ucx://10.0.0.7:8786", "is no scheduler's address"),
        ("ws://127.0.0.1:8786", "is no scheduler's address"),
        ("tls://", "is no scheduler's address"),
    ],
)
def test_health_data_goes_nowhere_in_the_open(address, why):
    with pytest.raises(BadArgument, match=why):
        checked_address(address)


@pytest.mark.parametrize(
    "address", ["tls://10.0.0.7:8786", "tcp://127.0.0.1:1", "tcp://[::1]:1", "tcp://localhost:1"]
)
def test_encrypted_and_on_this_computer_it_may_go(address):
    assert checked_address(address) == address


def test_a_scheduler_that_does_not_answer_is_told():
    pytest.importorskip("distributed")
    with pytest.raises(RosterProblem, match=r"no scheduler answers on tcp://127.0.0.1:1 .*see that it runs"):
        list(spread(abs, [(1,)], Workers(on="tcp://127.0.0.1:1")))


def dies_elsewhere(starter, value):
    """A task at which every process dies but the one that began."""
    if os.getpid() != starter:
        os.kill(os.getpid(), signal.SIGKILL)
    return value


def test_a_process_that_ends_before_its_time_leaves_its_work_to_the_one_that_began():
    tasks = [(os.getpid(), value) for value in range(4)]
    assert dict(spread(dies_elsewhere, tasks, Workers(n=2))) == {0: 0, 1: 1, 2: 2, 3: 3}


def test_two_processes_stopped_by_the_keyboard_leave_whole_letters_and_the_next_run_goes_on(tmp_path, plain):
    folder = make(tmp_path / "roster")
    command = [sys.executable, "-m", "coachlib", "week", str(folder), "--week", WEEK, "--workers", "2"]
    run = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    while not (made := list(folder.glob(f"*/reports/{WEEK}.html"))) and run.poll() is None:
        time.sleep(0.02)
    run.send_signal(signal.SIGINT)
    _, err = run.communicate(timeout=60)
    assert (run.returncode, err) == (130, "stopped\n")
    before = {path: path.stat().st_mtime_ns for path in made}
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0
    assert {path: path.stat().st_mtime_ns for path in made} == before
    assert pages(folder) == plain
    assert not list(folder.rglob("*.tmp"))


def test_few_letters_are_not_worth_a_process():
    assert [Workers(n=4).for_tasks(n).n for n in (0, 1, 3, 4, 8, 100)] == [1, 1, 1, 2, 4, 4]
    assert Workers(on="tls://a:1").for_tasks(1).are_elsewhere

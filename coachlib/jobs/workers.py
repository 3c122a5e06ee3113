"""Work spread over processes of this computer, or over a cluster of the club's own: the same answers, sooner.

What travels are names and paths there, and what became of each letter back; files are read where the work is done.
"""

import ipaddress
import os
import signal
import threading
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any, TypeVar
from urllib.parse import urlsplit

from coachlib import __version__
from coachlib.errors import BadArgument, RosterProblem

Made = TypeVar("Made")

#: A process more than this is not worth its start, which takes as long as some letters.  Own choice.
_LEAST_TASKS_EACH = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Workers:
    """Who does the work: ``n`` processes here, or the workers of the cluster whose scheduler listens ``on`` an address."""

    n: int = 1
    on: str | None = None

    def for_tasks(self, n_tasks: int) -> "Workers":
        """The same, no more of them than so many tasks are worth."""
        if self.on is not None:
            return self
        return Workers(n=max(1, min(self.n, n_tasks // _LEAST_TASKS_EACH)))

    @property
    def are_elsewhere(self) -> bool:
        """Whether the work leaves this process."""
        return self.n > 1 or self.on is not None


def processors() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def checked_address(address: str) -> str:
    """A scheduler's address that health data may go to: encrypted, or on this very computer.

    Raises
    ------
    BadArgument
        When it is another one.

    Examples
    --------
    >>> checked_address("tls://10.0.0.7:8786")
    'tls://10.0.0.7:8786'
    >>> checked_address("tcp://10.0.0.7:8786")
    Traceback (most recent call last):
    ...
    coachlib.errors.BadArgument: tcp://10.0.0.7:8786 is not encrypted, and letters are about health; let the scheduler
    listen on tls:// and give that. Only on this computer may it be tcp://
    """
    scheme, host = urlsplit(address).scheme, urlsplit(address).hostname
    if scheme not in ("tls", "tcp") or not host:
        raise BadArgument(f"{address} is no scheduler's address; give one such as tls://10.0.0.7:8786")
    if scheme != "tls" and not _is_here(host):
        raise BadArgument(
            f"{address} is not encrypted, and letters are about health; let the scheduler listen on tls:// and give that. "
            "Only on this computer may it be tcp://"
        )
    return address


def _is_here(host: str) -> bool:
    if host == "localhost":
        return True
    with suppress(ValueError):
        return ipaddress.ip_address(host).is_loopback
    return False


def spread(
    work: Callable[..., Made], tasks: Sequence[tuple[Any, ...]], workers: Workers
) -> Iterator[tuple[int, Made]]:
    """Do every task with some workers, in whichever order they are finished.

    Parameters
    ----------
    work : callable
        A function of a module, called with one task's values.
    tasks : sequence of tuple
        Texts and numbers for each call.
    workers : Workers
        Who does it.

    Yields
    ------
    int, object
        Which task was finished, and what came of it.  Left early, as when the keyboard stops it, what was begun is
        broken off; what was written is whole.

    Raises
    ------
    RosterProblem
        When the cluster cannot be reached, or runs another version of this program.
    """
    open_ = dict(enumerate(tasks))
    try:
        for n, made in _spread(work, tasks, workers):
            del open_[n]
            yield n, made
    except GeneratorExit:
        raise
    except Exception as problem:
        if not _is_lost_worker(problem):
            raise
        for (
            n,
            task,
        ) in open_.items():  # a process ended before its time, mostly for want of memory: on with one
            yield n, work(*task)


def _spread(
    work: Callable[..., Made], tasks: Sequence[tuple[Any, ...]], workers: Workers
) -> Iterator[tuple[int, Made]]:
    import joblib

    with _backend(workers):
        calls = [joblib.delayed(_done)(n, work, t, is_own=workers.on is None) for n, t in enumerate(tasks)]
        found = joblib.Parallel(return_as="generator_unordered", batch_size=1, pre_dispatch="all")(calls)
        try:
            yield from found
        except BaseException:
            if workers.on is None:
                _break_off()
            raise
        finally:
            with warnings.catch_warnings():
                warnings.simplefilter(
                    "ignore"
                )  # that not all of it was done is meant, where it is left early
                found.close()


def _is_lost_worker(problem: Exception) -> bool:
    """Whether a process that did the work is gone, again and again where others took it over."""
    return type(problem).__name__ in ("TerminatedWorkerError", "KilledWorker")


@contextmanager
def _backend(workers: Workers) -> Iterator[None]:
    import joblib

    if workers.on is None:
        with joblib.parallel_config(backend="loky", n_jobs=workers.n, inner_max_num_threads=1):
            yield
        return
    try:
        from distributed import Client
    except ImportError:
        raise RosterProblem(
            "a cluster needs more than is installed; get it with: pip install 'coachlib[cluster]'"
        ) from None
    try:
        client = Client(checked_address(workers.on), set_as_default=False, timeout="10s")
    except (OSError, ValueError, TypeError) as problem:
        raise RosterProblem(
            f"no scheduler answers on {workers.on} ({problem or type(problem).__name__}); see that it runs, and that "
            "its certificates are named in dask's configuration"
        ) from None
    with client:
        others = sorted(set(client.run(_version).values()) - {__version__})
        if others:
            raise RosterProblem(
                f"the cluster runs coachlib {', '.join(others)} and this is {__version__}; install the same"
            )
        with joblib.parallel_config(backend="dask", client=client):
            yield


def _version() -> str:
    return __version__


def _break_off() -> None:
    """End the processes of this computer that were started for the work."""
    from joblib.externals.loky import get_reusable_executor

    get_reusable_executor().shutdown(wait=True, kill_workers=True)


def _done(n: int, work: Callable[..., Made], task: tuple[Any, ...], *, is_own: bool) -> tuple[int, Made]:
    """One task, done in another process; the keyboard stops the process that began it all, which stops this one."""
    if is_own and threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    return n, work(*task)

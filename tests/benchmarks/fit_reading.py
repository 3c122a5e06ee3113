"""How long reading a FIT file takes, and reading it with the decoder's own defaults.

Run: python tests/benchmarks/fit_reading.py [FILE.fit ...]
"""

import contextlib
import statistics
import sys
import time
import warnings
from pathlib import Path

import fitdecode

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitbytes import START, FitBytes

from coachlib.errors import FileProblem
from coachlib.files.fit.reading import read_fit_bytes


def ride(seconds):
    """A ride of one record a second with heart rate, speed, power, cadence, distance and beats."""
    fit = FitBytes().file_id().timer(START, 0)
    for s in range(seconds):
        fields = [(73, "uint32", 8000), (7, "uint16", 200), (4, "uint8", 88), (5, "uint32", 800 * s)]
        fit.record(START + s, 140, *fields).beats(0.43, 0.43)
    return fit.session(START, seconds).bytes()


def cpu_s(action, repeats):
    """Median processor time [s] of an action."""
    times = []
    for _ in range(repeats):
        begin = time.process_time()
        action()
        times.append(time.process_time() - begin)
    return statistics.median(times)


def read(data):
    """A recording, or its refusal."""
    with contextlib.suppress(FileProblem):
        read_fit_bytes(data)


def drain(data):
    """Every message, with the decoder's own defaults."""
    with warnings.catch_warnings(), contextlib.suppress(fitdecode.FitError):
        warnings.simplefilter("ignore")
        return sum(1 for _ in fitdecode.FitReader(data))


def main():
    """Print one line a recording, and the ratio over all of them."""
    recordings = {"1 h with beats": ride(3600), "28 h with beats": ride(28 * 3600)}
    recordings |= {Path(name).name: Path(name).read_bytes() for name in sys.argv[1:]}
    all_ours = all_theirs = 0.0
    for name, data in recordings.items():
        repeats = 1 if len(data) > 1_000_000 else 5
        ours = cpu_s(lambda data=data: read(data), repeats)
        theirs = cpu_s(lambda data=data: drain(data), repeats)
        all_ours, all_theirs = all_ours + ours, all_theirs + theirs
        print(
            f"{name}, {len(data) / 1e3:.0f} kB: read {ours * 1e3:.1f} ms, by the decoder {theirs * 1e3:.0f} ms, "
            f"{theirs / ours:.1f} times"
        )
    print(f"all: {all_theirs / all_ours:.1f} times less processor time than the decoder")


if __name__ == "__main__":
    main()

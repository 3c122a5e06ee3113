"""How long reading a FIT file takes, and reading it with the decoder's own defaults.

Run: python tests/benchmarks/fit_reading.py [FILE.fit ...]
"""

import statistics
import sys
import time
import warnings
from pathlib import Path

import fitdecode

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitbytes import START, FitBytes

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


def drain(data):
    """Every message, with the decoder's own defaults."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return sum(1 for _ in fitdecode.FitReader(data))


def main():
    """Print one line a recording."""
    recordings = {"1 h with beats": ride(3600), "28 h with beats": ride(28 * 3600)}
    recordings |= {Path(name).name: Path(name).read_bytes() for name in sys.argv[1:]}
    for name, data in recordings.items():
        repeats = 1 if len(data) > 1_000_000 else 7
        ours = cpu_s(lambda data=data: read_fit_bytes(data), repeats)
        theirs = cpu_s(lambda data=data: drain(data), repeats)
        print(
            f"{name}, {len(data) / 1e3:.0f} kB: read {ours * 1e3:.0f} ms, by the decoder {theirs * 1e3:.0f} ms"
        )


if __name__ == "__main__":
    main()

"""Processor time a recording takes from the store, with the checksum of its FIT bytes.

Run: python tests/benchmarks/store_reading.py
"""

import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from fit_reading import ride

from coachlib.files.store.store import Store


def main():
    """Print one line a recording."""
    with tempfile.TemporaryDirectory() as folder:
        for hours in (1, 5):
            path = Path(folder) / f"{hours}.fit"
            path.write_bytes(ride(3600 * hours))
            store = Store(Path(folder) / "store")
            begin = time.process_time()
            store.activity(path)
            first = time.process_time() - begin
            times = []
            for _ in range(50):
                begin = time.process_time()
                store.activity(path)
                times.append(time.process_time() - begin)
            print(f"{hours} h: first {first * 1e3:.0f} ms, then {statistics.median(times) * 1e3:.1f} ms")


if __name__ == "__main__":
    main()

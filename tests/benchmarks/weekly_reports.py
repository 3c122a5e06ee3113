"""How long the letters of a whole roster take: from nothing, from the warm store, and with nothing to do.

Run: python tests/benchmarks/weekly_reports.py [ROSTER]

The roster is copied first and the copy thrown away. Aimed at, on two shared cores and five athletes: below
90 s from nothing, below 25 s from the store.
"""

import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DEMO = Path(__file__).parents[2] / "athletes_demo"
DERIVED = (".coachlib", "reports")


def main() -> None:
    """Print one line a way, and the size of each letter."""
    roster = Path(sys.argv[1]) if len(sys.argv) > 1 else DEMO
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copytree(roster, Path(folder) / "roster", ignore=shutil.ignore_patterns(*DERIVED)))
        for words, options in (("from nothing", []), ("from the store", ["--again"]), ("nothing to do", [])):
            command = [sys.executable, "-m", "coachlib", "week", str(copy), *options]
            begin = time.perf_counter()
            done = subprocess.run(command, capture_output=True, text=True, check=False)
            print(f"{words}: {time.perf_counter() - begin:.1f} s, exit status {done.returncode}")
        for letter in sorted(copy.glob("*/reports/*.html")):
            print(f"{letter.parent.parent.name}: {letter.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()

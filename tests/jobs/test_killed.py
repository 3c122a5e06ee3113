"""Whatever moment a process is killed at: old or new, nothing lost, nothing left.  More: benchmarks/kills.py."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).parents[1] / "benchmarks/kills.py"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a child is forked to be killed")
def test_kills_at_random_moments():
    kinds = ("add", "save", "letter", "move", "forget")
    done = subprocess.run(
        [sys.executable, str(SCRIPT), "16", "20261129", *kinds],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, "OMP_NUM_THREADS": "1"},
    )
    assert done.stdout.rstrip().endswith(": 0 wrong"), done.stdout

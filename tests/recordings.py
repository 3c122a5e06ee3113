"""Real recordings for tests: read from their own folder, never part of this project."""

import os
from pathlib import Path

import pytest

FOLDER = Path(os.environ.get("COACHLIB_RECORDINGS", Path(__file__).parents[2] / "shared" / "recordings"))


def recording(name):
    """Path of a recording; skips the test, saying so, where the folder is missing."""
    path = FOLDER / name
    if not path.is_file():
        pytest.skip(
            "needs the real recordings, which are not part of this project: set COACHLIB_RECORDINGS to their folder"
        )
    return path

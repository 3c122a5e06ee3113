"""Printed numbers kept as CSV, each file with the source and the place in it."""

from pathlib import Path

import pandas as pd

FOLDER = Path(__file__).parent / "published"


def load(name: str) -> pd.DataFrame:
    """Read ``published/<name>.csv``; refuse it without a ``# source:`` and a ``# where:`` line."""
    path = FOLDER / f"{name}.csv"
    comments = [line for line in path.read_text("utf-8").splitlines() if line.startswith("#")]
    for needed in ("# source:", "# where:"):
        if not any(line.startswith(needed) and len(line) > len(needed) + 3 for line in comments):
            raise ValueError(f"{path.name} has no line that begins with '{needed}' and says it")
    return pd.read_csv(path, comment="#", skipinitialspace=True)

"""Open laboratory data kept with the tests; sources, licences and changes stand in the README of its folder."""

from pathlib import Path

import pandas as pd

FOLDER = Path(__file__).parent / "open_data"


def table(name: str) -> pd.DataFrame:
    """One of the tables."""
    return pd.read_csv(FOLDER / name, comment="#")

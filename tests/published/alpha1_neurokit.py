"""How ``alpha1_neurokit.csv`` was made: needs neurokit2 0.2.12, which the tests do not.

Run: ``python tests/published/alpha1_neurokit.py tests/open_data``.  Prints the rows.
"""

import sys
from pathlib import Path

import neurokit2
import numpy as np
import pandas as pd

FIRST_BEAT, N_BEATS = 400, 170


def straight_segments(rr_ms):
    """Whether any segment without overlap is straight to within what the library drops (variance 1e-8)."""
    profile = np.cumsum(rr_ms - rr_ms.mean())
    for n in range(4, 17):
        for segment in profile[: profile.size // n * n].reshape(-1, n):
            line = np.polyval(np.polyfit(np.arange(n), segment, 1), np.arange(n))
            if np.mean((segment - line) ** 2) <= 1e-6:
                return True
    return False


beats = pd.read_csv(Path(sys.argv[1]) / "rr_vo2_power_ramp_odcby.csv.gz").dropna(subset=["RR"])
print("person, first_beat, n_beats, alpha1")
for person, rows in beats.groupby("ID"):
    rr_ms = rows["RR"].to_numpy(dtype=float)[FIRST_BEAT : FIRST_BEAT + N_BEATS]
    if rr_ms.size == N_BEATS and not straight_segments(rr_ms):
        found = neurokit2.fractal_dfa(rr_ms, scale=np.arange(4, 17), overlap=False)[0]
        print(f"{person}, {FIRST_BEAT}, {N_BEATS}, {found:.8f}")

"""How the easy share and the load range do on made-up sessions and weeks, their truth known."""

import numpy as np

from coachlib.measures.season.load_range import load_in_own_range
from coachlib.measures.week.easy_share import easy_share_of_week


def easy_rates(n: int, seed: int, sd: float) -> dict[str, float]:
    """Coverage and bias of the easy share of one session and of a week of five."""
    rng = np.random.default_rng(seed)
    one, week = [], []
    for _ in range(n):
        judged_at = 150.0
        threshold = judged_at + rng.normal(0, sd)
        hrs, weights, truth = [], [], []
        for _ in range(5):
            offset = rng.normal(0, 1.8)
            hr = rng.normal(rng.choice([138, 144, 149, 158]), 6, 3600)
            hrs.append(np.round(hr))
            weights.append(np.ones(hr.size))
            truth.append((hr - offset <= threshold).mean())
        found = easy_share_of_week(hrs[:1], weights[:1], threshold_bpm=judged_at, threshold_sd_bpm=sd)
        one.append((found.share_low_frac <= truth[0] <= found.share_high_frac, found.share_frac - truth[0]))
        found = easy_share_of_week(hrs, weights, threshold_bpm=judged_at, threshold_sd_bpm=sd)
        mean = float(np.mean(truth))
        week.append((found.share_low_frac <= mean <= found.share_high_frac, found.share_frac - mean))
    one_cover, one_bias = np.array(one, float).mean(axis=0)
    week_cover, week_bias = np.array(week, float).mean(axis=0)
    return {
        "session coverage": one_cover,
        "bias": one_bias,
        "week coverage": week_cover,
        "week bias": week_bias,
    }


def load_rates(n: int, seed: int, cv: float) -> dict[str, float]:
    """Share of ordinary weeks called high, and of doubled weeks found."""
    rng = np.random.default_rng(seed)
    sd = np.sqrt(np.log1p(cv**2))
    usual, flag, found = [], [], []
    for _ in range(n):
        loads = 300 * np.exp(sd * rng.standard_normal(9))
        judged = load_in_own_range(loads[:8], loads[8])
        usual.append(judged.side == "high")
        flag.append(judged.side == "high" and judged.verdict == "flag")
        doubled = load_in_own_range(loads[:8], 2 * loads[8])
        found.append(doubled.verdict == "flag" and doubled.side == "high")
    return {"high, unusual": np.mean(usual), "high, flag": np.mean(flag), "doubled found": np.mean(found)}

"""What the literature says of the weeks before a race; figures for the coach, no plan.

Source
------
Bosquet L et al. (2007), Med Sci Sports Exerc 39:1358-1365, doi 10.1249/mss.0b013e31806010e0: effects of two weeks
0.59 ± 0.33, of volume down by 41 to 60 % 0.72 ± 0.36, with intensity kept 0.33 and frequency kept 0.35.
Wang Z et al. (2023), PLoS One 18:e0282838, doi 10.1371/journal.pone.0282838: endurance alone, up to 21 days, time
trials better by a standardised difference of 0.45.
"""

#: Days before a race in which a taper is talked of, and where its effect was largest. [days]
LONGEST_DAYS, LARGEST_DAYS = 21, 14
#: Share by which volume was lowered where the effect was largest.
LESS_LOW_FRAC, LESS_HIGH_FRAC = 0.41, 0.60
#: Standardised effects: two weeks; that volume; intensity and frequency kept; time trials, endurance alone.
TWO_WEEKS, THAT_VOLUME, INTENSITY_KEPT, FREQUENCY_KEPT, TIME_TRIAL = 0.59, 0.72, 0.33, 0.35, -0.45


def taper_minutes(usual_min: float) -> tuple[float, float]:
    """Minutes a week with volume lowered as where the effect was largest, from the fewest. [min]

    Examples
    --------
    >>> [round(m) for m in taper_minutes(300)]
    [120, 177]
    """
    return usual_min * (1 - LESS_HIGH_FRAC), usual_min * (1 - LESS_LOW_FRAC)

"""Numbers that more than one measure needs."""

#: Normal quantile of a two-sided 90 % interval.
Z90 = 1.645
#: Probability that two-sided intervals are made for.
LEVEL_FRAC = 0.90
#: Day-to-day scatter of heart rate at one setting. [1/min]  Lamberts et al. (2004), J Strength Cond Res
#: 18:641-645: standard error of measurement 1.1 to 1.4 %.
DAY_HR_SD_BPM = 2.5
#: The part of it that moves drift as well: half of its variance. [1/min]  Own choice.
DAY_EFFORT_SD_BPM = 1.8
#: Scatter of drift over an hour from one day to the next. [percentage points]  Assumption, own choice.
DAY_DRIFT_SD_PCT = 1.0

"""What the literature says about the conditions in which tests differ, and what the estimate does about each.

Source
------
Each condition names its own; sizes are as the abstracts tell them.
"""

from coachlib.measures.drift_test.reference_conditions import HEAT_BPM_PER_C, HEAT_PCT_PER_C, REFERENCE_C
from coachlib.measures.first_threshold.drift_series import UNSURE_BPM, UNSURE_PCT
from coachlib.report.words import wording

LITERATURE = {
    "air temperature": "raises both: heart rate by {pct:.1f} % for each degree between {cool} and {hot} (Ergonomics 1975, "
    "18:539-546, 4 men); within half an hour heart rate drifted 2 % at {mild} and 11 % at {hot} (Lafrenz et al. 2008), "
    "16 % without and 4 % with moving air (Wingo & Cureton 2006)",
    "humidity": "raises both in warm air, as heat does; no size was found",
    "sleep": "mixed: one short night raised heart rate in one study, weeks of short nights lowered it in another; "
    "the effort feels harder (Roberts et al. 2019)",
    "hours awake": "goes with the time of day; no size was found",
    "time of day": "a few bpm, lower at night and in the early morning; no size was verified",
    "hours since food": "a meal raises heart rate for some hours; no size was verified",
    "caffeine": "lowers heart rate by 4 to 7 bpm at light work in people who do not use it (McClaran & Wetter 2007); "
    "the effect fades with intensity",
    "fluid": "losing 1 % of body mass raises heart rate by about 7 bpm (Lambert et al. 1998), so drinking less adds "
    "drift",
    "footwear or machine": "moves heart rate at the same settings, by an unknown amount; drift at a heart rate hardly",
    "health": "illness and soreness raise heart rate, by an unknown amount",
    "window": "the same slope gives more drift in a longer window: by definition, not by physiology",
}
_SHOWN_ONLY = "nothing: shown only"
_DONE = {
    "air temperature": "each degree above {reference} takes {heat_bpm} bpm and {heat_pct} % off and makes the test count "
    "less; an unknown temperature is taken as cool",
    "health": f"a test on a day of illness or pain counts less (SD {UNSURE_BPM:g} bpm and {UNSURE_PCT:g} % added); "
    "leave it out if in doubt",
    "window": "drift and its error are brought to an hour (times 60 over the minutes)",
}


def literature_on(condition: str) -> str:
    """What the literature says about a condition.

    Examples
    --------
    >>> literature_on("humidity")
    'raises both in warm air, as heat does; no size was found'
    """
    cool, mild, hot = map(wording.temperature, (21, 22, 35))
    return LITERATURE[condition].format(pct=wording.per_degree(1.4), cool=cool, mild=mild, hot=hot)


def done_about(condition: str) -> str:
    """What the estimate does about a condition.

    Examples
    --------
    >>> done_about("caffeine")
    'nothing: shown only'
    """
    bpm, pct = (wording.plain(wording.per_degree(each)) for each in (HEAT_BPM_PER_C, HEAT_PCT_PER_C))
    said = _DONE.get(condition, _SHOWN_ONLY)
    return said.format(reference=wording.temperature(REFERENCE_C), heat_bpm=bpm, heat_pct=pct)

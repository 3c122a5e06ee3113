"""Training by talk and effort, for whom limits in beats do not fit or are not known."""

from coachlib.report.look.text import escape
from coachlib.report.zones.zone_plan import shades

#: What each part feels like: name, what it is for, how one can talk, effort from 0 to 10.  Comfort in talking ends
#: near the first threshold and talking at all near the second: Rodríguez-Marroyo JA et al. (2013), J Strength Cond
#: Res 27:1942-1949.  Effort is the scale of Foster C et al. (2001), J Strength Cond Res 15:109-115; which number
#: goes with which part is common practice, no source.
PARTS = (
    ("very easy", "warming up, cooling down, the day after a hard one", "you talk as if you sat", "1 to 2"),
    ("easy", "most of your training", "you talk in whole sentences and in comfort", "2 to 3"),
    ("steady", "long, even efforts", "you talk in short sentences, no longer in comfort", "4 to 5"),
    ("hard", "long intervals", "you say a few words at a time", "6 to 7"),
    ("very hard", "short intervals, the end of a race", "you do not want to talk", "8 to 10"),
)


def effort_guide() -> str:
    """The five parts from low to high: how one can talk, how hard it feels, what it is for."""
    items = "".join(
        f'<li><span class="shade z{shade}"></span><span class="name">{escape(name)}</span>'
        f'<span class="beats">effort {escape(effort)}</span><span class="use">{escape(talk)}: {escape(use)}</span></li>'
        for (name, use, talk, effort), shade in zip(PARTS, shades(len(PARTS)), strict=True)
    )
    return (
        f'<ol class="zones">{items}</ol><p class="small">Say a sentence of ten seconds or so aloud while you move, and ask '
        "yourself whether it was comfortable. Effort is how hard it feels, from 0 (rest) over 5 (hard) to 10 (as hard as "
        "ever).</p>"
    )

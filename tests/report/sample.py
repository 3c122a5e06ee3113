"""A notebook like the weekly one, with invented content, for trying the machinery on."""

from pathlib import Path

import nbformat
from nbformat import NotebookNode
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

PARAMETERS = """
name = "Ada Example"
coach = "C. Coach"
note = "Dear Ada,\\n\\nI liked how *even* Thursday was."
remark = "Legs fresh."
"""

IMPORTS = """
import altair as alt
import pandas as pd
from coachlib.report.page.blocks import Figure, Html, Numbers
from coachlib.report.look.markdown import markdown_html, words_html
from coachlib.report.look.palette import ACCENT, INK, ZONES
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
"""

HEAD = """
Html(f'''<header class="head"><h1>{escape(name)}</h1><p class="when">16 to 22 November 2026</p>
<p class="from">from {escape(coach)}</p></header>
<p class="lead">A calm week: five sessions, 5 h 12, and the easy days stayed easy. Over Thursday’s steady
hour your heart rate rose 1.3 % (0.4 to 2.2), so your first threshold lies above 158 bpm. That is clear for the
hour itself, and likely for your form as a whole.</p>''')
"""

NOTE = """
Html(f'''<div class="note">{markdown_html(note)}</div>
<section class="next"><h2>One thing for next week</h2><p>The same steady hour, half a kilometre an hour faster:
10.5 km/h at 6 %, on Thursday, if you slept well. Wet the strap first.</p></section>
<h2>What that rests on</h2>''')
"""

BARS = """
weeks = pd.DataFrame({
    "week": ["W42", "W43", "W44", "W45", "W46", "W47"] * 2,
    "part": ["below"] * 6 + ["above"] * 6,
    "order": [0] * 6 + [1] * 6,
    "h": [4.1, 4.4, 4.9, 2.6, 4.2, 4.7, 0.8, 0.9, 0.7, 0.9, 1.0, 0.5],
})
bars = alt.Chart(weeks, description="Hours below and above the first threshold, six weeks.").mark_bar(size=30)
bars = bars.encode(
    x=alt.X("week:N", title=None),
    y=alt.Y("h:Q", title="hours"),
    order="order:O",
    color=alt.Color("part:N", scale=alt.Scale(domain=["below", "above"], range=[ZONES[0], ZONES[4]])),
)
Figure(
    bars,
    title="Easy days stayed easy: 91 % of the time below your first threshold",
    caption="Each bar is a week; the pale part is time below the first threshold.",
    table=table(["Week", "below, h", "above, h"], [["W46", "4.2", "1.0"], ["W47", "4.7", "0.5"]],
                caption="Hours in the last two weeks"),
)
"""

LINE = """
minute = pd.Series(range(0, 61))
run = pd.DataFrame({"min": minute, "bpm": 150 + 3 * minute / 60 + (minute * 7 % 5) / 2})
half = pd.DataFrame({"from": [0, 30], "to": [30, 60], "mean": [151.6, 153.6], "words": ["151.6", "153.6"]})
bpm = alt.Y("bpm:Q", title="bpm", scale=alt.Scale(zero=False))
line = alt.Chart(run).mark_line(color=ACCENT).encode(x=alt.X("min:Q", title="minutes"), y=bpm)
means = alt.Chart(half).mark_rule(color=INK, strokeDash=[4, 3]).encode(x="from:Q", x2="to:Q", y="mean:Q")
said = alt.Chart(half).mark_text(color=INK, dy=-12, align="left", dx=4)
said = said.encode(x="from:Q", y="mean:Q", text="words:N")
Figure(
    (line + means + said).properties(description="Heart rate over an hour and the means of its halves."),
    title="Heart rate rose 1.3 % over the hour, less than 5 %",
    caption="The dashed lines are the means of the two halves.",
)
"""

TREND = """
tests = pd.DataFrame({
    "on": pd.to_datetime(["2026-09-20", "2026-10-05", "2026-10-22", "2026-11-19"]),
    "bpm": [152.0, 154, 157, 158], "low": [147.0, 149, 153, 154], "high": [158.0, 160, 162, 163],
})
days = alt.Axis(values=list(tests.on), format="%-d %b")
base = alt.Chart(tests).encode(x=alt.X("on:T", title=None, axis=days))
low = alt.Y("low:Q", title="bpm", scale=alt.Scale(zero=False))
band = base.mark_area(color=ACCENT, opacity=0.18).encode(y=low, y2="high:Q")
dots = base.mark_line(color=ACCENT, point=alt.OverlayMarkDef(color=ACCENT, size=50)).encode(y="bpm:Q")
Figure(
    (band + dots).properties(description="First threshold in four tests with its interval."),
    title="The first threshold has moved up by 6 bpm since September: likely",
    caption="Four tests with the range each allows.",
)
"""

DAYS = """
Html(f'''<section><h2>Day by day</h2><ol class="days">
<li><div class="what"><span class="day">Tuesday</span> <span class="meant">easy</span></div>
<div class="facts">58 min · 10.1 km · 85 m up · 5:44 per km · 141 bpm</div>
<div class="split"><div class="bar" aria-hidden="true"><span class="part z1" style="flex-grow:0.93"></span>
<span class="part z3" style="flex-grow:0.07"></span></div>
<span class="min">54 min below, 4 min between</span></div>
<div class="words"><span class="rpe">RPE 2</span> <q>{words_html(remark)}</q></div></li>
<li><div class="what"><span class="day">Thursday</span> <span class="meant">drift test</span></div>
<div class="facts">1 h 15 · 10.0 km/h at 6 % · 155 bpm · drift 1.3 % (0.4 to 2.2)</div>
<div class="split"><div class="bar" aria-hidden="true"><span class="part z1" style="flex-grow:0.81"></span>
<span class="part z3" style="flex-grow:0.19"></span></div>
<span class="min">61 min below, 14 min between</span></div>
<div class="words"><span class="rpe">RPE 4</span> <q>Could have talked all the way.</q></div></li>
<li><div class="what"><span class="day">Saturday</span> <span class="meant">hills</span></div>
<div class="facts">52 min · 9.0 km · 310 m up · 158 bpm</div>
<div class="split"><div class="bar" aria-hidden="true"><span class="part z1" style="flex-grow:0.58"></span>
<span class="part z3" style="flex-grow:0.17"></span><span class="part z5" style="flex-grow:0.25"></span></div>
<span class="min">30 min below, 9 min between, 13 min above</span></div></li>
</ol></section>''')
"""

HOW = """
Html('''<section class="how"><h2>How we know</h2>
<p>First threshold 158 bpm (154 to 163), accepted on 5 October 2026 from three drift tests. Second threshold
174 bpm (170 to 178), from a time trial on 12 September 2026.</p>
<p>Left out: 28 s of heart rate on Thursday while you were talking.</p>
<p>These are estimates for training, not medical findings. If you feel unwell, rest and see a physician
first.</p>
<p>Methods: half means 1, time shares 1. Made on 23 November 2026 by version 0.1.0.</p></section>''')
"""

NUMBERS = "Numbers({'sessions': 5, 'drift_pct': 1.3, 'second_threshold_bpm': None, 'given': [name, note]})"

LONG_NOTE = """Dear Ada,

I liked how *even* Thursday was. You let the belt do the pacing and left the watch alone, and it shows: the
two halves of the hour are two beats apart, which a month ago they were not.

Saturday's hills were a little eager in the first two. Let the third one be the fastest.

Sleep before Thursday, please, and tell me how the new shoes feel."""


def sample_book(*cells: str, imports: str = IMPORTS) -> NotebookNode:
    """The whole sample letter, or only the given code cells, below a tagged cell of parameters."""
    shown = cells or (HEAD, NOTE, BARS, LINE, TREND, DAYS, HOW, NUMBERS)
    return new_notebook(
        cells=[
            new_code_cell(PARAMETERS.strip(), metadata={"tags": ["parameters"]}),
            new_code_cell(imports.strip()),
            new_markdown_cell("# A week\n\n## The letter"),
            *(new_code_cell(source.strip()) for source in shown),
        ]
    )


def write_book(path: Path, *cells: str, imports: str = IMPORTS) -> Path:
    """Write the sample to a file and give its path back."""
    nbformat.write(sample_book(*cells, imports=imports), path)
    return path

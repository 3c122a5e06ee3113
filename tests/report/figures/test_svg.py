"""Charts become small drawings in the page's own colours, whatever text they hold."""

import re
import xml.etree.ElementTree as ET

import altair as alt
import numpy as np
import pandas as pd
import pytest

from coachlib.errors import ReportProblem
from coachlib.report.figures.renderer import MEASURED_FONT, svg_of
from coachlib.report.figures.svg import clean_svg
from coachlib.report.look.palette import ACCENT, GREY, INK, ZONES

DAYS = pd.DataFrame({"day": ["Mon", "Tue", "Wed"], "min": [30.0, 55.123456, 42.0], "heard": ["a", "b", "c"]})


def bars(frame=DAYS, *, colour=ACCENT, description="Minutes a day.", **more):
    chart = alt.Chart(frame, description=description, **more).mark_bar(color=colour)
    return chart.encode(x=alt.X("day:N", title=None), y=alt.Y("min:Q", title="minutes"))


def test_a_drawing_scales_and_says_what_it_shows():
    root = ET.fromstring(svg_of(bars()))
    assert root.get("role") == "img"
    assert root.get("aria-label") == "Minutes a day."
    assert root.get("viewBox").startswith("0 0 ")
    assert root.get("width") is None
    assert root.get("class") == "chart"


def test_palette_colours_become_classes():
    made = svg_of(bars())
    assert 'class="f-accent s-paper"' in made
    assert "#" not in made


def test_a_colour_outside_the_palette_gets_a_card():
    made = svg_of(bars(colour="#ff00ff"))
    assert 'class="chart card"' in made
    assert 'fill="#ff00ff"' in made


def test_bars_say_their_numbers_and_lines_do_not():
    assert svg_of(bars()).count("<title>") == 3
    told = bars().encode(description="heard:N")
    assert "<title>b</title>" in svg_of(told)
    line = alt.Chart(DAYS, description="x").mark_line(color=INK).encode(x="day:N", y="min:Q")
    assert "<title>" not in svg_of(line)


def test_nothing_travels_that_is_not_drawn():
    frame = DAYS.assign(other_athlete="Berta", lat=47.123)
    made = svg_of(bars(frame))
    assert "Berta" not in made
    assert "47.1" not in made


def test_coordinates_are_rounded_and_hidden_parts_dropped():
    made = svg_of(bars())
    assert not re.search(r"\d\.\d\d", re.sub("<title>.*?</title>", "", made))
    for gone in (
        'opacity="0"',
        "font-family",
        "aria-roledescription",
        "pointer-events",
        MEASURED_FONT,
        "<g><g>",
    ):
        assert gone not in made


def test_labels_that_overlap_leave_no_ghosts():
    many = pd.DataFrame({"day": [f"a rather long label {i}" for i in range(20)], "min": np.arange(20.0)})
    assert svg_of(bars(many)).count("a rather long label") - 20 < 10  # 20 are names of the bars


@pytest.mark.parametrize("code", [0, 7, 0x1B, 0xFFFE, 0xD800, 0x202E])
def test_control_characters_do_not_end_the_process(code):
    odd = f"M{chr(code)}on"
    rows = alt.Data(values=[{"day": odd, f"m{chr(code)}in": 30}, {"day": "Tue", f"m{chr(code)}in": 55}])
    chart = alt.Chart(rows, title=odd, description=f"Minutes{chr(code)} a day.").mark_bar()
    made = svg_of(chart.encode(x=alt.X("day:N", title=odd), y=alt.Y(f"m{chr(code)}in:Q", title=odd)))
    assert "Minutes a day." in made
    assert chr(code) not in made


def test_markup_in_labels_stays_text():
    frame = DAYS.replace("Mon", "</title><script>x</script>")
    made = svg_of(bars(frame, description='"><script>x</script>'))
    assert "<script" not in made
    assert "&lt;script&gt;" in made


def test_two_drawings_on_a_page_keep_their_own_parts():
    clipped = alt.Chart(DAYS, description="x").mark_line(clip=True, color=INK).encode(x="day:N", y="min:Q")
    other = clipped.properties(width=200)
    names = [set(re.findall(r' id="([^"]+)"', svg_of(chart))) for chart in (clipped, other)]
    assert names[0]
    assert names[1]
    assert not names[0] & names[1]
    made = svg_of(clipped)
    assert set(re.findall(r"url\(#([^)]+)\)", made)) <= names[0]


@pytest.mark.parametrize(
    "chart",
    [
        bars().encode(href=alt.value("https://example.org")),
        bars().encode(href=alt.value("javascript:x")),
        alt.Chart(DAYS, description="x").mark_image(url="https://example.org/x.png"),
        alt.Chart("https://example.org/data.csv", description="x").mark_bar().encode(x="a:Q"),
    ],
)
def test_addresses_are_refused_and_the_next_chart_is_drawn(chart):
    with pytest.raises(ReportProblem, match="hold no links, pictures or data from elsewhere"):
        svg_of(chart)
    assert "f-accent" in svg_of(bars())


def test_a_column_may_be_called_like_an_address():
    frame = DAYS.rename(columns={"heard": "url"}).assign(href="x")
    assert "<title>b</title>" in svg_of(bars(frame).encode(description="url:N"))


def test_a_chart_without_a_description_is_refused():
    with pytest.raises(ReportProblem, match="a chart has no description"):
        svg_of(bars(description=" "))


def test_times_with_a_zone_are_refused_and_local_ones_drawn_as_they_are():
    local = pd.DataFrame({"at": pd.to_datetime(["2026-11-22 23:30", "2026-11-23 00:30"]), "bpm": [140, 150]})
    chart = alt.Chart(local, description="x").mark_point(color=INK)
    at = alt.X("at:T", axis=alt.Axis(values=list(local["at"]), format="%d %H:%M"))
    assert "22 23:30" in svg_of(chart.encode(x=at, y="bpm:Q"))
    chart.data = local.assign(at=local["at"].dt.tz_localize("UTC"))
    with pytest.raises(ReportProblem, match=r"holds the time 2026-11-22T23:30:00.*which has a time zone"):
        svg_of(chart.encode(x="at:T", y="bpm:Q"))


def test_a_drawing_with_a_picture_is_refused():
    raw = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"><image href="x"/></svg>'
    with pytest.raises(ReportProblem, match="holds a 'image' element"):
        clean_svg(raw, description="x")


def test_text_is_never_smaller_than_12():
    sizes = [float(size) for size in re.findall(r'font-size="([\d.]+)"', svg_of(bars()))]
    assert sizes
    assert min(sizes) >= 12


def test_a_chart_fits_a_phone_at_nearly_its_true_size():
    width = float(ET.fromstring(svg_of(bars())).get("viewBox").split()[2])
    assert 320 <= width <= 350


def test_all_colours_of_the_theme_are_in_the_palette():
    plain = alt.Chart(DAYS, title="A title", description="x").encode(
        x="day:N", y="min:Q", color=alt.Color("day:O", scale=alt.Scale(range=list(ZONES[:3])))
    )
    layers = plain.mark_bar() + plain.mark_text() + plain.mark_point(color=GREY) + plain.mark_rule()
    assert 'class="chart"' in svg_of(layers.properties(description="x", title="A title"))


def test_the_same_chart_gives_the_same_drawing_and_keeps_its_data():
    frame = DAYS.copy()
    clipped = bars(frame).mark_bar(clip=True, color=INK)
    assert svg_of(clipped) == svg_of(clipped)
    pd.testing.assert_frame_equal(frame, DAYS)

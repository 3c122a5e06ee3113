"""The colours can be read and told apart, whatever accent a roster asks for."""

import itertools

import numpy as np
import pytest

from coachlib.errors import ReportProblem
from coachlib.report.look import palette
from coachlib.report.look.colour import colour_of, contrast, lightness_chroma_hue, ramp

ACCENTS = [
    palette.DEFAULT_ACCENT,
    "#7a2e8a",
    "#ffdd00",
    "#c0392b",
    "#888888",
    "#0000ff",
    "#000000",
    "#ffffff",
]
EVERY = list(itertools.product(ACCENTS, palette.THEMES))


@pytest.mark.parametrize(("accent", "theme"), EVERY)
def test_text_and_lines_have_contrast(accent, theme):
    found = palette.colours(accent, theme)
    for role in ("ink", "muted", "accent", "warm"):
        assert contrast(found[role], found["paper"]) >= palette.TEXT_CONTRAST
    assert contrast(found["grey"], found["paper"]) >= palette.LINE_CONTRAST


@pytest.mark.parametrize(("accent", "theme"), EVERY)
def test_intensity_is_even_and_the_hardest_is_the_darkest_on_every_paper(accent, theme):
    found = palette.colours(accent, theme)
    lightness = [lightness_chroma_hue(found[f"z{step}"])[0] for step in "12345"]
    np.testing.assert_allclose(np.diff(lightness), np.diff(lightness).mean(), atol=0.01)
    assert lightness == sorted(lightness, reverse=True)
    assert contrast(found["z5"], found["paper"]) >= palette.LINE_CONTRAST
    assert contrast(found["accent"], found["field"]) >= palette.LINE_CONTRAST, "lines are seen on a wash"
    assert contrast(found["ink"], found["field"]) >= palette.TEXT_CONTRAST


def test_every_drawn_colour_stands_for_one_role():
    drawn = [
        palette.PAPER,
        palette.INK,
        palette.MUTED,
        palette.GREY,
        palette.RULE,
        palette.ACCENT,
        palette.WARM,
    ]
    assert [palette.ROLE_OF[c] for c in drawn] == ["paper", "ink", "muted", "grey", "rule", "accent", "warm"]
    assert [palette.ROLE_OF[c] for c in palette.ZONES] == ["z1", "z2", "z3", "z4", "z5"]


def test_an_accent_that_is_no_colour_is_refused():
    with pytest.raises(ReportProblem, match="written as 'teal'; needed is a # and six digits"):
        palette.colours("teal")


def test_lightness_chroma_and_hue_of_the_primary_colours():
    """Ottosson's own table for sRGB primaries in OKLCh, from memory, to three digits."""
    assert lightness_chroma_hue("#ff0000") == pytest.approx((0.628, 0.258, np.radians(29.2)), abs=2e-3)
    assert lightness_chroma_hue("#00ff00") == pytest.approx((0.866, 0.295, np.radians(142.5)), abs=2e-3)
    assert lightness_chroma_hue("#0000ff")[:2] == pytest.approx((0.452, 0.313), abs=2e-3)


def test_contrast_of_a_printed_example():
    """W3C (2018), WCAG 2.1 techniques, G18: #767676 on white is just above 4.5 (from memory)."""
    assert 4.5 <= contrast("#767676", "#ffffff") < 4.6
    assert contrast("#777777", "#ffffff") < 4.5


def test_colours_no_screen_has_keep_their_lightness():
    assert lightness_chroma_hue(colour_of(0.9, 0.4, 0.5))[0] == pytest.approx(0.9, abs=0.01)
    assert len(set(ramp("#0f5e63", lightest=0.9, darkest=0.3, steps=7))) == 7

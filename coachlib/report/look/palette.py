"""The few colours of a letter: ink on paper, grey for context, one accent, one warm accent.

A chart is drawn with the constants of this module. They are names more than colours: the finished page
gives each its value for light, dark and print, and for the accent that the roster asks for.
"""

import re
from collections.abc import Mapping
from types import MappingProxyType

from coachlib.errors import ReportProblem
from coachlib.report.look import colour

#: The accent of a roster that names none.
DEFAULT_ACCENT = "#0f5e63"

#: Least contrast of text and of lines with what they stand on.  W3C (2018), Web Content Accessibility
#: Guidelines 2.1, success criteria 1.4.3 and 1.4.11.
TEXT_CONTRAST, LINE_CONTRAST = 4.5, 3.0

THEMES = ("light", "dark", "print")

_FIXED = {
    "light": {"paper": "#fdfcf9", "ink": "#1d1b18", "muted": "#625d55", "grey": "#8d877d", "rule": "#dedad2"},
    "dark": {"paper": "#181715", "ink": "#ebe7e0", "muted": "#b3ada3", "grey": "#8a847a", "rule": "#3d3a36"},
    "print": {"paper": "#ffffff", "ink": "#000000", "muted": "#4d4943", "grey": "#857f75", "rule": "#cfcbc3"},
}
#: An accent glows on dark paper only when it is well above the least contrast of text.
_ACCENT_CONTRAST = {"light": TEXT_CONTRAST, "dark": 6.5, "print": TEXT_CONTRAST}
_WARM = {"light": "#b0440f", "dark": "#f39a63", "print": "#a63f0d"}
#: Lightness of the first and the fifth zone.  The hardest is the darkest in every theme; on dark paper it still stands out
#: from the paper as a line does.
_FIRST_TO_FIFTH = {"light": (0.91, 0.35), "dark": (0.87, 0.55), "print": (0.91, 0.35)}
#: Lightness of a wash behind lines: a band of doubt, a window.
_FIELD = {"light": 0.92, "dark": 0.36, "print": 0.92}


def colours(accent: str = DEFAULT_ACCENT, theme: str = "light") -> Mapping[str, str]:
    """Every colour of one theme by its role.

    Parameters
    ----------
    accent : str
        The roster's accent as ``#rrggbb``; its lightness is changed where text in it could not be read.
    theme : str
        One of ``THEMES``.

    Returns
    -------
    mapping
        ``paper``, ``ink``, ``muted`` (small text), ``grey`` (context lines), ``rule`` (hairlines),
        ``accent``, ``warm`` (look here), ``field`` (a wash behind lines), ``z1`` to ``z5`` (intensity, pale to
        dark on every paper) and ``t1`` to ``t5`` (text set on them).

    Raises
    ------
    ReportProblem
        When the accent is not written as ``#rrggbb``.

    Notes
    -----
    Contrasts as in ``TEXT_CONTRAST`` and ``LINE_CONTRAST``.

    Examples
    --------
    >>> colours()["accent"], colours("#7a2e8a", "dark")["paper"]
    ('#0f5e63', '#181715')
    """
    if not re.fullmatch("#[0-9a-fA-F]{6}", accent):
        raise ReportProblem(
            f"the letters' accent colour is written as {accent!r}; needed is a # and six digits or letters a "
            f"to f, such as {DEFAULT_ACCENT}. Correct `accent` in roster.toml."
        )
    fixed = _FIXED[theme]
    first, fifth = _FIRST_TO_FIFTH[theme]
    zones = colour.ramp(accent, lightest=first, darkest=fifth, steps=5)
    pair = (fixed["ink"], fixed["paper"], "#ffffff")
    on_zones = [max(pair, key=lambda text: colour.contrast(text, zone)) for zone in zones]
    return MappingProxyType(
        {
            **fixed,
            "accent": colour.legible(accent.lower(), fixed["paper"], at_least=_ACCENT_CONTRAST[theme]),
            "warm": _WARM[theme],
            "field": colour.ramp(accent, lightest=_FIELD[theme], darkest=fifth, steps=2)[0],
            **{f"z{i}": zone for i, zone in enumerate(zones, start=1)},
            **{f"t{i}": text for i, text in enumerate(on_zones, start=1)},
        }
    )


_DRAWN = colours()
PAPER, INK, MUTED, GREY, RULE = (_DRAWN[role] for role in ("paper", "ink", "muted", "grey", "rule"))
ACCENT, WARM, FIELD = _DRAWN["accent"], _DRAWN["warm"], _DRAWN["field"]
#: Intensity in five steps; for three (below, between, above) take the first, third and fifth.
ZONES = tuple(_DRAWN[f"z{i}"] for i in range(1, 6))

#: Which role a colour in a drawing stands for.
ROLE_OF = MappingProxyType({value: role for role, value in _DRAWN.items() if not role.startswith("t")})


def palette_css(selector: str, accent: str = DEFAULT_ACCENT, theme: str = "light") -> str:
    """The rule that gives every colour of one theme its value, as variables such as ``--ink``.

    Examples
    --------
    >>> palette_css(".letter").startswith(".letter{--paper:#fdfcf9;--ink:#1d1b18;")
    True
    """
    values = "".join(f"--{role}:{value};" for role, value in colours(accent, theme).items())
    return f"{selector}{{{values}}}"

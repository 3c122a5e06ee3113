"""The look of the desk's pages: the letters' colours and type, and what ready-made widgets ask for."""

from functools import cache
from pathlib import Path

from coachlib.report.look.palette import DEFAULT_ACCENT, palette_css

_SHEET = Path(__file__).parent / "desk.css"
#: The page, and the pieces of letters on it, which bring the colours of JupyterLab's own switch with them.
_WHERE = ":root,body.desk .letter,body.desk .letter .card"


@cache
def desk_style(accent: str = DEFAULT_ACCENT) -> str:
    """Style of a page of the desk: light, and dark where the reader's device is dark.

    Examples
    --------
    >>> desk_style().startswith(":root,body.desk .letter,body.desk .letter .card{--paper:#fdfcf9;")
    True
    """
    dark = palette_css(_WHERE, accent, "dark")
    return (
        palette_css(_WHERE, accent)
        + f"@media(prefers-color-scheme:dark){{{dark}}}"
        + _SHEET.read_text(encoding="utf-8")
    )

"""What every panel needs of the page around it: its keys, its address, and a word when its process is gone."""

from pathlib import Path
from typing import Any

import anywidget
import ipywidgets
import traitlets

_SCREEN = Path(__file__).parent / "page_keeper.js"


class PageKeeper(anywidget.AnyWidget):
    """Shows nothing while all is well.

    Keys pressed in the panel stay there: in JupyterLab, ``d`` pressed twice deletes a cell.  At the desk the
    address and the line of places follow what is chosen.  Where the process behind the panel is gone, the panel
    is covered, with a way on; text that was typed and is not ``kept`` yet is typed again by the next page.

    Parameters
    ----------
    **chosen : Widget
        ``athlete``, ``recording``, ``week``: the lists they are chosen from.

    Notes
    -----
    Ready-made widgets do none of the three.

    Examples
    --------
    >>> lists = {"athlete": ipywidgets.Dropdown(options=["ilva", "mira"], value="ilva")}
    >>> keeper = PageKeeper(**lists)
    >>> lists["athlete"].value = "mira"
    >>> keeper.subject
    {'athlete': 'mira'}
    """

    _esm = _SCREEN.read_text(encoding="utf-8")
    subject = traitlets.Dict().tag(sync=True)
    #: Text as it lies on disk, by the name that its field has as a class, ``coach-kept-NAME``.
    kept = traitlets.Dict().tag(sync=True)

    def __init__(self, **chosen: ipywidgets.Widget) -> None:
        super().__init__()
        self._chosen = chosen
        for each in chosen.values():
            each.observe(self._follow, "value")
        self._follow(None)

    def go(self, address: str) -> None:
        """Lead the browser to another page of the desk; in JupyterLab the page stays where it is."""
        self.send({"go": address})

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return "the page keeper"

    def _follow(self, _: Any) -> None:
        values = {name: each.value for name, each in self._chosen.items()}
        self.subject = {
            name: value.stem if isinstance(value, Path) else str(value)
            for name, value in values.items()
            if value is not None
        }

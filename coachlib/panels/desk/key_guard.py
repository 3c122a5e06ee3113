"""Keeps keys that are pressed in a panel away from JupyterLab: there, d pressed twice deletes the cell."""

from pathlib import Path

import anywidget

_HELPERS = Path(__file__).parents[1] / "recording" / "screen" / "1_helpers.js"


class KeyGuard(anywidget.AnyWidget):
    """Shows nothing, and guards everything in the same cell's output.

    Put one into every panel that is made of ready-made widgets; the trace editor guards itself.

    Source
    ------
    This project's own choice: ready-made widgets let plain keys through.

    Examples
    --------
    >>> KeyGuard()
    the key guard
    """

    _esm = (
        _HELPERS.read_text(encoding="utf-8")
        + "export default { render({ el }) {\n"
        + "  requestAnimationFrame(() => guardKeys(el.closest('.jp-OutputArea')));\n"
        + "} };\n"
    )

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return "the key guard"

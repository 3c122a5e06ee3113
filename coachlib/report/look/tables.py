"""Small tables of a letter."""

from collections.abc import Sequence

from coachlib.errors import BadArgument
from coachlib.report.look.text import escape


def table(head: Sequence[str], rows: Sequence[Sequence[object]], *, caption: str) -> str:
    """Set rows of ready-made text as a table; the first cell of a row names the row.

    Parameters
    ----------
    head : sequence of str
        One name a column, with its unit; "" for a column that needs none, such as that of the rows' names.
    rows : sequence of sequences
        Cells as they shall be read, worded and rounded already; everything is escaped.
    caption : str
        What the table shows, in one line.

    Returns
    -------
    str
        HTML with a caption and ``scope`` on every head cell that says something.

    Raises
    ------
    BadArgument
        When a row has more or fewer cells than the head.

    Source
    ------
    W3C (2018). Web Content Accessibility Guidelines 2.1, technique H63 (scope). Taking rows and names
    instead of a data frame is this project's own choice: no column can slip into a letter unnamed.

    Examples
    --------
    >>> table(["Day", "min"], [["Mon", 30]], caption="Minutes a day")[:55]
    '<table><caption>Minutes a day</caption><thead><tr><th s'
    """
    for number, row in enumerate(rows, start=1):
        if len(row) != len(head):
            raise BadArgument(
                f"row {number} of the table {caption!r} has {len(row)} cells; its head has {len(head)}. "
                "Give every row a cell for each column."
            )
    top = "".join(f'<th scope="col">{escape(name)}</th>' if name else "<td></td>" for name in head)
    body = "".join(f"<tr>{_row(row)}</tr>" for row in rows)
    name = f"<caption>{escape(caption)}</caption>"
    return f"<table>{name}<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"


def _row(row: Sequence[object]) -> str:
    """The cells of one row, the first as its name."""
    name, *cells = row
    return f'<th scope="row">{escape(name)}</th>' + "".join(f"<td>{escape(cell)}</td>" for cell in cells)

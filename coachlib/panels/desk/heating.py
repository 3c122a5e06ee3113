"""What a warm process has done before a page takes it: everything imported, one chart drawn."""


def heat() -> None:
    """Import what any workbook needs, and draw once, since the first drawing costs a second.

    Source
    ------
    This project's own choice.
    """
    import altair as alt
    import pandas as pd

    from coachlib.report.figures.renderer import svg_of

    dot = alt.Chart(pd.DataFrame({"x": [1.0]}), description="One dot").mark_point().encode(x="x:Q")
    svg_of(dot)

"""What the coach planned for the week after the season, one row a session or day of rest.

Ilva goes on as she did.  The others differ from the week before for what the call sheet says of them: Tobin is tested
again, since his threshold is from before his illness; Nadja's easy days are kept slow and one is left out; Aldous rests
his knee; Wenna does her first, shorter test.
"""


def _row(
    day: int, target: str, minutes: int | None, words: str, *, kind: str = "", sport: str = ""
) -> dict[str, str]:
    """A planned row of a diary, in November 2026."""
    return {
        "date": f"2026-11-{day}",
        "sport": sport,
        "planned": words,
        "planned_min": "" if minutes is None else str(minutes),
        "target": target,
        "kind": kind,
    }


AHEAD = {
    "ilva": [
        _row(24, "easy", 50, "easy 50"),
        _row(26, "easy", 45, "easy 45"),
        _row(28, "strides", 40, "easy 40, then 6 x 20 s quick and loose"),
        _row(29, "long", 85, "long 85"),
    ],
    "tobin": [
        _row(24, "easy", 60, "easy 60"),
        _row(26, "easy", 45, "easy 45, only if you woke up well"),
        _row(27, "rest", None, "rest"),
        _row(28, "test", 80, "the September hour again, 185 W, trainer, fan", kind="drift test"),
        _row(29, "easy", 60, "easy 60, flat"),
    ],
    "nadja": [
        _row(24, "easy", 45, "easy 45, tape over the display"),
        _row(26, "easy", 45, "easy 45 at Sunday's watts"),
        _row(28, "rest", None, "rest, for the back"),
        _row(29, "long", 65, "long 65"),
    ],
    "aldous": [
        _row(24, "rest", None, "knee up"),
        _row(26, "easy", 45, "flat round by the river, no poles needed", sport="hiking"),
        _row(
            29,
            "easy",
            60,
            "gentle skins to the first hut, only with a quiet knee",
            sport="cross-country skiing",
        ),
    ],
    "wenna": [
        _row(24, "easy", 30, "easy 30, walk the steep bits"),
        _row(26, "strength", 20, "the four exercises I showed you"),
        _row(28, "test", 45, "first test on the office belt, talking all the way", kind="drift test"),
    ],
}

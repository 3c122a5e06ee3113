"""Sports in words of the trade, from the names that recordings carry.

Source
------
The names: the open FIT profile's lists ``sport`` and ``sub_sport``.  The words: common practice, no source.
"""

from functools import cache

#: Where a recording does not tell.
NOT_NAMED = "sport not named"
#: What needs another word than its name in the profile: (sport, sub-sport), or a sub-sport alone under "".
_WORDS = {
    ("running", "treadmill"): "treadmill",
    ("running", "indoor_running"): "indoor running",
    ("running", "street"): "road running",
    ("running", "trail"): "trail running",
    ("running", "track"): "track running",
    ("walking", "treadmill"): "walking on a treadmill",
    ("walking", "indoor_walking"): "indoor walking",
    ("cycling", "road"): "road cycling",
    ("cycling", "mountain"): "mountain biking",
    ("cycling", "gravel_cycling"): "gravel cycling",
    ("cycling", "track_cycling"): "track cycling",
    ("cycling", "cyclocross"): "cyclocross",
    ("cycling", "hand_cycling"): "hand cycling",
    ("cycling", "virtual_activity"): "indoor bicycle",
    ("", "indoor_cycling"): "indoor bicycle",
    ("", "spin"): "indoor bicycle",
    ("", "indoor_rowing"): "rowing machine",
    ("", "elliptical"): "elliptical trainer",
    ("", "stair_climbing"): "stair climber",
    ("", "strength_training"): "strength training",
    ("", "cardio_training"): "cardio training",
    ("", "flexibility_training"): "stretching",
    ("", "lap_swimming"): "pool swimming",
    ("", "open_water"): "open-water swimming",
    ("", "skate_skiing"): "cross-country skiing, skating",
    ("fitness_equipment", ""): "fitness machine",
    ("cross_country_skiing", ""): "cross-country skiing",
    ("alpine_skiing", ""): "alpine skiing",
    ("e_biking", ""): "e-bike",
    ("stand_up_paddleboarding", ""): "stand-up paddling",
    ("hiit", ""): "interval training",
    ("transition", ""): "change of sport",
    ("multisport", ""): "several sports",
    ("training", ""): "training without a named sport",
    ("generic", ""): NOT_NAMED,
    ("all", ""): NOT_NAMED,
    ("", ""): NOT_NAMED,
}
#: Sub-sports that say nothing.
_PLAIN = frozenset({"", "generic", "all", "invalid"})


def sport_in_words(sport: str, sub_sport: str = "") -> str:
    """What a coach calls a sport.

    Parameters
    ----------
    sport, sub_sport : str
        As recordings carry them; "" where unknown.

    Examples
    --------
    >>> sport_in_words("fitness_equipment", "indoor_rowing"), sport_in_words("running"), sport_in_words("")
    ('rowing machine', 'running', 'sport not named')
    >>> sport_in_words("inline_skating"), sport_in_words("cycling", "spin"), sport_in_words("running", "odd_one")
    ('inline skating', 'indoor bicycle', 'running')
    """
    sub = "" if sub_sport in _PLAIN else sub_sport
    return (
        _WORDS.get((sport, sub)) or _WORDS.get(("", sub), "") * bool(sub)
        or _WORDS.get((sport, "")) or sport.replace("_", " ")
    )  # fmt: skip


@cache
def _names() -> dict[str, str]:
    return {words: sport for (sport, sub), words in reversed(_WORDS.items()) if sport and not sub}


def sport_from_words(said: str) -> str:
    """The name that recordings carry for a sport as a person writes it.

    Examples
    --------
    >>> sport_from_words("Cross-country skiing"), sport_from_words("running"), sport_from_words("nordic walking")
    ('cross_country_skiing', 'running', 'nordic walking')
    """
    plain = " ".join(said.casefold().split())
    return _names().get(plain, plain)

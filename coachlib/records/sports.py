"""Sports that count as one where heart rate, output and thresholds are compared."""

#: Sports whose energy cost on a slope follows the running or walking polynomials of Minetti et al. 2002.
RUNNING_SPORTS = frozenset({"running", "trail_running"})
WALKING_SPORTS = frozenset({"walking", "hiking", "mountaineering"})


def sport_family(sport: str) -> str:
    """The sport whose tests and thresholds belong together: running on road, trail or belt is one, walking another.

    Examples
    --------
    >>> sport_family("trail_running"), sport_family("hiking"), sport_family("Rowing")
    ('running', 'walking', 'rowing')
    """
    named = sport.strip().casefold()
    if named in RUNNING_SPORTS:
        return "running"
    return "walking" if named in WALKING_SPORTS else named


def same_sport(one: str, other: str) -> bool:
    """Whether two sports are one.

    Examples
    --------
    >>> same_sport("trail_running", "running"), same_sport("running", "walking")
    (True, False)
    """
    return sport_family(one) == sport_family(other)

"""Numbers and counts inside the sentences of findings."""

import numpy as np


def clock(seconds: float) -> str:
    """Elapsed time as hours and minutes."""
    return f"{int(seconds // 3600)}:{int(seconds // 60 % 60):02d}"


def number(value: float) -> str:
    """One decimal, half a step away from zero, with a true minus and no negative zero."""
    rounded = np.sign(value) * np.floor(abs(value) * 10 + 0.5 + 1e-9) / 10
    return f"{rounded + 0.0:.1f}".replace("-0.0", "0.0").replace("-", "\N{MINUS SIGN}")


def plural(count: int, one: str, many: str) -> str:
    """A count with its noun."""
    return f"{count} {one if count == 1 else many}"


def capital(sentence: str) -> str:
    """The sentence with a capital to begin with."""
    return sentence[:1].upper() + sentence[1:]

"""How training spreads over the three domains, and what the literature calls the pattern."""

import math

from coachlib.errors import BadArgument

#: Put in for an empty middle domain, so that the index exists.  Treff G et al. (2019), from memory.
EMPTY_MIDDLE_FRAC = 0.01
#: Above this the index alone says polarized.  Treff G et al. (2019).
POLARIZED_INDEX = 2.0


def polarization_index(below_frac: float, between_frac: float, above_frac: float) -> float | None:
    """Polarization index of a distribution given as fractions.

    Parameters
    ----------
    below_frac, between_frac, above_frac : float
        Shares of the time in the three domains; they sum to 1.

    Returns
    -------
    float or None
        log10(below / between * above * 100); 0 without any time above, None where more lies above than
        below.

    Raises
    ------
    BadArgument
        When the shares are no fractions that sum to 1.

    Source
    ------
    Treff G, Winkert K, Sareban M, Steinacker JM, Sperlich B (2019), Front Physiol 10:707,
    doi 10.3389/fphys.2019.00707; the rules for an empty domain are from memory.

    Examples
    --------
    >>> polarization_index(0.75, 0.08, 0.17)
    2.2024
    """
    _check(below_frac, between_frac, above_frac)
    if above_frac > below_frac:
        return None
    if above_frac <= 0:
        return 0.0
    return math.log10(below_frac / (between_frac or EMPTY_MIDDLE_FRAC) * above_frac * 100)


def distribution_type(below_frac: float, between_frac: float, above_frac: float) -> str:
    """What a distribution is called: "pyramidal", "polarized", "threshold", else "none".

    Source
    ------
    Pyramidal: below > between > above; polarized: below > above > between; threshold: between largest.
    Sperlich B et al. (2023), Front Sports Act Living, doi 10.3389/fspor.2023.1258585; Treff et al. (2019).

    Examples
    --------
    >>> distribution_type(0.75, 0.08, 0.17), distribution_type(0.80, 0.15, 0.05)
    ('polarized', 'pyramidal')
    """
    _check(below_frac, between_frac, above_frac)
    if between_frac > max(below_frac, above_frac):
        return "threshold"
    if below_frac > between_frac > above_frac:
        return "pyramidal"
    if below_frac > above_frac > between_frac:
        return "polarized"
    return "none"


def _check(*shares: float) -> None:
    if min(shares) < 0 or abs(sum(shares) - 1) > 0.01:
        raise BadArgument(
            f"a distribution needs three fractions that sum to 1; found {', '.join(f'{s:g}' for s in shares)}. "
            "Divide the minutes by their sum; per cent are no fractions."
        )

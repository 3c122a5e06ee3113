"""Colour arithmetic: contrast, and even steps of lightness in one hue.

Source of the space
    Ottosson, B. (2020). A perceptual color space for image processing.
    https://bottosson.github.io/posts/oklab/ (matrices as printed there).
"""

import numpy as np

_TO_CONES = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_TO_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])


def _linear(colour: str) -> np.ndarray:
    """Linear red, green and blue of a ``#rrggbb`` colour, 0 to 1."""
    coded = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def _coded(linear: np.ndarray) -> str:
    """The ``#rrggbb`` colour of linear red, green and blue."""
    inside = np.clip(linear, 0, 1)
    coded = np.where(inside <= 0.0031308, 12.92 * inside, 1.055 * inside ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(part * 255):02x}" for part in coded)


def lightness_chroma_hue(colour: str) -> tuple[float, float, float]:
    """Lightness (0 to 1), chroma and hue [rad] of a ``#rrggbb`` colour.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> lightness_chroma_hue("#ffffff")[0]
    1.000
    """
    lightness, a, b = _TO_LAB @ np.cbrt(_TO_CONES @ _linear(colour))
    return float(lightness), float(np.hypot(a, b)), float(np.arctan2(b, a))


def colour_of(lightness: float, chroma: float, hue: float) -> str:
    """The ``#rrggbb`` colour of a lightness, a chroma and a hue; chroma gives way where no screen has it.

    Source
    ------
    See the module's docstring. Lowering chroma alone keeps the lightness, on which legibility rests:
    this project's own choice.

    Examples
    --------
    >>> colour_of(*lightness_chroma_hue("#0f5e63"))
    '#0f5e63'
    """
    for share in np.linspace(1, 0, 41):
        lab = np.array([lightness, share * chroma * np.cos(hue), share * chroma * np.sin(hue)])
        linear = np.linalg.solve(_TO_CONES, np.linalg.solve(_TO_LAB, lab) ** 3)
        if linear.min() > -1e-3 and linear.max() < 1 + 1e-3:
            break
    return _coded(linear)


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two ``#rrggbb`` colours, 1 to 21.

    Source
    ------
    W3C (2018). Web Content Accessibility Guidelines 2.1, definitions of contrast ratio and relative
    luminance.

    Examples
    --------
    >>> contrast("#000000", "#ffffff")
    21.0
    """
    brighter, darker = sorted((float(_LUMINANCE @ _linear(c)) for c in (first, second)), reverse=True)
    return (brighter + 0.05) / (darker + 0.05)


def legible(colour: str, on: str, *, at_least: float) -> str:
    """The colour of the same hue, nearest in lightness, that has a contrast on another colour.

    Notes
    -----
    A coach's accent keeps its hue and gives up lightness first.

    Examples
    --------
    >>> legible("#0f5e63", "#ffffff", at_least=4.5)
    '#0f5e63'
    >>> contrast(legible("#ffdd00", "#ffffff", at_least=4.5), "#ffffff") >= 4.5
    True
    """
    lightness, chroma, hue = lightness_chroma_hue(colour)
    away = -0.01 if lightness_chroma_hue(on)[0] > 0.5 else 0.01
    while contrast(colour, on) < at_least:
        lightness += away
        colour = colour_of(lightness, chroma, hue)
    return colour


def ramp(colour: str, *, lightest: float, darkest: float, steps: int) -> tuple[str, ...]:
    """Colours of one hue in even steps of lightness, paler ones with less chroma.

    Parameters
    ----------
    colour : str
        Gives the hue and, at middling lightness, the chroma, as ``#rrggbb``.
    lightest, darkest : float
        Lightness of the first and the last step, 0 to 1.
    steps : int
        How many colours.

    Source
    ------
    This project's own choice, in the space named in the module's docstring, whose lightness is even
    to the eye. Order does not rest on hue, so colour blindness does not disturb it.

    Examples
    --------
    >>> [round(lightness_chroma_hue(c)[0], 2) for c in ramp("#0f5e63", lightest=0.9, darkest=0.3, steps=3)]
    [0.9, 0.6, 0.3]
    """
    _, chroma, hue = lightness_chroma_hue(colour)
    evenly = np.linspace(lightest, darkest, steps)
    return tuple(colour_of(step, chroma * (1 - 3.6 * (step - 0.5) ** 2), hue) for step in evenly)

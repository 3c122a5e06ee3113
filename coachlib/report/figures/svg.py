"""Drawings cleaned for a page: small, without scripts or links, in the page's own colours."""

import hashlib
import re
import xml.etree.ElementTree as ET

from coachlib.errors import ReportProblem
from coachlib.report.look.palette import ROLE_OF
from coachlib.report.look.text import clean_text

_SVG = "{http://www.w3.org/2000/svg}"
_PARTS = frozenset({"svg", "g", "path", "line", "rect", "circle", "text", "tspan", "defs", "clipPath"})
_PLACES = ("transform", "d", "x", "y", "x1", "x2", "y1", "y2", "r", "cx", "cy", "width", "height")
_KEPT = (
    *_PLACES,
    *("fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "stroke-linejoin"),
    *("opacity", "fill-opacity", "stroke-opacity", "clip-path", "id", "dx", "dy"),
    *("font-size", "font-weight", "font-style", "text-anchor"),
)
_DECIMAL = re.compile(r"-?\d*\.\d+(?:e-?\d+)?|-?\d+e-?\d+")
#: Marks too long to be pointed at: a name on them would be that of their first point.
_UNNAMED = ("line mark", "area mark", "trail mark", "text mark", "rule mark")


def clean_svg(drawing: str, *, description: str) -> str:
    """Clean a chart drawn as SVG, so that it can stand inside a page.

    Colours of the palette become classes such as ``f-accent`` and ``s-rule``; a drawing with any other
    colour gets the class ``card``, under which the page keeps its light values.

    Parameters
    ----------
    drawing : str
        The whole SVG, with its size.
    description : str
        What the drawing shows, in words, for a reader who does not see it.

    Returns
    -------
    str
        One ``svg`` element: ``viewBox`` without a size, role and label, names of marks as ``title``,
        coordinates to a tenth; without hidden parts, fonts, links, pictures and background.

    Raises
    ------
    ReportProblem
        When the drawing holds a picture, a link or anything else than plain shapes and text.

    Source
    ------
    W3C (2018). Scalable Vector Graphics 2. What is kept is this project's own choice.

    Examples
    --------
    >>> raw = '<svg xmlns="http://www.w3.org/2000/svg" width="20" height="9" viewBox="0 0 20 9">'
    >>> clean_svg(raw + '<rect width="4.0312" fill="#1d1b18"/></svg>', description="one bar")[-70:]
    'role="img" aria-label="one bar"><rect width="4" class="f-ink" /></svg>'
    """
    root = ET.fromstring(drawing)
    view = root.get("viewBox", "")
    foreign = _clean(root)
    root.attrib = {
        "class": "chart card" if foreign else "chart",
        "viewBox": _rounded(view),
        "role": "img",
        "aria-label": clean_text(description),
    }
    text = ET.tostring(root, encoding="unicode").replace(' xmlns="http://www.w3.org/2000/svg"', "")
    return _own_ids(text)


def _clean(part: ET.Element) -> bool:
    """Clean an element and all below it; True when a colour outside the palette was met."""
    name = part.tag.removeprefix(_SVG)
    if name not in _PARTS:
        raise ReportProblem(
            f"a chart holds a {name!r} element; a letter's charts are made of plain shapes and text, without "
            "pictures, links or gradients. Draw it without."
        )
    part.tag = name
    title = _mark_name(part)
    foreign = _clean_attributes(part)
    children: list[ET.Element] = []
    for child in part:
        foreign = _clean(child) or foreign
        if name == "clipPath" or not _is_ghost(child):
            children.extend(child if child.tag == "g" and not child.attrib else [child])
    part[:] = children
    if title and len(part) == 0 and name != "text":
        ET.SubElement(part, "title").text = title
    if name not in ("text", "tspan"):
        part.text = None
    for child in part:
        child.tail = None if name not in ("text", "tspan") else child.tail
    return foreign


def _mark_name(part: ET.Element) -> str:
    """What a single mark says about itself, empty for axes, frames and long lines."""
    kind = part.get("aria-roledescription", "")
    named = part.get("role") == "graphics-symbol" and kind not in (*_UNNAMED, "axis", "legend", "title")
    return part.get("aria-label", "") if named else ""


def _clean_attributes(part: ET.Element) -> bool:
    """Keep what a plain shape needs, turn colours into classes; True when one is not of the palette."""
    kept: dict[str, str] = {}
    classes = []
    foreign = False
    for name in _KEPT:
        value = part.get(name)
        if value is None:
            continue
        if name in ("fill", "stroke") and value not in ("none", "transparent"):
            role = ROLE_OF.get(value.lower())
            if role:
                classes.append(f"{name[0]}-{role}")
                continue
            foreign = True
        kept[name] = _rounded(value) if name in _PLACES else value.removesuffix("px")
    part.attrib.clear()
    part.attrib.update({name: value for name, value in kept.items() if not _says_nothing(name, value)})
    if classes:
        part.set("class", " ".join(classes))
    return foreign


def _says_nothing(name: str, value: str) -> bool:
    """Whether an attribute can be left out without a change to the drawing."""
    return (name, value) in {
        ("transform", "translate(0,0)"),
        ("opacity", "1"),
        ("font-weight", "normal"),
        ("stroke", "none"),
        ("stroke-width", "1"),
        ("text-anchor", "start"),
    }


def _is_ghost(part: ET.Element) -> bool:
    """Whether a part leaves no mark: see-through, empty, or without fill and stroke."""
    if part.get("opacity") == "0":
        return True
    if part.tag in ("g", "defs", "clipPath"):
        return len(part) == 0
    if part.tag in ("text", "tspan"):
        return not "".join(part.itertext()).strip()
    return "class" not in part.attrib and part.get("fill", "none") == "none" and "stroke" not in part.attrib


def _rounded(value: str) -> str:
    """The numbers of an attribute to a tenth of a unit."""
    return _DECIMAL.sub(lambda found: f"{round(float(found[0]), 1) + 0.0:g}", value)


def _own_ids(text: str) -> str:
    """Name the parts of a drawing anew: by count, so that it is the same each time, and by content.

    Several drawings share a page, and the renderer counts on from one drawing to the next.
    """
    for count, name in enumerate(dict.fromkeys(re.findall(r' id="([\w-]+)"', text))):
        text = re.sub(rf'( id="|url\(#){name}(?=["\)])', rf"\g<1>part{count}", text)
    ending = hashlib.sha256(text.encode()).hexdigest()[:8]
    return re.sub(r'( id="|url\(#)(part\d+)(?=["\)])', rf"\g<1>\g<2>-{ending}", text)

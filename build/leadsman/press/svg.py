"""Pictures: an SVG is taken apart and only known, harmless parts come back, with its text alternative.

A picture file can name outside resources, carry scripts or expand entities without end. Nothing of
that is repaired: the picture is refused, with the reason.
"""

from __future__ import annotations

import re
from typing import Any

import tinycss2  # type: ignore[import-untyped]
from lxml import etree  # type: ignore[import-untyped]

from leadsman.errors import OutputError
from leadsman.press.fonts import FAMILIES, TEXT

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
LARGEST_BYTES = 5_000_000
MOST_ELEMENTS = 100_000

_ELEMENT_NAMES = """
    svg g defs title desc path rect circle ellipse line polyline polygon text tspan use symbol marker
    clipPath mask linearGradient radialGradient stop pattern style
"""
ELEMENTS = frozenset(_ELEMENT_NAMES.split())

#: Style properties that may also be written as attributes (SVG 1.1, appendix N, property index).
_PROPERTY_NAMES = """
    alignment-baseline baseline-shift clip-path clip-rule color color-interpolation direction display
    dominant-baseline fill fill-opacity fill-rule font-family font-size font-stretch font-style
    font-variant font-weight image-rendering letter-spacing marker-end marker-mid marker-start mask
    opacity overflow shape-rendering stop-color stop-opacity stroke stroke-dasharray stroke-dashoffset
    stroke-linecap stroke-linejoin stroke-miterlimit stroke-opacity stroke-width text-anchor
    text-decoration text-rendering visibility word-spacing writing-mode
"""
PROPERTIES = frozenset(_PROPERTY_NAMES.split())

#: Carry no picture; drawing programs and plotting libraries leave them.
DROPPED = frozenset(["metadata"])

_LOCAL_URL = re.compile(r"url\(\s*(['\"]?)#[\w.:-]+\1\s*\)")
_UNIVERSAL_RULE = re.compile(r"\s*\*\s*\{([^{}@\\]*)\}\s*")
#: The standard's own document type line, which plotting libraries write; taken out before parsing.
_STANDARD_DOCTYPE = re.compile(
    r'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1\.1//EN"\s+"http://www\.w3\.org/Graphics/SVG/1\.1/DTD/svg11\.dtd">'
)
_NAME = re.compile(r"[A-Za-z][\w-]*")


def safe_svg(
    source: str | bytes,
    *,
    name: str,
    title: str | None = None,
    families: frozenset[str] = FAMILIES,
    default_family: str = TEXT,
) -> str:
    """The picture as inline SVG that loads nothing, runs nothing and says what it shows.

    Parameters
    ----------
    source
        The SVG file, as text or UTF-8 bytes.
    name
        Prefix of every id in the result, so that two pictures in one document do not collide.
    title
        The text alternative; by default the picture's own ``<title>``, which must then exist.
    families, default_family
        The font families that its text may name, and the one it gets where it names none.

    Returns
    -------
    str
        ``<svg>`` with the role ``img`` and its ``<title>`` first, without XML declaration.

    Raises
    ------
    OutputError
        The picture holds a document type, a script, an outside reference, an unknown element or
        font, or has no title.

    Examples
    --------
    >>> print(safe_svg('<svg xmlns="http://www.w3.org/2000/svg"><rect width="9"/></svg>',
    ...                name="hull", title="Hull section"))
    <svg xmlns="http://www.w3.org/2000/svg" font-family="Leadsman Text" role="img"
     aria-labelledby="hull-title"><title id="hull-title">Hull section</title><rect width="9"/></svg>
    """
    if not _NAME.fullmatch(name):
        name = "picture-" + re.sub(r"[^\w-]", "-", name)
    root = _parse(source, name)
    _strip(root)
    for element in root.iter():
        _check_element(element, name)
    _check_expansion(root, name)
    _styles_to_attributes(root, name)
    _complete_paths(root)
    _prefix_ids(root, name)
    _set_title(root, name, title)
    _set_family(root, name, families, default_family)
    etree.cleanup_namespaces(root)
    return str(etree.tostring(root, encoding="unicode"))


def sized_by_page(svg: str) -> str:
    """The picture without its own width and height: the page gives it a place, and no mark pushes others off.

    Examples
    --------
    >>> sized_by_page('<svg width="900" height="600px" role="img"><rect width="9"/></svg>')
    '<svg role="img" viewBox="0 0 900 600"><rect width="9"/></svg>'
    >>> sized_by_page('<svg viewBox="0 0 3 2" width="90mm" height="60mm"><rect/></svg>')
    '<svg viewBox="0 0 3 2"><rect/></svg>'
    """
    tag, end, rest = svg.partition(">")
    own = dict(re.findall(r'\s(width|height)="([^"]*)"', tag))
    plain = [re.fullmatch(r"([\d.]+)(?:px)?", own.get(name, "")) for name in ("width", "height")]
    tag = re.sub(r'\s(?:width|height)="[^"]*"', "", tag)
    if "viewBox=" not in tag and all(plain):
        tag += ' viewBox="0 0 {} {}"'.format(*(found[1] for found in plain if found))
    return tag + end + rest


def _parse(source: str | bytes, name: str) -> Any:
    data = source.encode("utf-8") if isinstance(source, str) else source
    if len(data) > LARGEST_BYTES:
        raise OutputError(f"picture {name}: larger than {LARGEST_BYTES} bytes")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise OutputError(f"picture {name}: not UTF-8 text") from error
    text = _STANDARD_DOCTYPE.sub("", text, count=1)
    # Seen as text first: the parser never meets a document type, so no entity is ever expanded.
    if re.search(r"<!\s*(DOCTYPE|ENTITY)", text, re.IGNORECASE):
        raise OutputError(f"picture {name}: a document type (DOCTYPE) is not allowed")
    parser = etree.XMLParser(
        encoding="utf-8",
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        remove_comments=True,
        huge_tree=False,
    )
    try:
        root = etree.fromstring(text.encode("utf-8"), parser)
    except etree.XMLSyntaxError as error:
        raise OutputError(f"picture {name}: not well-formed: {error.msg}") from error
    # Only an instruction before or after the root element, such as xml-stylesheet, is left to find.
    if root.getprevious() is not None or root.getnext() is not None:
        raise OutputError(f"picture {name}: processing instructions are not allowed")
    if root.tag != f"{{{SVG}}}svg":
        raise OutputError(f"picture {name}: the root element is not <svg> in the SVG namespace")
    return root


def _strip(root: Any) -> None:
    """Remove what has no part in the picture: metadata, foreign elements and foreign attributes."""
    for element in list(root.iter(etree.Element)):
        namespace, _, tag = element.tag.rpartition("}")
        foreign = namespace != "{" + SVG
        # A foreign element inside a drawing element could be drawn elsewhere: that is refused below.
        if element is not root and (tag in DROPPED or (foreign and element.getparent() is root)):
            element.getparent().remove(element)
    for element in root.iter(etree.Element):
        for attribute in list(element.attrib):
            if attribute.startswith("{") and attribute != f"{{{XLINK}}}href":
                del element.attrib[attribute]
        target = element.attrib.pop(f"{{{XLINK}}}href", None)
        if target is not None and element.get("href") is None:
            element.set("href", target)


def _complete_paths(root: Any) -> None:
    """Give a path without data the empty one that the standard asks for: the drawing of a space."""
    for path in root.iter(f"{{{SVG}}}path"):
        if not (path.get("d") or "").strip():
            path.set("d", "M0 0")


def _check_element(element: Any, name: str) -> None:
    if not isinstance(element.tag, str):
        raise OutputError(f"picture {name}: processing instructions and entities are not allowed")
    namespace, _, tag = element.tag.rpartition("}")
    if namespace != "{" + SVG or tag not in ELEMENTS:
        raise OutputError(f"picture {name}: element <{tag}> is not allowed")
    for attribute, value in element.attrib.items():
        if attribute.lower().startswith("on"):
            raise OutputError(f"picture {name}: script attribute {attribute} is not allowed")
        if attribute == "href" and not re.fullmatch(r"#[\w.:-]+", value):
            raise OutputError(f"picture {name}: reference to '{value[:60]}' leads outside the picture")
        _check_style_text(value, name)
    if tag == "style":
        _check_style_text(element.text or "", name)


def _check_style_text(text: str, name: str) -> None:
    """Refuse every way by which a style value can load something."""
    rest = _LOCAL_URL.sub("", text)
    if re.search(r"url\s*\(|@|\\|expression\s*\(|image(-set)?\s*\(|javascript:", rest, re.IGNORECASE):
        raise OutputError(f"picture {name}: '{text.strip()[:60]}' may load something from outside")


def _check_expansion(root: Any, name: str) -> None:
    """Refuse a picture that draws itself, or that grows without measure, through nested ``<use>``."""
    by_id = {element.get("id"): element for element in root.iter() if element.get("id")}
    sizes: dict[str, int] = {}

    def size(element: Any, above: tuple[str, ...]) -> int:
        total = 0
        for part in element.iter(f"{{{SVG}}}use"):
            target = (part.get("href") or "").removeprefix("#")
            if target in above:
                raise OutputError(f"picture {name}: '#{target}' is drawn inside itself")
            if target in by_id and target not in sizes:
                drawn = by_id[target]
                sizes[target] = len(list(drawn.iter())) + size(drawn, (*above, target))
            total += sizes.get(target, 0)
        return total

    if size(root, ()) > MOST_ELEMENTS:
        raise OutputError(f"picture {name}: draws more than {MOST_ELEMENTS} parts through <use>")


def _styles_to_attributes(root: Any, name: str) -> None:
    """Write each style as attributes, a ``* {...}`` sheet as attributes of the root.

    Inline in a document, a style sheet would reach the whole of it, and the engine takes a style
    attribute for one of the page's own properties.
    """
    for sheet in list(root.iter(f"{{{SVG}}}style")):
        match = _UNIVERSAL_RULE.fullmatch(sheet.text or "")
        if not match:
            raise OutputError(f"picture {name}: a <style> with selectors is not allowed; use attributes")
        # The element's own style is the stronger one, so that it comes last.
        root.set("style", f"{match[1]};{root.get('style') or ''}")
        sheet.getparent().remove(sheet)
    for element in root.iter():
        for declaration in tinycss2.parse_declaration_list(
            element.attrib.pop("style", ""), skip_comments=True, skip_whitespace=True
        ):
            if declaration.type != "declaration":
                raise OutputError(f"picture {name}: a style is not well-formed: {declaration.message}")
            if declaration.lower_name == "font":
                raise OutputError(f"picture {name}: write font-family and font-size instead of font")
            # A property of one drawing program means nothing to others.
            if declaration.name.startswith("-"):
                continue
            if declaration.lower_name not in PROPERTIES:
                raise OutputError(
                    f"picture {name}: style property {declaration.name} has no place in a picture"
                )
            element.set(declaration.lower_name, tinycss2.serialize(declaration.value).strip())


def _prefix_ids(root: Any, name: str) -> None:
    ids = {element.get("id") for element in root.iter() if element.get("id")}

    def new(match: re.Match[str]) -> str:
        return f"#{name}-{match[1]}" if match[1] in ids else match[0]

    for element in root.iter():
        for attribute, value in element.attrib.items():
            if attribute == "id":
                element.set("id", f"{name}-{value}")
            elif attribute == "href" or "url(" in value:
                element.set(attribute, re.sub(r"#([\w.:-]+)", new, value))
        for attribute in ("aria-labelledby", "aria-describedby"):
            element.attrib.pop(attribute, None)


def _set_title(root: Any, name: str, title: str | None) -> None:
    own = root.find(f"{{{SVG}}}title")
    text = " ".join((title if title is not None else (own.text if own is not None else "") or "").split())
    if not text:
        raise OutputError(f"picture {name}: has no <title>; say in words what it shows")
    for element in list(root.iter(f"{{{SVG}}}title")):
        if element.getparent() is root:
            root.remove(element)
    head = etree.Element(f"{{{SVG}}}title", nsmap={None: SVG})
    head.text = text
    head.set("id", f"{name}-title")
    root.insert(0, head)
    # Text between the tags of the root is no part of the picture.
    root.text = None
    root.set("role", "img")
    root.set("aria-labelledby", f"{name}-title")


def _set_family(root: Any, name: str, families: frozenset[str], default: str) -> None:
    for element in root.iter():
        for family in filter(None, (element.get("font-family") or "").split(",")):
            if family.strip().strip("'\"") not in families:
                raise OutputError(f"picture {name}: unknown font family '{family.strip()}'")
    if root.get("font-family") is None:
        root.set("font-family", default)
        # Keep the order of attributes fixed: the role and its label come last.
        for attribute in ("role", "aria-labelledby"):
            root.set(attribute, root.attrib.pop(attribute))

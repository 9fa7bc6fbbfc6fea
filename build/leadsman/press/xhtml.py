"""From the HTML of the print edition to the XHTML of a book: the same text, strictly well-formed.

The HTML parser of the typesetting engine reads the source, so that print and book see the same
tree. What belongs to paper only is left out: page numbers, and whatever carries the class
``print-only``.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

import tinyhtml5  # type: ignore[import-untyped]
from lxml import etree  # type: ignore[import-untyped]

XHTML = "http://www.w3.org/1999/xhtml"
SVG = "http://www.w3.org/2000/svg"
MATHML = "http://www.w3.org/1998/Math/MathML"
OPS = "http://www.idpf.org/2007/ops"
XMLNS = "http://www.w3.org/2000/xmlns/"
XML = "http://www.w3.org/XML/1998/namespace"

PRINT_ONLY = "print-only"

_FORBIDDEN_NAMES = "script iframe object embed form input button select textarea link style base audio video"
FORBIDDEN = frozenset(_FORBIDDEN_NAMES.split())


def body_elements(html: str) -> Any:
    """The ``<body>`` of a piece of HTML as an lxml tree in the XHTML namespace.

    Examples
    --------
    >>> print(serialised(body_elements("<p>Fuse<br>3 A <span data-page-of='#f'></span>")))
    <body xmlns="http://www.w3.org/1999/xhtml"><p>Fuse<br/>3 A </p></body>
    """
    root = tinyhtml5.parse(f"<!DOCTYPE html><html><body>{html}</body></html>", namespace_html_elements=True)
    body = root.find(f"{{{XHTML}}}body")
    made = etree.Element(f"{{{XHTML}}}body", nsmap={None: XHTML})
    _copy_inside(body, made)
    return made


def serialised(element: Any) -> str:
    """The element as XML text."""
    etree.cleanup_namespaces(element, keep_ns_prefixes=["epub"])
    return str(etree.tostring(element, encoding="unicode"))


def tag_name(element: Any) -> str:
    """The local name of an element, empty for a comment or an instruction."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def elements(root: Any) -> Iterator[Any]:
    """Each element below and including ``root``, in document order."""
    for element in root.iter():
        if isinstance(element.tag, str):
            yield element


def _copy_inside(source: ElementTree.Element, target: Any) -> None:
    target.text = source.text
    last = None
    for child in source:
        if isinstance(child.tag, str) and not _is_print_only(child):
            made = etree.SubElement(target, child.tag, nsmap=_namespaces(child))
            for name, value in child.attrib.items():
                # The parser keeps a namespace declaration as if it were an attribute.
                if not name.startswith(("data-", f"{{{XMLNS}}}")):
                    made.set(_attribute_name(name), value)
            _copy_inside(child, made)
            made.tail = child.tail
            last = made
        elif child.tail:
            # What is left out still leaves the text behind it in place.
            if last is None:
                target.text = (target.text or "") + child.tail
            else:
                last.tail = (last.tail or "") + child.tail


def _is_print_only(element: ElementTree.Element) -> bool:
    return element.get("data-page-of") is not None or PRINT_ONLY in (element.get("class") or "").split()


def _namespaces(element: ElementTree.Element) -> dict[str | None, str]:
    """A drawing or a formula declares its own namespace as the default one, as readers expect."""
    return {None: str(element.tag).rpartition("}")[0].lstrip("{")}


def _attribute_name(name: str) -> str:
    """In HTML a colon is a letter of the name; in XML it ends a prefix."""
    return {"epub:type": f"{{{OPS}}}type", "xml:lang": f"{{{XML}}}lang"}.get(name, name)

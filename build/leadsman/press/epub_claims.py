"""What a book says about itself and its accessibility, held against what is in it.

The metadata follow EPUB Accessibility 1.1 (W3C, 2024). A shop or a library shows them to people
who depend on them: so each claim that can be checked by machine is checked.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from leadsman.press import xhtml

#: Claims that this writer can keep or check; any other one is refused (it could not be vouched for).
FEATURES = frozenset(
    {
        "alternativeText",
        "describedMath",
        "displayTransformability",
        "index",
        "MathML",
        "readingOrder",
        "structuralNavigation",
        "tableOfContents",
        "unlocked",
    }
)
HAZARDS = frozenset({"none", "noFlashingHazard", "noMotionSimulationHazard", "noSoundHazard", "unknown"})


@dataclass(frozen=True)
class Metadata:
    """The facts and claims of a book beyond its title; what is empty is not written.

    Parameters
    ----------
    creator, publisher, description, rights, date, source
        Dublin Core elements; ``date`` as YYYY-MM-DD.
    access_modes, access_modes_sufficient
        The senses that the book speaks to ("textual", "visual"), and the sets that suffice, each as
        modes joined by a comma.
    features, hazards, summary
        Accessibility features, hazards and a summary in words (schema.org terms).
    conforms_to, certified_by
        A conformance that somebody has evaluated, and who; leave empty without an evaluation.
    """

    creator: str = ""
    publisher: str = ""
    description: str = ""
    rights: str = ""
    date: str = ""
    source: str = ""
    access_modes: tuple[str, ...] = ()
    access_modes_sufficient: tuple[str, ...] = ()
    features: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    summary: str = ""
    conforms_to: str = ""
    certified_by: str = ""

    def dublin_core(self) -> Iterator[tuple[str, str]]:
        """Name and value of each Dublin Core element that is given."""
        for name in ("creator", "publisher", "description", "rights", "date", "source"):
            if value := getattr(self, name):
                yield name, value

    def properties(self) -> Iterator[tuple[str, dict[str, str]]]:
        """Value and attributes of each ``<meta property>``."""
        lists = {
            "schema:accessMode": self.access_modes,
            "schema:accessModeSufficient": self.access_modes_sufficient,
            "schema:accessibilityFeature": self.features,
            "schema:accessibilityHazard": self.hazards,
            "schema:accessibilitySummary": (self.summary,) if self.summary else (),
        }
        for name, values in lists.items():
            for value in values:
                yield value, {"property": name}
        if self.conforms_to:
            yield self.conforms_to, {"property": "dcterms:conformsTo", "id": "conformance"}
            if self.certified_by:
                yield self.certified_by, {"property": "a11y:certifiedBy", "refines": "#conformance"}


def findings(
    metadata: Metadata, bodies: Sequence[Any], *, kinds: Collection[str], has_pictures: bool
) -> Iterator[str]:
    """Each claim that the chapters do not keep, and each required statement that is missing."""
    elements = [element for body in bodies for element in xhtml.elements(body)]
    names = {xhtml.tag_name(element) for element in elements}
    has_pictures = has_pictures or bool(names & {"img", "svg"})
    for value, label in (
        (metadata.access_modes, "access modes"),
        (metadata.features, "accessibility features"),
        (metadata.hazards, "accessibility hazards"),
        (metadata.summary, "an accessibility summary"),
    ):
        if not value:
            yield f"the metadata lack {label}"
    if metadata.date and not re.fullmatch(r"\d{4}-\d{2}-\d{2}", metadata.date):
        yield f"the date '{metadata.date}' is not written YYYY-MM-DD"
    if ("visual" in metadata.access_modes) != has_pictures:
        yield "the access mode 'visual' must be given exactly when the book has pictures"
    if "textual" not in metadata.access_modes:
        yield "the access mode 'textual' is missing"
    for group in metadata.access_modes_sufficient:
        if not set(group.split(",")) <= set(metadata.access_modes):
            yield f"the sufficient access modes '{group}' are not among the access modes"
    yield from _feature_findings(metadata, elements, names, kinds)
    for hazard in metadata.hazards:
        if hazard not in HAZARDS:
            yield f"unknown accessibility hazard '{hazard}'"
    if metadata.certified_by and not metadata.conforms_to:
        yield "a certifier is named but no conformance"


def _feature_findings(
    metadata: Metadata, elements: Sequence[Any], names: set[str], kinds: Collection[str]
) -> Iterator[str]:
    """Chapters without alternatives or headings are refused elsewhere; the rest is looked for here."""
    kept = {
        "MathML": "math" in names,
        "describedMath": any(xhtml.tag_name(e) == "math" and e.get("alttext") for e in elements),
        "index": "index" in kinds
        or any(
            "index" in (e.get(f"{{{xhtml.OPS}}}type") or "").split() or e.get("role") == "doc-index"
            for e in elements
        ),
        "alternativeText": bool(names & {"img", "svg"})
        and not any(xhtml.tag_name(e) == "img" and not (e.get("alt") or "").strip() for e in elements),
    }
    for feature in metadata.features:
        if feature not in FEATURES:
            yield f"the accessibility feature '{feature}' cannot be vouched for"
        elif not kept.get(feature, True):
            yield f"the accessibility feature '{feature}' is claimed but the book does not keep it"

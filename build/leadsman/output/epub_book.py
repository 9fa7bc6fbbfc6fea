"""An edition as an EPUB: what every such book says of itself, whatever its chapters are."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Sequence
from pathlib import Path

from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import Edition
from leadsman.output.templating import stylesheet
from leadsman.output.us_words import WordsFor
from leadsman.press.epub import Chapter, FinishedEpub, Metadata, write_epub

_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "leadsman.invalid")


def full_title(edition: Edition) -> str:
    """The title of an edition with its subtitle."""
    return f"{edition.title}. {edition.subtitle}"


def about_book(
    edition: Edition, catalogue: Catalogue, *, pictures: bool = True, units: str | None = None
) -> Metadata:
    """Who made a book and how it can be read; every one of its pictures has a text.

    ``units`` where a guide's are others than its edition's.
    """
    words = catalogue.phrases(edition.language).epub
    own = WordsFor(catalogue, units or edition.units, edition.language)
    return Metadata(
        creator=str(catalogue.dealer.name),
        publisher=str(catalogue.dealer.name),
        description=own.text(str(edition.reader)),
        date=edition.revisions[-1].date,
        access_modes=("textual", "visual") if pictures else ("textual",),
        access_modes_sufficient=("textual",),
        features=("tableOfContents", "readingOrder", "structuralNavigation",
                  *(("alternativeText",) if pictures else ()), "displayTransformability", "unlocked"),
        hazards=("none",),
        summary=own.text(str(words.summary_with_pictures if pictures else words.summary)),
    )  # fmt: skip


def day(date: str) -> datetime.datetime:
    """The beginning of a day that is written as YYYY-MM-DD, in UTC."""
    return datetime.datetime.fromisoformat(date).replace(tzinfo=datetime.UTC)


def write_edition_epub(
    edition: Edition,
    catalogue: Catalogue,
    chapters: Sequence[Chapter],
    *,
    out: Path,
    templates: Path,
    pictures: bool = True,
    cover_png: bytes | None = None,
) -> FinishedEpub:
    """Make an EPUB that is an edition whole, or leave the earlier file as it is."""
    return write_epub(
        out,
        identifier=f"urn:uuid:{uuid.uuid5(_NAMESPACE, edition.document)}",
        title=full_title(edition),
        language=WordsFor(catalogue, edition.units, edition.language).tag,
        modified=day(edition.revisions[-1].date),
        chapters=chapters,
        css=stylesheet(templates, "epub"),
        metadata=about_book(edition, catalogue, pictures=pictures),
        cover_png=cover_png,
    )

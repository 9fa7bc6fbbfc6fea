"""Editions: what is made for whom, in which sizes and units, under which document number."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from leadsman.content.model.base import Date, Id, Label, Prose, Record


class RevisionNote(Record):
    """One row of the revision log."""

    revision: int = Field(ge=1)
    date: Date
    affects: Prose
    reason: Prose
    approved_by: Label


class OffDeck(Record):
    """A condition that stands in the handbook only, and why."""

    entry: Id
    reason: Prose


class Edition(Record):
    """One thing to make from the content."""

    id: Id
    kind: Literal["deck", "handbook"]
    title: Label
    subtitle: Label
    set_name: Label
    document: str = Field(pattern=r"^[A-Z0-9]+(?:-[A-Z0-9]+)*$")
    formats: list[Literal["a6", "100x150", "4x6", "pdf", "epub"]] = Field(min_length=1)
    units: Literal["metric", "us"] = "metric"
    language: str = "en-GB"
    reader: Prose
    kept: Prose
    """Where the valid copy is kept."""
    entries: list[Id] = []
    """Entries in their order; left out, all of them by area and code."""
    handbook_only: list[OffDeck] = []
    """Of a deck: entries that have no card, each with the reason; its index names them all the same."""
    most_sheets: int | None = Field(default=None, ge=1)
    """Of a deck: how many sheets (two faces each) it may have at most."""
    tables: list[Id] = []
    front: list[Prose] = []
    """Paragraphs of the 'how to use' page."""
    revisions: list[RevisionNote] = Field(min_length=1)

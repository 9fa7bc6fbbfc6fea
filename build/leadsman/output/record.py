"""Set service records: tagged PDF forms to be filled on a screen or by hand, one file for each sheet."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Any

from leadsman.book.computed import assumed, lead_length
from leadsman.book.outputs import record_folder_name
from leadsman.book.record import RecordSheet, record_sheets
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import RecordEdition
from leadsman.content.model.phrases import filled
from leadsman.content.model.record_words import PARTS, PLACES, SWAPPED, ExchangeWords, LabelWords
from leadsman.output.papers import page_size_css
from leadsman.output.prose_html import Setter
from leadsman.output.templating import environment, stylesheet
from leadsman.output.us_words import WordsFor
from leadsman.press.typeset import FinishedPdf, Typesetter, render_pdf
from leadsman.units import quantity_text, size_text

#: The links of the chain that hold software.
_WITH_SOFTWARE = ("display", "module")


def record_folder(out: Path, edition: str, paper: str) -> Path:
    """The folder of the records of an edition on one paper."""
    return out / record_folder_name(edition, paper)


def write_records(
    edition: RecordEdition,
    catalogue: Catalogue,
    names: Collection[str],
    folder: Path,
    *,
    templates: Path,
    typesetter: Typesetter,
) -> list[Path]:
    """Make the named records of an edition into a folder, and say where they lie."""
    made = []
    for sheet in record_sheets(edition, catalogue):
        if sheet.name in names:
            path = folder / f"{edition.id}-{sheet.name}.pdf"
            write_record(sheet, catalogue, out=path, templates=templates, typesetter=typesetter)
            made.append(path)
    return made


def write_record(
    sheet: RecordSheet,
    catalogue: Catalogue,
    *,
    out: Path,
    templates: Path,
    typesetter: Typesetter,
    titled_by_boat: bool = True,
) -> FinishedPdf:
    """Make one record, or leave the earlier file as it is.

    A customer's boat is not named in the file's title, which viewers and search engines show.
    """
    edition = sheet.edition
    html = record_html(sheet, catalogue, templates)
    css = [stylesheet(templates, "record"), page_size_css(edition.paper, "full")]
    words = WordsFor(catalogue, edition.units, edition.language)
    return render_pdf(
        html,
        css,
        out=out,
        title=words.text(_title(sheet, titled_by_boat)),
        language=words.tag,
        typesetter=typesetter,
    )


def record_html(sheet: RecordSheet, catalogue: Catalogue, templates: Path) -> str:
    """The inside of a record's page, with its fields."""
    edition = sheet.edition
    setter = Setter(catalogue, edition.units, family=sheet.display, language=edition.language)
    template = environment(templates, setter).get_template("record/record.html.j2")
    phrases = catalogue.phrases(edition.language)
    words = phrases.record
    return template.render(
        sheet=sheet, words=words, answers=phrases.answers, no_aid=phrases.case.no_aid, places=PLACES,
        edition=edition, revision=edition.revisions[-1], catalogue=catalogue,
        parts=_parts(sheet, words.labels), with_software=_WITH_SOFTWARE, swaps=_swaps(sheet, words.swaps),
        assumptions=_assumptions(sheet, catalogue), volts=lambda volts: quantity_text(volts, "V"),
        **_lead(sheet),
    )  # fmt: skip


def _title(sheet: RecordSheet, titled_by_boat: bool) -> str:
    about = ""
    if sheet.view is not None:
        about = f", {sheet.view.entry.code} {sheet.view.entry.title}"
    elif sheet.boat is not None and titled_by_boat:
        about = f", {sheet.boat.name}"
    return f"{sheet.edition.title}{about}"


def _parts(sheet: RecordSheet, words: LabelWords) -> list[tuple[str, str, str]]:
    """Each part with its model where the boat's file knows it."""
    known = {}
    if sheet.display is not None and sheet.transducer is not None:
        known = {"display": str(sheet.display.name), "transducer": str(sheet.transducer.name)}
    return [(key, str(words.parts[key]), known.get(key, "")) for key in PARTS]


def _swaps(sheet: RecordSheet, words: ExchangeWords) -> list[tuple[str, str]]:
    if sheet.view is None:
        return [(key, str(words.parts[key])) for key in SWAPPED]
    found = [(step.id, filled(words.of_step, number=step.number, name=_part(step))) for step in sheet.swaps]
    return found or [("other", str(words.other))]


def _part(step: Any) -> str:
    shared = step.check.shared
    return str(shared.title if shared is not None else step.check.body.do).rstrip(".")


def _lead(sheet: RecordSheet) -> dict[str, str]:
    """The supply lead of the boat in the units of the edition; nearest, since it describes and limits nothing."""
    if sheet.boat is None:
        return {"lead_length": "", "conductor": ""}
    supply = sheet.boat.supply
    return {
        "lead_length": lead_length(supply.lead_length_m, sheet.edition.units),
        "conductor": size_text(str(supply.conductor)),
    }


def _assumptions(sheet: RecordSheet, catalogue: Catalogue) -> list[tuple[str, str]]:
    """What the limits of this boat were computed for."""
    if sheet.boat is None:
        return []
    printed = {limit.id for line in sheet.readings for limit in line.limits}
    names: dict[str, None] = {}
    for name in printed:
        computed = sheet.edition.numbers[name].value.computed
        given = computed.given if computed else {}
        names |= dict.fromkeys(
            str(v["assumption"]) for v in given.values() if isinstance(v, dict) and "assumption" in v
        )
    records = catalogue.records["assumptions"]
    units = sheet.edition.units
    return [(str(records[name].name), assumed(records[name], units)) for name in sorted(names)]

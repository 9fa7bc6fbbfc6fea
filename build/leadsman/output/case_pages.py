"""The pages of a case: the service record filled in, and the owner's page. A file is named by the id of its case."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

from leadsman.book.case_text import CaseText
from leadsman.book.record import case_sheet
from leadsman.content.case_file import Case
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import RecordEdition
from leadsman.content.model.phrases import filled
from leadsman.errors import OutputError
from leadsman.output.papers import page_size_css
from leadsman.output.prose_html import Setter
from leadsman.output.record import write_record
from leadsman.output.templating import environment, printed_date, stylesheet
from leadsman.output.us_words import WordsFor
from leadsman.press.fill import fill_form
from leadsman.press.temporary import temporary_folder
from leadsman.press.typeset import Typesetter, render_pdf


def record_edition(catalogue: Catalogue) -> RecordEdition:
    """The edition of the service record, the first one."""
    for edition in catalogue.editions.values():
        if isinstance(edition, RecordEdition):
            return edition
    raise OutputError("the content has no edition of kind 'record', so that no record can be filled in")


def write_case_record(
    case: Case, out: Path, *, paper: str, units: str, templates: Path, typesetter: Typesetter
) -> Path:
    """The service record of the condition with the boat's limits, filled in as far as the case goes."""
    edition = record_edition(case.catalogue).model_copy(update={"paper": paper, "units": units})
    name = case.boat_name
    boat = case.boat.model_copy(update={"id": "boat-of-the-case", "name": name})
    records = {**case.catalogue.records, "boats": {**case.catalogue.boats, boat.id: boat}}
    catalogue = dataclasses.replace(case.catalogue, records=records)
    path = out / f"{case.file.id}-record.pdf"
    sheet = case_sheet(edition, catalogue, case.entry, boat)
    with temporary_folder() as folder:
        blank = folder / "blank.pdf"
        write_record(
            sheet, catalogue, out=blank, templates=templates, typesetter=typesetter, titled_by_boat=False
        )
        fill_form(blank, record_values(case, sheet), path)
    return path


def record_values(case: Case, sheet: Any) -> dict[str, str | bool]:
    """What goes into which field of the record of the case's own condition."""
    file, view = case.file, sheet.view
    values: dict[str, str | bool] = {"job-number": file.id, "job-date": file.opened}
    for part in ("display", "transducer"):
        if serial := case.row.personal.get(f"{part}_serial"):
            values[f"equipment-{part}-serial"] = serial
    values["settings-recorded"], values["software-checked"] = file.settings_recorded, file.software_checked
    for name, places in file.readings.items():
        for place, volts in places.items():
            if place.replace("-", " ") in sheet.edition.readings[name].at:
                values[f"reading-{name}-{place}"] = f"{volts:g}"
    answers = case.legs[0].answers
    for step in view.steps:
        if answers.get(step.id) in {answer.key for answer in step.answers}:
            values[f"check-{step.id}-{answers[step.id]}"] = True
        given = file.answers.get(step.id)
        if given and (given.reading or given.remark):
            values[f"check-{step.id}-remark"] = "; ".join(t for t in (given.reading, given.remark) if t)
    for step in sheet.swaps:
        if trial := file.swaps.get(step.id):
            values[f"swap-{step.id}-compatible"] = trial.compatible
            values[f"swap-{step.id}-{'gone' if trial.gone else 'same'}"] = True
            if trial.back is not None:
                values[f"swap-{step.id}-{'back' if trial.back else 'not-back'}"] = True
            if trial.carried:
                values[f"swap-{step.id}-carried"] = trial.carried
    values |= {f"evidence-{name}": text for name, text in file.evidence.items() if name in sheet.evidence}
    values |= {f"photo-{name.removeprefix('photo-')}": True for name in file.photos if name in sheet.photos}
    return values | _verdict_values(case)


def _verdict_values(case: Case) -> dict[str, str | bool]:
    file, verdict = case.file, case.file.verdict
    values: dict[str, str | bool] = {"came-back": file.came_back}
    if file.minutes is not None:
        values["minutes"] = f"{file.minutes:g}"
    if verdict is None:
        return values
    own = verdict.entry in (None, case.entry.id)
    if verdict.finding and own:
        values |= {f"finding-{verdict.finding}": True, f"proved-{verdict.finding}": verdict.proved}
    if verdict.hand_over and own:
        values[f"hand-over-{verdict.hand_over}"] = True
    if verdict.other:
        values["verdict-other"] = verdict.other.words
    if not own and case.catalogue.faults.get(verdict.entry or ""):
        other = case.catalogue.faults[verdict.entry or ""]
        values["verdict-elsewhere"] = f"{other.code} {verdict.finding or verdict.hand_over}"
        values["verdict-elsewhere-proved"] = verdict.proved
    values["nothing-found"] = verdict.nothing_found
    for name, text in (
        ("renewed", verdict.renewed),
        ("lead-line", verdict.lead_line),
        ("open", verdict.open),
    ):
        if text:
            values[f"verdict-{name}"] = text
    return values


def write_owner_page(case: Case, text: CaseText, out: Path, *, paper: str, templates: Path, typesetter: Typesetter) -> Path:  # fmt: skip
    """The owner's page; the boat's name stands on it and in nothing else."""
    jinja = environment(
        templates, Setter(case.catalogue, text.units, family=case.display, language=text.language)
    )
    boat = case.boat_name
    links = case.catalogue.phrases(text.language).links
    identity = f"{case.catalogue.dealer.name}, {printed_date(case.last_date, links)}"
    html = jinja.get_template("case/owner.html.j2").render(
        title=filled(text.frame.owner_title, name=boat), identity=identity, sections=text.owner()
    )
    path = out / f"{case.file.id}-owner.pdf"
    css = [stylesheet(templates, "tokens", "case"), page_size_css(paper, "full")]
    words = WordsFor(case.catalogue, text.units, text.language)
    render_pdf(html, css, out=path, title=words.text(text.title), language=words.tag, typesetter=typesetter)
    return path

"""Fill the fields of a finished form, as a viewer would, and read what a viewer has filled in."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf

from leadsman.errors import OutputError
from leadsman.press import atomic


def fill_form(path: Path, values: Mapping[str, str | bool], out: Path) -> None:
    """Write a copy of a form with some fields filled: text by text, a box by whether it is ticked.

    Raises
    ------
    OutputError
        When the form has no field of a name, or the file cannot be written.
    """
    left = dict(values)
    with pymupdf.open(path) as document:  # type: ignore[no-untyped-call]
        for page in document:
            for widget in page.widgets():
                value = left.pop(widget.field_name, None)
                # The library draws a mark into a box that it sets to off: what is not ticked stays as it was made.
                if value is not None and value is not False:
                    widget.field_value = value
                    widget.update()
        if left:
            raise OutputError(f"the form has no field '{next(iter(left))}'")
        data = document.tobytes(garbage=0, deflate=True, no_new_id=True)
    atomic.write_bytes(out, data)


#: No filled form of ours is larger.
MOST_BYTES = 20_000_000


def read_form(raw: bytes) -> tuple[str, dict[str, str | bool]]:
    """The title of a form and what its fields hold: text, or whether a box is ticked; empty ones are left out.

    Raises
    ------
    OutputError
        When it is no PDF that can be opened, or has no fields (a flattened form, a scan).
    """
    try:
        with pikepdf.open(io.BytesIO(raw)) as pdf:
            title = str(pdf.trailer.Info.get("/Title", "")) if "/Info" in pdf.trailer else ""
            form = pdf.Root.get("/AcroForm")
            if form is None or "/Fields" not in form:
                raise OutputError("has no fields; a printed or flattened record is not read back")
            fields: dict[str, str | bool] = {}
            for field in form.Fields:
                _take(field, fields)
    except OutputError:
        raise
    except Exception as error:
        raise OutputError(f"cannot be read as a PDF ({type(error).__name__})") from error
    return title, fields


def _take(field: Any, fields: dict[str, str | bool]) -> None:
    name, value = str(field.get("/T", "")), field.get("/V")
    if value is None:
        return
    if field.get("/FT") == "/Btn":
        if str(value).lstrip("/") != "Off":
            fields[name] = True
    elif text := " ".join(str(value).split()):
        fields[name] = text

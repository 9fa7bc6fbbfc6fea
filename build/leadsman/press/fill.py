"""Fill the fields of a finished form, as a viewer would, and read what a viewer has filled in."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

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
                if widget.field_name in left:
                    widget.field_value = left.pop(widget.field_name)
                    widget.update()
        if left:
            raise OutputError(f"the form has no field '{next(iter(left))}'")
        data = document.tobytes(garbage=0, deflate=True, no_new_id=True)
    atomic.write_bytes(out, data)

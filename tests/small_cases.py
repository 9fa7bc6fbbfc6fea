"""Cases of the small content: a search under way and one that was mended, and what they need beside it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import small_content
import small_guides
from leadsman.content.case_file import Case, read_case
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.model.edition import RecordEdition
from leadsman.content.model.reference import Assumption

#: By hand: what the answers leave is the joint, the element and the settings, 20, 15 and 20 of 55.
UNDER_WAY = """\
id: case-117
entry: D1
opened: "2026-10-02"
boat:
  like: punt
  owner: A. Person
  boat: Sea Otter
  display_serial: PL-004711
  lead_length: 6 m
history: in-service
words: No number since I switched the sounder on
message: no-depth
answers:
  temperature: "yes"
  volts: cannot
  software: {answer: "yes", remark: version 2.1, on: "2026-10-02"}
  plug: "yes"
readings:
  own: {own-readout: 12.5}
evidence:
  history: It came with the rain
photos: []
minutes: 25
warranty: {bought: "2025-06-01", seller: here, months: 24, receipt: true}
prices: {currency: EUR, hour: 80, travel: 40, parts: {display: 900, joints: 25, element: 300}}
"""
MENDED = """\
id: case-118
sign: No depth
opened: "2026-05-14"
boat: {like: punt, boat: Sea Otter}
history: after-lay-up
answers:
  temperature: "yes"
  volts: "yes"
  software: "yes"
  plug: {answer: "no", remark: green pins}
  found-plug: proved
verdict: {finding: found-plug, proved: true, renewed: Pins cleaned, lead_line: 4.2 m by lead line and 4.2 m shown, on: "2026-05-14"}
minutes: 40
"""
#: What only a case asks of the content.
_RECORD = {
    "readings": {
        "own": {"ask": "Own readout", "unit": "V", "at": ["own readout"], "limit": "At least 11 V."},
    },
    "kind": "record", "formats": ["pdf"],
}  # fmt: skip
_DROP = {"name": "Drop", "value": "10 %", "reason": "As the standards allow.", "source": "common-practice"}


@cache
def content(folder: Path = small_content.FOLDER) -> Catalogue:
    """The small content with a service record, and an assumption by which a fuse is chosen."""
    catalogue = load(folder)
    common = {k: v for k, v in small_guides.EDITION.items() if k in RecordEdition.model_fields}
    catalogue.records["editions"]["record"] = RecordEdition.model_validate(
        {**common, "id": "record", **_RECORD}
    )
    catalogue.records["assumptions"]["working-drop"] = Assumption.model_validate(_DROP)
    return catalogue


def case(text: str, folder: Path, *edits: tuple[str, str], of: Path = small_content.FOLDER) -> Case:
    """A case from its text with some of it changed, and a folder of content; it must be sound."""
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = folder / "case.yaml"
    path.write_text(text, encoding="utf-8")
    found, problems = read_case(path, content(of))
    assert [str(problem) for problem in problems] == []
    assert found is not None
    return found

"""The published sources behind the formulas: key to full reference.

A formula names its sources by these keys, and so does each row of tests/reference. The handbook
prints the list. Topic modules add theirs here, in alphabetical order of key.
"""

SOURCES: dict[str, str] = {
    "common-practice": "Common practice of the trade, no published source.",
}

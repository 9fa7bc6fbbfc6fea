"""How much current a conductor may carry: tables, engine spaces, bundles and the smallest size."""

from __future__ import annotations

import numpy as np

from leadsman.compute.registry import Choice, NoAnswer, Number, Output, Values, formula
from leadsman.compute.supply.conductors import CONDUCTOR_INPUT

#: What a reader must be told beside any number from the ampacity table.
SCOPE_NOTE = (
    "33 CFR 183.425 binds boats with petrol engines other than outboards, and exempts electronic navigation "
    "equipment and electronic circuits below 1 A. Its Table 5 is used here as data; the boat's own standard "
    "(ABYC E-11 or ISO 13297) prevails."
)

#: Insulation ratings of the columns, degC, and amperes by AWG size (33 CFR 183.425, Table 5; 30 degC
#: ambient).
TABLE_5_INSULATION_C = (60, 75, 80, 90, 105, 125, 200)
TABLE_5_AMPERES = {
    "18": (10, 10, 15, 20, 20, 25, 25),
    "16": (15, 15, 20, 25, 25, 30, 35),
    "14": (20, 20, 25, 30, 35, 40, 45),
    "12": (25, 25, 35, 40, 45, 50, 55),
    "10": (40, 40, 50, 55, 60, 70, 70),
    "8": (55, 65, 70, 70, 80, 90, 100),
    "6": (80, 95, 100, 100, 120, 125, 135),
    "4": (105, 125, 130, 135, 160, 170, 180),
    "2": (140, 170, 175, 180, 210, 225, 240),
    "1": (165, 195, 210, 210, 245, 265, 280),
    "1/0": (195, 230, 245, 245, 285, 305, 325),
    "2/0": (225, 265, 285, 285, 330, 355, 370),
    "3/0": (260, 310, 330, 330, 385, 410, 430),
    "4/0": (300, 360, 385, 385, 445, 475, 510),
}

#: The same for metric conductors (ISO 10133:2012, Table A.1; from memory, 30 degC ambient; 85 stands for 85
#: to 90).
ISO_INSULATION_C = (60, 70, 85, 105, 125, 200)
ISO_AMPERES = {
    "0.75 mm2": (6, 10, 12, 16, 20, 25),
    "1 mm2": (8, 14, 18, 20, 25, 35),
    "1.5 mm2": (12, 18, 21, 25, 30, 40),
    "2.5 mm2": (17, 25, 30, 35, 40, 45),
    "4 mm2": (22, 35, 40, 45, 50, 55),
    "6 mm2": (29, 45, 50, 60, 70, 75),
    "10 mm2": (40, 65, 70, 90, 100, 120),
    "16 mm2": (54, 90, 100, 130, 150, 170),
    "25 mm2": (71, 120, 140, 170, 185, 200),
    "35 mm2": (87, 160, 185, 210, 225, 240),
    "50 mm2": (105, 210, 230, 270, 300, 325),
    "70 mm2": (135, 265, 285, 330, 360, 375),
}

#: Factor for an ambient of 50 degC by insulation rating (Table 5 note 1, from memory; 70 by
#: sqrt((T-50)/(T-30))).
ENGINE_SPACE_FACTOR = {
    60: 0.58, 70: 0.71, 75: 0.75, 80: 0.78, 85: 0.80, 90: 0.82, 105: 0.85, 125: 0.89, 200: 1.0
}  # fmt: skip

#: Conductors in a bundle from which a factor applies, and the factor (Table 5 note 2, from memory).
BUNDLE_FACTOR = ((1, 1.0), (3, 0.7), (4, 0.6), (7, 0.5), (25, 0.4))

INSULATION_INPUT = Number(
    "insulation", "degC", 60.0, 200.0, "Temperature rating of the insulation.", default=105.0
)
ENGINE_SPACE_INPUT = Choice(
    "engine_space", ("no", "yes"), "Whether the run passes an engine space.", default="no"
)
BUNDLED_INPUT = Number(
    "bundled_conductors", "1", 1.0, 100.0, "Current-carrying conductors in the bundle.", default=1.0
)

#: The smallest conductor that may be installed on its own (33 CFR 183.425(e); ISO 10133:2012, 7.3).
SMALLEST_SEPARATE = {"AWG": "16 AWG", "SAE": "16 SAE", "mm2": "1 mm2"}


def _columns(conductor: str) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Insulation ratings and amperes of a conductor's row."""
    if conductor in ISO_AMPERES:
        return ISO_INSULATION_C, ISO_AMPERES[conductor]
    size, _, series = conductor.partition(" ")
    if series in ("AWG", "SAE") and size in TABLE_5_AMPERES:
        return TABLE_5_INSULATION_C, TABLE_5_AMPERES[size]
    raise NoAnswer(
        f"no ampacity is tabled for {conductor}: the tables run from 18 to 4/0 AWG and from 0.75 to 70 mm2"
    )


@formula(
    "supply.ampacity",
    title="Allowable continuous current of a conductor",
    inputs=(CONDUCTOR_INPUT, INSULATION_INPUT, ENGINE_SPACE_INPUT, BUNDLED_INPUT),
    outputs=(Output("current", "A", "Allowable continuous current."),),
    method="33 CFR 183.425 Table 5 (AWG, SAE) or ISO 10133 Table A.1 (mm2), x engine-space and bundle factors",
    sources=("cfr-33-183", "iso-10133, Table A.1"),
    accuracy=f"Table values. {SCOPE_NOTE}",
)
def ampacity(
    *,
    conductor: str,
    insulation_c: Values = 105.0,
    engine_space: str = "no",
    bundled_conductors: Values = 1.0,
) -> Values:
    """Continuous current that a conductor may carry, from the table for its insulation, less the reductions.

    ``I = I_table x f_engine x f_bundle``; a rating between two columns takes the lower column.

    Raises
    ------
    NoAnswer
        The size is in neither table.

    Notes
    -----
    33 CFR 183.425 binds boats with petrol engines other than outboards, and exempts electronic navigation
    equipment and electronic circuits below 1 A: its table serves here as data, and the boat's own standard
    (ABYC E-11 or ISO 13297) prevails. Its bundle factors bind circuits of 50 V and more; applied below that
    they err on the safe side. An SAE gauge takes the row of its number. The metric table is from memory.

    Examples
    --------
    >>> ampacity(conductor="16 AWG")
    25.0
    >>> ampacity(conductor="16 AWG", engine_space="yes", bundled_conductors=3)
    14.875
    """
    ratings, amperes = _columns(conductor)
    column = np.searchsorted(np.array(ratings), insulation_c, side="right") - 1
    current = np.array(amperes, dtype=float)[column]
    if engine_space == "yes":
        current = current * np.array([ENGINE_SPACE_FACTOR[rating] for rating in ratings])[column]
    counts, factors = np.array(BUNDLE_FACTOR).T
    result: Values = current * factors[np.searchsorted(counts, bundled_conductors, side="right") - 1]
    return result

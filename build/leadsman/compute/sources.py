"""The published sources behind the formulas: key to full reference.

A formula names its sources by these keys, and so does each row of tests/reference. The handbook
prints the list. Topic modules add theirs here, in alphabetical order of key.
"""

SOURCES: dict[str, str] = {
    "ainslie-mccolm-1998": (
        "M. A. Ainslie and J. G. McColm. A simplified formula for viscous and chemical absorption in "
        "sea water. Journal of the Acoustical Society of America 103(3), 1671-1672, 1998."
    ),
    "bilaniuk-wong-1993": (
        "N. Bilaniuk and G. S. K. Wong. Speed of sound in pure water as a function of temperature. "
        "Journal of the Acoustical Society of America 93(3), 1609-1612, 1993; erratum 99, 3257, 1996."
    ),
    "chen-millero-1977": (
        "C.-T. Chen and F. J. Millero. Speed of sound in seawater at high pressures. Journal of the "
        "Acoustical Society of America 62(5), 1129-1135, 1977."
    ),
    "common-practice": "Common practice of the trade, no published source.",
    "coppens-1981": (
        "A. B. Coppens. Simple equations for the speed of sound in Neptunian waters. Journal of the "
        "Acoustical Society of America 69(3), 862-863, 1981."
    ),
    "del-grosso-mader-1972": (
        "V. A. Del Grosso and C. W. Mader. Speed of sound in pure water. Journal of the Acoustical "
        "Society of America 52(5B), 1442-1446, 1972."
    ),
    "fisher-simmons-1977": (
        "F. H. Fisher and V. P. Simmons. Sound absorption in sea water. Journal of the Acoustical "
        "Society of America 62(3), 558-564, 1977."
    ),
    "fofonoff-millard-1983": (
        "N. P. Fofonoff and R. C. Millard Jr. Algorithms for computation of fundamental properties of "
        "seawater. UNESCO Technical Papers in Marine Science 44, 1983."
    ),
    "francois-garrison-1982": (
        "R. E. Francois and G. R. Garrison. Sound absorption based on ocean measurements. Parts I and "
        "II. Journal of the Acoustical Society of America 72(3), 896-907 and 72(6), 1879-1890, 1982."
    ),
    "leroy-2008": (
        "C. C. Leroy, S. P. Robinson and M. J. Goldsmith. A new equation for the accurate calculation "
        "of sound speed in all oceans. Journal of the Acoustical Society of America 124(5), "
        "2774-2782, 2008."
    ),
    "mackenzie-1981": (
        "K. V. Mackenzie. Nine-term equation for sound speed in the oceans. Journal of the Acoustical "
        "Society of America 70(3), 807-812, 1981."
    ),
    "marczak-1997": (
        "W. Marczak. Water as a standard in the measurements of speed of sound in liquids. Journal of "
        "the Acoustical Society of America 102(5), 2776-2779, 1997."
    ),
    "medwin-1975": (
        "H. Medwin. Speed of sound in water: a simple equation for realistic parameters. Journal of "
        "the Acoustical Society of America 58(6), 1318-1319, 1975."
    ),
    "saunders-1981": (
        "P. M. Saunders. Practical conversion of pressure to depth. Journal of Physical Oceanography "
        "11(4), 573-574, 1981."
    ),
}

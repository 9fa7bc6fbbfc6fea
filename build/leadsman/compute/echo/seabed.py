"""What the bottom gives back: its backscattering strength, straight down and aslant."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from leadsman.compute.registry import Choice, Number, Output, Values, formula


class NormalStrength(NamedTuple):
    """Backscattering strength at normal incidence: nominal and the ends of what is met."""

    strength: float
    weakest: float
    strongest: float


#: Ends of the backscattering strength near normal incidence [dB re 1 m2/m2]: the usual spread of
#: high-frequency measurements, recalled from the general literature and not from one table.
_NORMAL_ENDS_DB = {
    "rock": (-15.0, -5.0),
    "gravel": (-18.0, -8.0),
    "sand": (-22.0, -10.0),
    "mud": (-35.0, -15.0),
}
#: The bottoms that the depth formulas know.
BOTTOMS = tuple(_NORMAL_ENDS_DB)

#: Fall of the strength from normal to steep oblique incidence, and the half-width of the normal lobe:
#: the form is that of Lamarche et al. 2011, the two numbers are common practice (see oblique_drop).
_OBLIQUE_DROP_DB = 5.0
_LOBE_DEG = 8.0


@formula(
    "echo.bottom_strength",
    title="Bottom backscattering strength straight down",
    inputs=(Choice("sediment", BOTTOMS, "kind of bottom"),),
    outputs=(
        Output("strength", "dB", "backscattering strength re 1 m2 per m2, middle of what is met"),
        Output("weakest", "dB", "weak end of what is met"),
        Output("strongest", "dB", "strong end of what is met"),
    ),
    method="Middle and ends of high-frequency measurements near normal incidence",
    sources=("seabed-backscatter-general",),
    accuracy="5 dB on rock and gravel, 6 dB on sand, 10 dB on mud",
)
def normal_strength(*, sediment: str) -> NormalStrength:
    r"""Backscattering strength of a bottom at normal incidence: the middle of what is met, with its ends.

    .. math:: S_b = (S_{\text{weakest}} + S_{\text{strongest}})/2

    Notes
    -----
    Recalled from the general literature, not read from one table. Weed has no entry: no number holds
    there, and the bottom may not be read at all.

    Examples
    --------
    >>> normal_strength(sediment="sand").strength
    -16.0
    """
    weakest, strongest = _NORMAL_ENDS_DB[sediment]
    return NormalStrength((weakest + strongest) / 2, weakest, strongest)


@formula(
    "echo.bottom_strength_drop",
    title="Fall of the bottom strength off the normal",
    inputs=(Number("incidence", "deg", 0, 45, "angle between the sound and the bottom's normal"),),
    outputs=(Output("drop", "dB", "strength lost against normal incidence"),),
    method="Gaussian lobe about the normal on a plateau",
    sources=("lamarche-2011, form of the law", "common-practice"),
    accuracy="3 to 10 dB are met at 20 degrees; narrow smooth bottoms lose more",
)
def oblique_drop(*, incidence_deg: Values) -> Values:
    r"""Backscattering strength lost when sound meets the bottom off its normal: a Gaussian lobe on a plateau.

    .. math:: D = D_\infty\left(1 - e^{-\theta^2/2\sigma^2}\right)

    Notes
    -----
    The plateau of 5 dB and the lobe of 8 degrees are common practice, set so that a 20 degree slope
    costs a 200 kHz, 12 degree sounder the third to half of its depth that the trade reports.

    Examples
    --------
    >>> oblique_drop(incidence_deg=20)
    4.78
    """
    return _OBLIQUE_DROP_DB * -np.expm1(-((np.asarray(incidence_deg) / _LOBE_DEG) ** 2) / 2)

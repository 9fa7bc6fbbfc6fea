"""What the water's sound speed does to the depth that a sounder shows.

A sounder times the echo and multiplies by the sound speed that it was set to. Where the water is slower
than that, it shows more water than there is: the dangerous direction.
"""

from __future__ import annotations

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.water.properties import SALINITY
from leadsman.compute.water.sound_speed import pressure_at_depth, sound_speed_chen_millero

_TEMPERATURE = Number("temperature", "degC", 0, 40, "water temperature, even from surface to bottom")
_SET_SPEED = Number("set_sound_speed", "m/s", 1350, 1650, "sound speed that the sounder assumes", 1500.0)


def _column_speed(temperature_c: Values, salinity_psu: Values, depth_m: Values) -> Values:
    """Mean speed of an even column: the speed at half its depth, as it rises in a straight line."""
    return sound_speed_chen_millero(
        temperature_c=temperature_c, salinity_psu=salinity_psu, pressure_bar=pressure_at_depth(depth_m / 2)
    )


@formula(
    "water.depth_bias",
    title="Error of the shown depth from the sound speed",
    inputs=(
        _TEMPERATURE,
        SALINITY,
        Number("depth", "m", 0, 5000, "true depth of water below the face", 0.0),
        _SET_SPEED,
    ),
    outputs=(Output("bias", "%", "shown depth over true depth, less one"),),
    method="Set speed over the UNESCO sound speed at half the depth",
    sources=("fofonoff-millard-1983, section 9",),
    accuracy="0.05 % in water of one temperature; a layered lake is off by its layering",
)
def depth_bias(
    *,
    temperature_c: Values,
    salinity_psu: Values = 0.0,
    depth_m: Values = 0.0,
    set_sound_speed_mps: Values = 1500.0,
) -> Values:
    r"""Error of the shown depth of a sounder that assumes one sound speed, in percent of the true depth.

    .. math:: b = 100\left(\frac{c_{set}}{c} - 1\right)

    Returns
    -------
    float or array
        Bias; positive: it shows more water than there is [%].

    Notes
    -----
    Cold fresh water is the dangerous case: 7 % at 0 degC.

    Examples
    --------
    >>> depth_bias(temperature_c=4)
    5.51
    >>> depth_bias(temperature_c=30, salinity_psu=35)
    -2.95
    """
    return 100 * (set_sound_speed_mps / _column_speed(temperature_c, salinity_psu, depth_m) - 1)


@formula(
    "water.true_depth",
    title="True depth from the shown depth",
    inputs=(
        Number("shown_depth", "m", 0, 4500, "depth that the sounder shows, below the face"),
        _TEMPERATURE,
        SALINITY,
        _SET_SPEED,
    ),
    outputs=(Output("depth", "m", "true depth of water below the face"),),
    method="Shown depth times the UNESCO sound speed at half the depth over the set speed",
    sources=("fofonoff-millard-1983, section 9",),
    accuracy="0.05 % in water of one temperature",
    serves="How deep is it really, when the display says this?",
)
def true_depth(
    *,
    shown_depth_m: Values,
    temperature_c: Values,
    salinity_psu: Values = 0.0,
    set_sound_speed_mps: Values = 1500.0,
) -> Values:
    r"""True depth below the face from the depth shown by a sounder that assumes one sound speed.

    .. math:: d = d_{shown}\frac{c}{c_{set}}

    Notes
    -----
    The speed is taken at half the shown depth and then again at half the depth found, until nothing changes
    by a millimetre.

    Examples
    --------
    >>> true_depth(shown_depth_m=10, temperature_c=4)
    9.478
    """
    depth_m = shown_depth_m
    # Each round leaves less than a thirtieth of the error, even in the deepest water.
    for _ in range(5):
        speed = _column_speed(temperature_c, salinity_psu, depth_m)
        depth_m = shown_depth_m * speed / set_sound_speed_mps
    return depth_m

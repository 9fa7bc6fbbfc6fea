"""Density, pressure and vapour pressure of fresh, brackish and sea water."""

from __future__ import annotations

import numpy as np

from leadsman.compute.registry import Number, Output, Values, formula
from leadsman.compute.water.sound_speed import IPTS68_PER_ITS90, polynomial, pressure_at_depth

_TEMPERATURE = Number("temperature", "degC", 0, 40, "water temperature, ITS-90")
SALINITY = Number("salinity", "PSU", 0, 40, "practical salinity; 0 is fresh water", 0.0)

# Fofonoff & Millard 1983, section 3: density at one atmosphere, then the secant bulk modulus; T68 ascending.
_RHO_WATER = (999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9)
_RHO_S = (8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
_RHO_S15 = (-5.72466e-3, 1.0227e-4, -1.6546e-6)
_RHO_S2 = 4.8314e-4
_K_WATER = (19652.21, 148.4206, -2.327105, 1.360477e-2, -5.155288e-5)
_K_S = (54.6746, -0.603459, 1.09987e-2, -6.1670e-5)
_K_S15 = (7.944e-2, 1.6483e-2, -5.3009e-4)
_K_P = (3.239908, 1.43713e-3, 1.16092e-4, -5.77905e-7)
_K_PS = (2.2838e-3, -1.0981e-5, -1.6078e-6)
_K_PS15 = 1.91075e-4
_K_PP = (8.50935e-5, -6.12293e-6, 5.2787e-8)
_K_PPS = (-9.9348e-7, 2.0816e-8, 9.1697e-10)


@formula(
    "water.density_at_pressure",
    title="Density of water at a pressure",
    inputs=(_TEMPERATURE, SALINITY, Number("pressure", "bar", 0, 1000, "gauge pressure", 0.0)),
    outputs=(Output("density", "kg/m3", "density"),),
    method="UNESCO equation of state EOS-80",
    sources=("fofonoff-millard-1983, section 3, eq. 7-19 with check values",),
    accuracy="0.01 % from TEOS-10",
)
def density_at_pressure(
    *, temperature_c: Values, salinity_psu: Values = 0.0, pressure_bar: Values = 0.0
) -> Values:
    r"""Density of fresh, brackish or sea water by the UNESCO equation of state.

    .. math:: \rho(S,T,p) = \frac{\rho(S,T,0)}{1 - p/K(S,T,p)}

    Notes
    -----
    EOS-80, since replaced by TEOS-10 for ocean science, in which the difference is far below any need here.

    Examples
    --------
    >>> density_at_pressure(temperature_c=25 / 1.00024, salinity_psu=35, pressure_bar=1000)
    1062.538
    """
    t = temperature_c * IPTS68_PER_ITS90
    s, p = salinity_psu, pressure_bar
    s15 = s**1.5
    surface = (
        polynomial(_RHO_WATER, t) + polynomial(_RHO_S, t) * s + polynomial(_RHO_S15, t) * s15 + _RHO_S2 * s**2
    )
    modulus = polynomial(_K_WATER, t) + polynomial(_K_S, t) * s + polynomial(_K_S15, t) * s15
    modulus = modulus + p * (polynomial(_K_P, t) + polynomial(_K_PS, t) * s + _K_PS15 * s15)
    modulus = modulus + p**2 * (polynomial(_K_PP, t) + polynomial(_K_PPS, t) * s)
    return surface / (1 - p / modulus)


@formula(
    "water.density",
    title="Density of water",
    inputs=(_TEMPERATURE, SALINITY, Number("depth", "m", 0, 5000, "depth below the surface", 0.0)),
    outputs=(Output("density", "kg/m3", "density"),),
    method="UNESCO equation of state EOS-80 at the pressure of the depth",
    sources=("fofonoff-millard-1983, section 3", "saunders-1981"),
    accuracy="0.01 % from TEOS-10",
)
def density(*, temperature_c: Values, salinity_psu: Values = 0.0, depth_m: Values = 0.0) -> Values:
    r"""Density of fresh, brackish or sea water at a depth, by the UNESCO equation of state.

    .. math:: \rho = \rho(S, T, p(z))

    Notes
    -----
    ``water.density_at_pressure`` takes the pressure itself.

    Examples
    --------
    >>> density(temperature_c=10)
    999.70
    >>> density(temperature_c=10, salinity_psu=35)
    1026.95
    """
    return density_at_pressure(
        temperature_c=temperature_c, salinity_psu=salinity_psu, pressure_bar=pressure_at_depth(depth_m)
    )


_CRITICAL_K, _CRITICAL_PA = 647.096, 22.064e6
# Wagner & Pruss 1993, eq. 1: coefficient and power of tau = 1 - T/Tc.
_SATURATION = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)
#: Share by which 1 PSU of sea salt lowers the vapour pressure, from Raoult's law.
_LOWERING_PER_PSU = 0.000537


@formula(
    "water.vapour_pressure",
    title="Vapour pressure of water",
    inputs=(_TEMPERATURE, SALINITY),
    outputs=(Output("vapour_pressure", "Pa", "saturation vapour pressure, absolute"),),
    method="IAPWS saturation equation of Wagner and Pruss, lowered by the salt after Raoult",
    sources=("wagner-pruss-1993, eq. 1",),
    accuracy="0.03 % in fresh water, 0.2 % in salt water",
)
def vapour_pressure(*, temperature_c: Values, salinity_psu: Values = 0.0) -> Values:
    r"""Pressure below which water of a temperature and salinity boils, by the IAPWS saturation equation.

    .. math:: \ln\frac{p}{p_c} = \frac{T_c}{T}\sum_i a_i\tau^{n_i}, \quad \tau = 1 - T/T_c

    Notes
    -----
    At 35 PSU the salt takes off 1.9 %.

    Examples
    --------
    >>> vapour_pressure(temperature_c=20)
    2339.2
    """
    kelvin = temperature_c + 273.15
    tau = 1 - kelvin / _CRITICAL_K
    total = sum(coefficient * tau**power for coefficient, power in _SATURATION)
    pure = _CRITICAL_PA * np.exp(_CRITICAL_K / kelvin * total)
    result: Values = pure * (1 - _LOWERING_PER_PSU * salinity_psu)
    return result

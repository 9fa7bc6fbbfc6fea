"""What the formulas take from SciPy, imported by the first call that needs it.

SciPy takes longer to load than most formulas with their whole topic; a supply formula never loads it.
"""

from __future__ import annotations

from typing import Any


def bessel_j1(x: Any) -> Any:
    """The Bessel function of the first kind and order one, of a number or an array."""
    from scipy.special import j1

    return j1(x)


def find_root(function: Any, ends: tuple[Any, ...], **options: Any) -> Any:
    """Bracketed roots, element by element: ``scipy.optimize.elementwise.find_root`` with its options."""
    from scipy.optimize import elementwise

    search: Any = elementwise.find_root  # its stubs know no further arguments
    return search(function, ends, **options)


def beta_quantile(at: Any, alpha: Any, beta: Any) -> Any:
    """Quantiles of the beta distribution, by a module that loads three times as fast as that of all distributions."""
    from scipy.special import betaincinv

    return betaincinv(alpha, beta, at)


def normal_quantile(at: Any) -> Any:
    """Quantiles of the standard normal distribution."""
    from scipy.special import ndtri

    return ndtri(at)

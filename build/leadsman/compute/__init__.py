"""The formulas: pure functions with units, validity ranges and sources, and no I/O.

``leadsman.compute.registry`` holds what a formula is; each topic module (``water``, ``transducer``,
``echo``, ``hull``, ``supply``, ``flow``, ``sensors``, ``diagnosis``) registers its own. Import
``leadsman.compute`` to have them all registered.
"""

from leadsman.compute import water as water

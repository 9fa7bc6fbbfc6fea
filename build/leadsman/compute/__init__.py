"""The formulas: pure functions with units, validity ranges and sources, and no I/O.

``leadsman.compute.registry`` holds what a formula is; each topic module (``water``, ``transducer``,
``echo``, ``hull``, ``supply``, ``flow``, ``sensors``, ``diagnosis``) registers its own. Import
``leadsman.compute`` to have them all registered.
"""

from leadsman.compute import ampacity as ampacity
from leadsman.compute import bottom_echo as bottom_echo
from leadsman.compute import conductors as conductors
from leadsman.compute import echo as echo
from leadsman.compute import fitting as fitting
from leadsman.compute import hull as hull
from leadsman.compute import noise as noise
from leadsman.compute import seabed as seabed
from leadsman.compute import supply as supply
from leadsman.compute import tilt as tilt
from leadsman.compute import transducer as transducer
from leadsman.compute import water as water
from leadsman.compute import wiring as wiring

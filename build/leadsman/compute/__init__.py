"""The formulas: pure functions with units, validity ranges and sources, and no I/O.

``leadsman.compute.registry`` holds what a formula is; each of the eight topics is a folder that registers its own.
Import ``leadsman.compute`` to have them all registered.
"""

from leadsman.compute import diagnosis as diagnosis
from leadsman.compute import echo as echo
from leadsman.compute import flow as flow
from leadsman.compute import hull as hull
from leadsman.compute import sensors as sensors
from leadsman.compute import supply as supply
from leadsman.compute import transducer as transducer
from leadsman.compute import water as water

"""The formulas: pure functions with units, validity ranges and sources, and no I/O.

``leadsman.compute.registry`` holds what a formula is; each topic module (``water``, ``transducer``,
``echo``, ``hull``, ``supply``, ``flow``, ``sensors``, ``diagnosis``) registers its own. Import
``leadsman.compute`` to have them all registered.
"""

from leadsman.compute import ampacity as ampacity
from leadsman.compute import backbone as backbone
from leadsman.compute import battery as battery
from leadsman.compute import bottom_echo as bottom_echo
from leadsman.compute import budget as budget
from leadsman.compute import bus as bus
from leadsman.compute import conductors as conductors
from leadsman.compute import cranking as cranking
from leadsman.compute import diagnosis as diagnosis
from leadsman.compute import drop_rules as drop_rules
from leadsman.compute import echo as echo
from leadsman.compute import element as element
from leadsman.compute import fitting as fitting
from leadsman.compute import flow as flow
from leadsman.compute import fuses as fuses
from leadsman.compute import hull as hull
from leadsman.compute import information as information
from leadsman.compute import noise as noise
from leadsman.compute import paddle as paddle
from leadsman.compute import pings as pings
from leadsman.compute import readable as readable
from leadsman.compute import seabed as seabed
from leadsman.compute import sentence_formulas as sentence_formulas
from leadsman.compute import suitability as suitability
from leadsman.compute import supply as supply
from leadsman.compute import supply_checks as supply_checks
from leadsman.compute import thermistor as thermistor
from leadsman.compute import tilt as tilt
from leadsman.compute import transducer as transducer
from leadsman.compute import transducer_pins as transducer_pins
from leadsman.compute import water as water
from leadsman.compute import wiring as wiring

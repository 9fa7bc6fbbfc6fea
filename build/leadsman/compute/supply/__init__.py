"""The supply: conductors, voltage drop, fuses, batteries, and the volts that arrive."""

from leadsman.compute.supply import ampacity as ampacity
from leadsman.compute.supply import backbone as backbone
from leadsman.compute.supply import battery as battery
from leadsman.compute.supply import conductors as conductors
from leadsman.compute.supply import cranking as cranking
from leadsman.compute.supply import drop_rules as drop_rules
from leadsman.compute.supply import fuses as fuses
from leadsman.compute.supply import load_checks as load_checks
from leadsman.compute.supply import plug_checks as plug_checks
from leadsman.compute.supply import readout_checks as readout_checks
from leadsman.compute.supply import voltage_drop as voltage_drop
from leadsman.compute.supply import wiring as wiring

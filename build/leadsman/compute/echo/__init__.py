"""The echo of the bottom: the active-sonar equation, and the depths that a small-craft sounder shows."""

from leadsman.compute.echo import budget as budget
from leadsman.compute.echo import noise as noise
from leadsman.compute.echo import pings as pings
from leadsman.compute.echo import readable as readable
from leadsman.compute.echo import seabed as seabed
from leadsman.compute.echo import sonar_equation as sonar_equation
from leadsman.compute.echo import suitability as suitability

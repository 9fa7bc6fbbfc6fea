"""The hull under a transducer: deadrise, tilt, fairing and clearances."""

from leadsman.compute.hull import fitting as fitting
from leadsman.compute.hull import geometry as geometry
from leadsman.compute.hull import tilt as tilt

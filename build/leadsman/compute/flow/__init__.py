"""The water that flows past a face: cavitation and ventilation."""

from leadsman.compute.flow import cavitation as cavitation

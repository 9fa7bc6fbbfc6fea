"""The water: sound speed, absorption, density, vapour pressure, and what they do to a shown depth."""

from leadsman.compute.water import by_water as by_water

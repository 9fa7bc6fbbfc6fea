"""The formulas: pure functions with units, validity ranges and sources, and no I/O.

``leadsman.compute.registry`` holds what a formula is; each of the eight topics is a folder that registers its own
when it is imported. ``registry.formulas`` imports the folders that are asked for.
"""

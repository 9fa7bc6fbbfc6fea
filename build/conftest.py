"""Doctests of the package: import the formulas once, before pytest imports each module by its path.

Without this, collecting a module imports its package first, which imports the module, and then runs the
module a second time, so that its formulas would be registered twice.
"""

from leadsman.compute.registry import formulas

formulas()

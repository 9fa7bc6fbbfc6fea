"""Diagnosis: proofs about an entry, orders of checks, suspects that remain, next best test.

The proofs load without NumPy: what registers formulas is loaded when the formulas of this topic are asked for.
"""

#: The modules that register formulas.
REGISTERING = ("learning", "replacing")

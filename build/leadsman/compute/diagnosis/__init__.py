"""Diagnosis: proofs about an entry, orders of checks, suspects that remain, next best test."""

from leadsman.compute.diagnosis import learning as learning
from leadsman.compute.diagnosis import replacing as replacing

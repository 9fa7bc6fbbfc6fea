"""Diagnosis: proofs about an entry, orders of checks, suspects that remain, next best test."""

from leadsman.compute.diagnosis import expected_time as expected_time
from leadsman.compute.diagnosis import information as information

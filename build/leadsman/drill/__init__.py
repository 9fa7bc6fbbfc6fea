"""The drill: simulated boats with injected faults try the book before a technician does.

The simulator's physics is written down here a second time, independently of ``leadsman.compute``: where a
card's limit and the boat's behaviour came from one formula, an error in that formula would stay invisible.
"""

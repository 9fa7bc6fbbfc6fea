"""The facts that checks ask for; importing this package registers them all."""

from leadsman.drill.facts import bus, depth, pins, screen, supply

__all__ = ["bus", "depth", "pins", "screen", "supply"]

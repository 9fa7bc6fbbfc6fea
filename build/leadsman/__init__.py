"""Make offline field handbooks for small-craft echosounder faults from checked YAML."""

__version__ = "0.1.0"

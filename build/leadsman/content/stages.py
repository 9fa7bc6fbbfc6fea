"""What the rules of the trade and the best order of checks both go by."""

from __future__ import annotations

#: The unit's own volts stand among the first checks.
SUPPLY_EARLY_PLACES = 5
#: Rungs of the supply ladder that count as a measurement under load.
UNDER_LOAD = frozenset({"P1", "P2", "P5"})
#: From what is looked at to what is restored: the stages of the rule "look, measure, swap".
STAGES = {"ask": 0, "look": 0, "operate": 0, "read": 0, "trial": 0, "measure": 1, "swap": 2, "restore": 3}
#: From this rank on an access is costly: the boat is hauled out.
COSTLY_RANK = 5

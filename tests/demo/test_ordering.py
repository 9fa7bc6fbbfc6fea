"""Every entry's order of checks can be judged: it is legal, and the best is no worse."""

import built
from leadsman.compute.diagnosis.sequencing import is_legal
from leadsman.content.decision import Decision
from leadsman.content.ordering import Ordering, by_history, compare


def test_every_entry_of_the_handbook_can_be_judged() -> None:
    """Each written order is legal by its own set, no better than the best, and finds its causes."""
    catalogue = built.catalogue()
    for name, entry in catalogue.faults.items():
        if entry.kind != "fault":
            continue
        found = Ordering(Decision(entry, catalogue))
        report = compare(found)

        assert is_legal(found.check_set(), found.written), name
        assert is_legal(found.check_set(), report.best.order), name
        assert report.excess >= -1e-9, name
        for history, alone in by_history(found).items():
            assert is_legal(found.after(history).check_set(), alone.written), (name, history)
            assert alone.excess >= -1e-9, (name, history)
        for (cause, history), way in found.ways.items():
            ends = way.turns[-1][1]
            assert way.convicting or ends.startswith("entry:"), f"{name}: {cause} after {history}"

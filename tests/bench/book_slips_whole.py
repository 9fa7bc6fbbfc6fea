"""Try every slip of tests/book_slips.py with the drill and with all rules, and tell what each notices.

Run it from the checkout: ``python tests/bench/book_slips_whole.py [BOATS]``; it takes several minutes.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT / "build"), str(ROOT / "tests")]

from book_slips import SLIPS, drilled, put_in, said_by_check, worse  # noqa: E402
from leadsman.content.catalogue import load  # noqa: E402
from leadsman.drill.run import Drill, Outcome  # noqa: E402


def main(boats: int) -> int:
    """One line a slip, and the share noticed at the end; 1 when it is less than nine in ten."""
    catalogue = load(ROOT / "content")
    book = Drill(catalogue)
    before: dict[str, list[Outcome]] = {}
    by_drill = by_check = by_either = 0
    for slip in SLIPS:
        with put_in(catalogue, slip) as changed:
            slipped, fare = Drill(changed), 0
            for entry in slip.entries:
                if entry not in before:
                    before[entry] = drilled(book, entry, boats)
                fare += worse(before[entry], drilled(slipped, entry, boats))
            said = said_by_check(changed, slip) - said_by_check(catalogue, slip)
        by_drill += fare >= 2
        by_check += bool(said)
        by_either += fare >= 2 or bool(said)
        print(
            f"{'' if fare >= 2 or said else 'MISSED':7} drill {fare:3}  check {len(said):2}  {slip.kind}: {slip.name}",
            flush=True,
        )
    print(f"of {len(SLIPS)} slips the drill notices {by_drill}, the rules {by_check}, together {by_either}")
    return 0 if by_either >= 0.9 * len(SLIPS) else 1


if __name__ == "__main__":
    raise SystemExit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 40))

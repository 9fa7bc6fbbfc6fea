"""How many guides a minute, with pages shared and with every page laid out, in one run; and the memory it takes.

    .venv/bin/python tests/bench/guide_fleet.py                  # 200 boats, 4 of them also the plain way
    .venv/bin/python tests/bench/guide_fleet.py --plain 200      # all of them both ways: this takes long

    .venv/bin/python tests/bench/guide_fleet.py --epub           # each guide as an EPUB too

Both ways make the same files of the same boats, from values that are computed beforehand. "Per core" is processor
time: other work on the machine does not count. The frames that the fast way lays out first are in its time.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import resource
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT / "build") not in sys.path:
    sys.path.insert(0, str(ROOT / "build"))

#: Invented first and last names, so that no two covers are the same.
FIRST = ("Perpetua", "Corvin", "Isolde", "Quillan", "Æthelwyn", "Griffith", "Ottoline", "Štěpán")
LAST = ("Rookling", "Thackthwaite", "Lanternby", "Dunmere", "Pellow", "Offley", "Ossory", "Quennell-Wharf")


def customers(count: int, boats: list[str]) -> str:
    """A list of that many customers, by turns with each boat of the content."""
    rows = ["id,like,owner,boat,lead_length,display_serial"]
    for number in range(count):
        owner = f"{FIRST[number % 8]} {LAST[number // 8 % 8]} {number}"
        rows.append(
            f"boat-{number},{boats[number % len(boats)]},{owner},Wherry {number},{3 + number % 5}.5 m,AI-{number}"
        )
    return "\n".join(rows) + "\n"


def used_s() -> float:
    """Processor time of this process and its ended workers [s]."""
    return sum(
        u.ru_utime + u.ru_stime
        for u in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )


def main() -> None:
    """Make the fleet and print what it took."""
    from leadsman.content.catalogue import load
    from leadsman.content.fleet import read_fleet
    from leadsman.fleet import make_fleet, plan_fleet
    from leadsman.output.guide_press import press

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--boats", type=int, default=200)
    parser.add_argument(
        "--plain", type=int, default=4, help="how many of them also the plain way (%(default)s)"
    )
    parser.add_argument("--epub", action="store_true", help="each guide as an EPUB too")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    arguments = parser.parse_args()
    formats = ["pdf", "epub"] if arguments.epub else ["pdf"]
    catalogue = load(ROOT / "content")
    edition = catalogue.editions["owner-guide"]
    with tempfile.TemporaryDirectory() as folder:
        path, out = Path(folder) / "fleet.csv", Path(folder) / "guides"
        path.write_text(customers(arguments.boats, list(catalogue.boats)), encoding="utf-8")
        started, used = time.monotonic(), used_s()
        fleet = read_fleet(path, catalogue)
        plan = plan_fleet(fleet, edition, catalogue, out, ROOT / "templates", formats=formats)
        print(f"plan: {len(fleet.rows)} boats on {len({b.source.key for b in plan.batches})} frames, "
              f"{time.monotonic() - started:.1f} s, {used_s() - used:.1f} s of processor")  # fmt: skip

        started, used = time.monotonic(), used_s()
        context = multiprocessing.get_context("spawn")
        report = make_fleet(
            plan, fleet, edition, out, lambda: ProcessPoolExecutor(arguments.workers, mp_context=context)
        )
        wall, cpu = time.monotonic() - started, used_s() - used
        assert (report.made, report.problems) == (arguments.boats * len(formats), []), report.problems[:3]
        fast = 60 * arguments.boats / cpu
        print(f"shared pages: {arguments.boats} guides ({' and '.join(formats)}), {report.whole} laid out alone, {wall:.1f} s with {arguments.workers} "
              f"workers: {60 * arguments.boats / wall:.0f} guides a minute, {fast:.0f} per core")  # fmt: skip

        started, used, done = time.monotonic(), used_s(), 0
        for batch in plan.batches:
            sample = batch.orders[: max(1, arguments.plain // len(plan.batches))]
            sample = sample[: max(0, arguments.plain - done)]
            results = press(batch.source, sample, plainly=True)
            done += len(sample)
            assert not any(result.fault for result in results)
        wall, cpu = time.monotonic() - started, used_s() - used
        plain = 60 * done / cpu
        print(
            f"plain loop: {done} guides, {wall:.1f} s: {60 * done / wall:.1f} guides a minute, {plain:.1f} per core"
        )
        print(f"ratio per core: {fast / plain:.0f}, frames included")
        _alone(plan.batches[0], plain)
        peaks = {name: resource.getrusage(who).ru_maxrss / 1024
                 for name, who in (("this process", resource.RUSAGE_SELF), ("largest worker", resource.RUSAGE_CHILDREN))}  # fmt: skip
        print("peak memory: " + ", ".join(f"{name} {peak:.0f} MB" for name, peak in peaks.items()))


def _alone(batch: object, plain: float) -> None:
    """A frame that is there already: what each further guide takes."""
    from leadsman.output.guide_press import press

    source, orders = batch.source, batch.orders  # type: ignore[attr-defined]
    press(source, orders[:1])
    used = used_s()
    press(source, orders)
    each = (used_s() - used) / len(orders)
    print(
        f"each further guide of a frame: {1000 * each:.0f} ms of processor, {60 / each / plain:.0f} times the plain loop"
    )


if __name__ == "__main__":
    main()

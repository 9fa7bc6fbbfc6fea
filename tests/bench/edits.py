"""What an edit, a check, a second build and a further guide take, in one run, beside the figures of the first edition.

    .venv/bin/python tests/bench/edits.py                  # all but the builds and the 1,000 entries
    .venv/bin/python tests/bench/edits.py --handbook       # the whole handbook as a PDF too
    .venv/bin/python tests/bench/edits.py --whole          # those too: this takes many minutes

Times are of the processor, so that other work on the machine counts as little as it can; each stands beside the target
and, where the first edition was measured, its figure on two loaded cores. The column "unit" divides by what this
machine needs here and now for a fixed piece of work (laying out one page of plain text), so that two runs on differently
loaded machines can be compared.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import itertools
import json
import os
import re
import resource
import shutil
import statistics
import string
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT / "build") not in sys.path:
    sys.path.insert(0, str(ROOT / "build"))

ENTRY = "restarts-on-cranking"
EDITED = ("faults", "power", f"{ENTRY}.yaml")


def used_s() -> float:
    """Processor time of this process and its ended workers [s]."""
    return sum(
        u.ru_utime + u.ru_stime
        for u in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )


def taken(work: Callable[[], object], times: int = 1) -> float:
    """The median of processor time over some runs [s]."""
    found = []
    for _ in range(times):
        before = used_s()
        work()
        found.append(used_s() - before)
    return statistics.median(found)


class Table:
    """The rows as they come, since some take minutes."""

    def __init__(self, unit_s: float) -> None:
        self.unit_s = unit_s
        print(f"one plain page: {1000 * unit_s:.0f} ms (the unit)\n")
        print(f"{'what':<52} {'s':>8} {'unit':>7}  {'target':>10}  {'first edition':>13}")

    def row(self, what: str, seconds: float, target: str = "", first: str = "") -> None:
        """Print a row."""
        print(
            f"{what:<52} {seconds:8.2f} {seconds / self.unit_s:7.1f}  {target:>10}  {first:>13}", flush=True
        )


def edits(folder: Path) -> Iterator[None]:
    """Save another wording of an entry, over and over."""
    path = folder.joinpath(*EDITED)
    text = path.read_text(encoding="utf-8")
    words = iter(range(1000))
    while True:
        seen = f"  seen: The unit dies when the engine is cranked, trial {next(words)}."
        path.write_text(re.sub(r"^  seen: .*$", seen, text, count=1, flags=re.MULTILINE), encoding="utf-8")
        yield


def leadsman(*words: str) -> Callable[[], object]:
    """A command in a process of its own."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "build")}

    def run() -> None:
        done = subprocess.run(
            [sys.executable, "-m", "leadsman", *words], capture_output=True, text=True, env=environment, check=False
        )  # fmt: skip
        if done.returncode:
            print(f"  leadsman {words[0]} ended with {done.returncode}: {done.stderr.strip()[-200:]}")

    return run


def preview(folder: Path, table: Table) -> None:
    """From a saved edit to the pages in the warm process of a preview."""
    from leadsman.preview.views import Desk

    desk = Desk(folder, ROOT / "templates")
    target, saving = desk.target(ENTRY), edits(folder)
    for _, make in desk.views(target):
        make()

    def renewed(name: str) -> Callable[[], object]:
        def run() -> None:
            next(saving)
            desk.read()
            view = dict(desk.views(target))[name]()
            assert not view.trouble, view.trouble

        return run

    table.row("edit to card, in a running preview", taken(renewed("card"), 5), "0.3", "59")
    table.row("edit to the entry's handbook pages", taken(renewed("handbook"), 3), "", "220 (whole)")
    table.row("edit to the telephone's screen", taken(renewed("phone"), 3))
    table.row("reading after an edit", taken(lambda: (next(saving), desk.read()), 5))


def checks(folder: Path, cache: Path, table: Table) -> None:
    """The command, with nothing kept, with all kept, and after one edit."""
    saving = edits(folder)
    cold = leadsman("check", "--content", str(folder), "--no-cache")
    warm = leadsman("check", "--content", str(folder), "--cache", str(cache))
    table.row("check, 63 entries, cold", taken(cold, 3), "2.5", "6 to 7")
    warm()
    table.row("check, without change", taken(warm, 3), "0.5", "6 to 7")

    def edited() -> None:
        next(saving)
        warm()

    table.row("check, after one edit", taken(edited, 3), "0.5", "6 to 7")
    table.row("help, as what Python itself takes", taken(leadsman("--version"), 3), "", "0.13")


def many(folder: Path, count: int) -> Path:
    """A copy of the content with so many entries: the demo's, under other ids and codes, in areas of their own."""
    made = folder.parent / f"content-{count}"
    shutil.copytree(folder, made)
    texts = {path: path.read_text(encoding="utf-8") for path in sorted((folder / "faults").rglob("*.yaml"))}
    taken_letters = {re.findall(r"^code: (\w)", text, re.MULTILINE)[0] for text in texts.values()}
    letters = (letter for letter in string.ascii_uppercase if letter not in taken_letters)
    codes = ((letter, number) for letter in letters for number in range(1, 100))
    copies = ((round_, path) for round_ in itertools.count(1) for path in texts)
    for (round_, path), (letter, number) in zip(
        itertools.islice(copies, count - len(texts)), codes, strict=False
    ):
        name, area = f"{path.stem}-{round_}", f"area-{letter.lower()}"
        # A message belongs to one entry.
        text = re.sub(r"^  messages: .*\n", "", texts[path], count=1, flags=re.MULTILINE)
        for key, value in (("id", name), ("code", f"{letter}{number}"), ("area", area)):
            text = re.sub(rf"^{key}: .*$", f"{key}: {value}", text, count=1, flags=re.MULTILINE)
        (made / "faults" / area).mkdir(exist_ok=True)
        (made / "faults" / area / f"{name}.yaml").write_text(text, encoding="utf-8")
        if number == 1:
            with (made / "areas.yaml").open("a", encoding="utf-8") as areas:
                areas.write(
                    f'{area}: {{name: Area {letter}, letter: {letter}, about: "Copies of the entries."}}\n'
                )
    return made


def whole(folder: Path, work: Path, table: Table) -> None:
    """A build, the same again, and the check of ever more entries."""
    out, cache = work / "out", work / "cache-build"
    build = leadsman("build", "--content", str(folder), "--out", str(out), "--cache", str(cache))
    table.row("demo, cold", taken(build), "140", "420")
    table.row("demo again, without change", taken(build), "5", "420")
    for count in (126, 252, 1000):
        made = many(folder, count)
        there = len(list((made / "faults").rglob("*.yaml")))
        cold = taken(leadsman("check", "--content", str(made), "--no-cache"))
        table.row(f"check, {there} entries, cold", cold, "15" if count == 1000 else "", {126: "8.1", 252: "12.7"}.get(count, "51.6"))  # fmt: skip
        warm = leadsman("check", "--content", str(made), "--cache", str(work / "cache-check"))
        warm()
        saving = edits(made)
        next(saving)
        table.row(f"check, {there} entries, after one edit", taken(warm), "1.5" if count == 1000 else "")


def handbook_process(folder: Path, cache: Path) -> None:
    """Set the whole printed handbook anew and after some edits, in a process of its own, and print what it took."""
    from leadsman.book.manual import build_manual
    from leadsman.content.catalogue import Memory, load
    from leadsman.output.handbook import handbook_parts, printed_parts, write_handbook_pdf
    from leadsman.press.typeset import Typesetter
    from leadsman.store import Store

    memory, templates = Memory(), ROOT / "templates"
    typesetter = Typesetter(templates, store=Store(cache))

    def make() -> None:
        content = load(folder, memory)
        manual = build_manual(content.editions["handbook"], content, reports=False)
        parts = printed_parts(handbook_parts(manual, content, templates, in_print=True))
        out = cache.with_name("handbook.pdf")
        write_handbook_pdf(
            manual, parts, out=out, templates=templates, typesetter=typesetter, catalogue=content
        )

    cold = taken(make)
    saving = edits(folder)
    # The first edit loads what a warm process has.
    next(saving)
    make()
    edited = taken(lambda: (next(saving), make()), 5)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"cold": cold, "edited": edited, "peak_mb": peak_mb}))


def handbook(folder: Path, work: Path, table: Table) -> None:
    """The whole handbook as a PDF, without its survey."""
    copy = Path(shutil.copytree(folder, work / "content-handbook"))
    words = [sys.executable, __file__, "--handbook-process", str(copy), str(work / "cache-handbook")]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    found = json.loads(done.stdout.splitlines()[-1])
    table.row("whole handbook, nothing kept", found["cold"], "", "220")
    table.row("edit to the whole handbook", found["edited"], "3", "220")
    print(f"peak memory of that process: {found['peak_mb']:.0f} MB (target: 700)")


def one_build(folder: Path, work: Path, table: Table) -> None:
    """The records and one deck, with nothing kept and with all kept."""
    words = (
        "build",
        "service-record",
        "--content",
        str(folder),
        "--survey",
        "off",
        "--cache",
        str(work / "kept"),
    )
    cold = taken(leadsman(*words, "--out", str(work / "one")))
    again = taken(leadsman(*words, "--out", str(work / "two")))
    table.row("service records, cold", cold, "", "8.9")
    table.row("service records again, without change", again)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--whole", action="store_true", help="also the demo and up to 1,000 entries")
    parser.add_argument("--handbook", action="store_true", help="also the whole handbook as a PDF: minutes")
    parser.add_argument("--handbook-process", nargs=2, type=Path, help=argparse.SUPPRESS)
    parser.add_argument(
        "--guides", type=int, default=0, metavar="N", help="also so many guides, by guide_fleet.py"
    )
    arguments = parser.parse_args()
    if arguments.handbook_process:
        handbook_process(*arguments.handbook_process)
        return
    from leadsman.press.typeset import Typesetter

    setter, page = Typesetter(), f"<p>{'The depth number stands on the screen. ' * 60}</p>"
    setter.lay_out(page, title="unit")
    table = Table(taken(lambda: setter.lay_out(page, title="unit"), 5))
    with tempfile.TemporaryDirectory(prefix="leadsman-bench-") as name:
        work = Path(name)
        folder = work / "content"
        shutil.copytree(ROOT / "content", folder)
        preview(folder, table)
        checks(folder, work / "cache", table)
        one_build(folder, work, table)
        if arguments.handbook or arguments.whole:
            handbook(folder, work, table)
        if arguments.whole:
            whole(folder, work, table)
    if arguments.guides:
        with contextlib.redirect_stderr(io.StringIO()):
            subprocess.run([sys.executable, str(Path(__file__).with_name("guide_fleet.py")), "--boats", str(arguments.guides)], check=True)  # fmt: skip


if __name__ == "__main__":
    main()

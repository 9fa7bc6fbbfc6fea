"""The store: nothing but its own user's folder, nothing damaged, and the same verdict and bytes with it as without."""

from __future__ import annotations

import json
import multiprocessing
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import small_content
from leadsman import store as stores
from leadsman.book.verdict import judge
from leadsman.build import Order, build_editions
from leadsman.cli import main
from leadsman.content.catalogue import Memory, load
from leadsman.content.judged import folder_key
from leadsman.content.rules import RULES, Context, load_rules
from leadsman.content.rules.keeping import findings
from leadsman.content.source import recalled
from leadsman.store import Bundle, Store, digest

#: Edits of the small content (file, old, new): right and wrong ones, of every kind of record, one after the other.
EDITS = (
    ("faults/depth/no-depth.yaml", "title: No depth", "title: No depth at all"),
    ("faults/depth/no-depth.yaml", "Salt water reached the pins.", "Salt water reached 12.6 V pins."),
    ("faults/depth/no-depth.yaml", '"no": {then: found-software', '"no": {then: found-nothing'),
    ("faults/depth/no-depth.yaml", "causes:", "causes: ["),
    ("faults/depth/no-depth.yaml", "in_service: 40", "in_service: 1"),
    ("faults/power/low-volts.yaml", "status: draft", "status: drafty"),
    ("checks/own-volts.yaml", "minutes:", "minutes: 1"),
    ("areas.yaml", "letter:", "letters:"),
    ("values.yaml", "V", "A"),
    ("boats/punt.yaml", "id: punt", "id: pint"),
    ("families/plain.yaml", "name:", "name: Rather"),
    ("glossary.yaml", "\n", "\n\n"),
)


def write(folder: Path, number: int, undo: bool) -> None:
    """Make an edit, or put the file back as it was."""
    file, old, new = EDITS[number]
    path = folder / file
    if undo:
        shutil.copy(small_content.FOLDER / file, path)
    else:
        path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(series=st.lists(st.tuples(st.integers(0, len(EDITS) - 1), st.booleans()), min_size=1, max_size=6))
def test_a_verdict_is_the_same_with_the_store_and_without(
    tmp_path_factory: pytest.TempPathFactory, series: list[tuple[int, bool]]
) -> None:
    folder = small_content.copy(tmp_path_factory.mktemp("edited"))
    warm, memory = Store(tmp_path_factory.mktemp("kept") / "store"), Memory()
    assert warm.folder is not None
    for number, undo in [(0, True), *series]:
        write(folder, number, undo)
        plain = judge(load(folder))
        # In the memory of a preview, in that of the next command, and in a store that has it all.
        for reading in (memory, Memory(store=warm), memory):
            kept = judge(load(folder, reading), warm)
            assert kept.problems == plain.problems
            assert kept.following == plain.following
            assert sorted(map(repr, kept.waived)) == sorted(map(repr, plain.waived))


def test_a_rule_of_a_narrow_scope_finds_the_same_alone(repository: Path, tmp_path: Path) -> None:
    """Entries, a text and a transducer broken in ways that these rules see: each is looked at without the others, and
    nothing is lost."""
    load_rules()
    folder = tmp_path / "content"
    shutil.copytree(repository / "content", folder)
    for path in sorted((folder / "faults").rglob("*.yaml"))[::4]:
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("waivers:", "x-waivers:").replace("minutes: 1\n", "minutes: 90\n", 2)
                        .replace("      cannot: {", "      cannot-tell: {", 1).replace(" the transducer", " the transponder", 1),
                        encoding="utf-8")  # fmt: skip
    transducer = sorted((folder / "transducers").glob("*.yaml"))[0]
    text = transducer.read_text(encoding="utf-8")
    transducer.write_text(re.sub(r"beamwidth_deg: \d+", "beamwidth_deg: 79", text, count=1), encoding="utf-8")
    context = Context(load(folder))
    alone = findings(context, Store(None))
    narrow = {name for name, rule in RULES.items() if rule.scope != "all"}
    assert set(alone) == narrow
    # One of each scope: an entry, the equipment, the texts of a file.
    for name in ("answers", "aperture", "vocabulary"):
        assert alone[name], f"nothing was broken that '{name}' sees"
    for name, found in alone.items():
        assert sorted(set(found)) == sorted(set(RULES[name].find(context))), name


def test_a_recalled_file_has_its_places(tmp_path: Path) -> None:
    """Data from the store, places from the text: the same as what was read."""
    raw = b"id: a\nlist:\n- {id: b, word: c}\n"
    store, path = Store(tmp_path / "store"), tmp_path / "a.yaml"
    first, again = (recalled(raw, path, store) for _ in range(2))
    assert type(again) is not type(first), "it was read twice"
    assert (again.data, again.text, again.problems) == (first.data, first.text, [])
    assert (again.keys, again.values) == (first.keys, first.values)
    assert again.problem(("list", 0, "word"), "x") == first.problem(("list", 0, "word"), "x")
    broken = recalled(b"a: [", path, store), recalled(b"a: [", path, store)
    assert broken[0].problems == broken[1].problems != []


def test_the_key_of_a_folder_is_that_of_its_bytes(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    keys = [folder_key(folder)]
    for number in (0, 10, 11):
        write(folder, number, undo=False)
        keys.append(folder_key(folder))
    (folder / "boats" / "punt.yaml").rename(folder / "boats" / "pint.yaml")
    keys.append(folder_key(folder))
    (folder / "boats" / "link.yaml").symlink_to("pint.yaml")
    keys.append(folder_key(folder))
    assert len(set(keys)) == len(keys)
    assert folder_key(folder) == keys[-1]


def test_the_command_says_the_same_from_the_store(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a change, after an edit, and for a broken file: what is printed and the exit code."""
    folder, cache = small_content.copy(tmp_path), tmp_path / "cache"

    def said(*options: str) -> tuple[object, object]:
        with pytest.raises(SystemExit) as ended:
            main(["check", "--content", str(folder), "--waivers", *options])
        return ended.value.code, capsys.readouterr()

    for number, undo in ((0, True), (1, False), (3, False), (3, True), (1, True)):
        write(folder, number, undo)
        plain = said("--no-cache")
        for _ in range(2):
            assert said("--cache", str(cache)) == plain
    monkeypatch.setattr("leadsman.content.catalogue.load", lambda *given: pytest.fail("read again"))
    assert said("--cache", str(cache)) == plain


def test_only_what_has_changed_is_looked_at_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder, warm = small_content.copy(tmp_path), Store(tmp_path / "store")
    judge(load(folder), warm)
    asked: list[set[str]] = []
    rule = RULES["order"]

    def counting(context: Context) -> object:
        asked.append(set(context.catalogue.faults))
        return rule.find(context)

    monkeypatch.setitem(RULES, "order", type(rule)(rule.id, rule.says, rule.waivable, counting, rule.scope))  # type: ignore[arg-type]
    monkeypatch.setattr(
        "leadsman.book.computable.compute_table", lambda *given: pytest.fail("computed again")
    )
    small_content.edit(folder, "faults/depth/no-depth.yaml", "title: No depth", "title: No depth at all")
    judge(load(folder), warm)
    assert asked == [], "other words make no other order"
    small_content.edit(folder, "faults/depth/no-depth.yaml", "in_service: 40", "in_service: 41")
    judge(load(folder), warm)
    assert asked == [{"no-depth"}]
    judge(load(folder), warm)
    assert asked == [{"no-depth"}], "an unchanged content is not looked at at all"


def test_a_deck_is_the_same_with_the_store_and_without(repository: Path, tmp_path: Path) -> None:
    """After an edit, with blocks and documents kept from before it, and with two thirds of the store deleted."""
    folder = small_content.copy(tmp_path)
    kept = tmp_path / "store"

    def deck(name: str, cache: Path | None) -> bytes:
        catalogue = load(folder)
        edition = next(iter(catalogue.editions))
        order = Order(catalogue, judge(catalogue), repository / "templates", cache=cache)
        (made,) = build_editions(order, [edition], tmp_path / name)
        return made.path.read_bytes()

    first = deck("warmed", kept)
    assert deck("again", kept) == first
    small_content.edit(
        folder,
        "faults/depth/no-depth.yaml",
        "No depth number stands on the screen.",
        "No depth number stands there.",
    )
    plain = deck("plain", None)
    assert plain != first
    for number, path in enumerate(sorted(kept.glob("*/*/*"))):
        if number % 3:
            path.unlink()
    assert deck("edited", kept) == plain
    shutil.rmtree(kept)
    assert deck("deleted", kept) == plain


def test_a_bundle_has_what_the_last_run_asked_for_or_made(tmp_path: Path) -> None:
    """In one file; what nobody asked for is left out, another kind lies by itself, and a damaged one counts as none."""
    folder = tmp_path / "store"

    def bundle(about: str = "about") -> Bundle:
        return Bundle(Store(folder), "small", about)

    first = bundle()
    for name in ("a", "b", "c"):
        first.put_data("small", name, [name, None])
    first.put_data("large", digest("d"), {"d": 1})
    assert bundle().get_data("small", "a") is None, "not before it is written"
    first.write()
    second = bundle()
    assert [second.get_data("small", name) for name in ("a", "b", "x")] == [["a", None], ["b", None], None]
    assert Store(folder).get_data("large", digest("d")) == {"d": 1}
    assert Store(folder).get_data("small", "a") is None
    assert bundle("another").get_data("small", "a") is None
    second.put_data("small", "e", 5)
    second.write()
    third = bundle()
    assert [third.get_data("small", name) for name in ("a", "b", "c", "e")] == [
        ["a", None],
        ["b", None],
        None,
        5,
    ]
    (path,) = (folder / "bundles").rglob("about")
    path.write_bytes(path.read_bytes()[:-1])
    assert bundle().get_data("small", "a") is None


def test_a_bundle_is_written_only_when_it_has_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store(tmp_path / "store")
    first = Bundle(store, "small", "about")
    first.put_data("small", "a", 1)
    first.write()
    monkeypatch.setattr(stores.tempfile, "mkstemp", lambda **given: pytest.fail("written again"))
    again = Bundle(store, "small", "about")
    assert again.get_data("small", "a") == 1
    again.write()
    first.write()


def test_a_damaged_entry_counts_as_none(tmp_path: Path) -> None:
    Store(tmp_path / "store").put("kind", digest("a"), b"the pages")
    (path,) = (tmp_path / "store" / "kind").rglob(digest("a"))
    for damaged in (path.read_bytes()[:-1], path.read_bytes() + b"x", b"", os.urandom(80)):
        path.write_bytes(damaged)
        assert Store(tmp_path / "store").get("kind", digest("a")) is None


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="this system has no owners of folders")
def test_a_folder_that_others_may_write_to_is_not_used(tmp_path: Path) -> None:
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o777)
    assert Store(shared).folder is None
    link = tmp_path / "link"
    link.symlink_to(tmp_path / "elsewhere")
    assert Store(link).folder is None
    file = tmp_path / "file"
    file.write_text("no folder")
    assert Store(file).folder is None
    made = Store(tmp_path / "own")
    assert made.folder is not None
    assert made.folder.stat().st_mode & 0o777 == 0o700
    if os.getuid() == 0:
        os.chown(made.folder, 12345, 12345)
        assert Store(made.folder).folder is None, "another user's folder"


def _write_many(folder: str, number: int) -> None:
    store = Store(Path(folder))
    for _ in range(25):
        for key in range(10):
            store.put("kind", digest(key), json.dumps([key] * 500).encode())
            found = Store(Path(folder)).get("kind", digest(key))
            assert found is None or json.loads(found) == [key] * 500


def test_two_builds_at_once_never_see_half_an_entry(tmp_path: Path) -> None:
    context = multiprocessing.get_context("spawn")
    workers = [context.Process(target=_write_many, args=(str(tmp_path / "store"), n)) for n in range(2)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(240)
    assert [worker.exitcode for worker in workers] == [0, 0]
    assert not list((tmp_path / "store").rglob(".part-*"))


def test_a_store_that_cannot_be_written_costs_nothing_but_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store(tmp_path / "store")

    def full(*given: object, **named: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(stores.tempfile, "mkstemp", full)
    store.put("kind", digest("a"), b"x" * 100_000)
    assert store.get("kind", digest("a")) is None


def test_what_nobody_asks_for_goes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "store"
    store = Store(folder)
    for name in ("old", "new"):
        store.put("kind", digest(name), b"x" * 100)
    (old,) = (folder / "kind").rglob(digest("old"))
    os.utime(old, (1_000_000, 1_000_000))
    os.utime(folder / "swept", (1_000_000, 1_000_000))
    again = Store(folder)
    assert again.get("kind", digest("old")) is None
    assert again.get("kind", digest("new")) == b"x" * 100


def test_a_sweep_leaves_alone_what_the_store_did_not_make(tmp_path: Path) -> None:
    """Whoever names a folder of his own keeps what he has in it, however old: content lies three folders deep."""
    folder = tmp_path / "book"
    name = digest("x")
    mine = [
        "content/faults/power.yaml",
        f"content/{name[:2]}/notes",
        f"a/b/{name}",
        f"a/bc/{name}",
        "a/ab/.part",
        "a/b/.part-1",
    ]
    gone = [f"kind/{name[:2]}/{name}", "kind/ab/.part-abc"]
    for path in (folder / place for place in (*mine, *gone)):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("mine", encoding="utf-8")
        os.utime(path, (1_000_000, 1_000_000))
    (folder / "a/link").symlink_to("ab")
    folder.chmod(0o700)
    Store(folder)
    assert (folder / "swept").exists()
    assert [place for place in (*mine, *gone) if (folder / place).exists()] == mine


def test_check_says_the_same_warm_and_cold(repository: Path, tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "faults/depth/no-depth.yaml", "in_service: 40", "in_service: forty")
    environment = {**os.environ, "PYTHONPATH": str(repository / "build")}
    told = [
        subprocess.run([sys.executable, "-m", "leadsman", "check", "--content", str(folder), *more],
                       capture_output=True, text=True, env=environment, check=False)
        for more in (["--no-cache"], ["--cache", str(tmp_path / "store")], ["--cache", str(tmp_path / "store")])
    ]  # fmt: skip
    assert [done.returncode for done in told] == [1, 1, 1]
    assert told[0].stdout == told[1].stdout == told[2].stdout
    assert "forty" in told[0].stdout

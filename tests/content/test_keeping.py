"""What a check keeps of its findings: after whatever was done to a folder, it says what a check without it says."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import small_content
from leadsman.book.verdict import judge, judge_kept
from leadsman.commands import check
from leadsman.content import catalogue as catalogues
from leadsman.content.catalogue import load
from leadsman.content.decision import Decision
from leadsman.content.facts import Facts, facts_of
from leadsman.content.judged import bundle_of
from leadsman.content.model.base import Prose
from leadsman.content.rules import keeping
from leadsman.content.rules.keeping import without_words
from leadsman.content.source import Document
from leadsman.store import Bundle, Store

DEPTH, POWER, EXTRA = "faults/depth/no-depth.yaml", "faults/power/low-volts.yaml", "faults/power/extra.yaml"

#: A hazard that bears on no entry.
GAS = (
    "gas: {title: Gas, signal: DANGER, words: [Gas], short: Gas., say: Leave., do: [Leave.], comes: A fitter., "
    "until: None is smelt., cautions: [vapour]"
)
#: Texts of the small content and what takes their place: words, numbers, ways, lists, phrases, editions, equipment; what
#: one entry says of another, and what of the other it rests on.
EDITS = (
    (DEPTH, "title: No depth", "title: No depth at all"),
    (DEPTH, "Salt water reached the pins.", "Salt water reached 12.6 V pins."),
    (DEPTH, "{card: low-volts}", "{card: low-watts}"),
    (DEPTH, "see_also: [low-volts]", "see_also: [extra, low-volts]"),
    (DEPTH, '"no": {then: found-joint, shows: [bad-joint]}', '"no": {to_entry: low-volts, shows: [bad-joint]}'),
    (DEPTH, '"no": {then: found-joint, shows: [bad-joint]}', '"no": {to_entry: extra, at: volts, shows: [bad-joint]}'),
    (DEPTH, "causes: [bad-joint]", "causes: [bad-plug]"),
    (DEPTH, "in_service: 40", "in_service: 1"),
    (DEPTH, "hand_overs:", "waivers: [{rule: order, reason: It is a trial}, {rule: looks-like, reason: Never}]\nhand_overs:"),
    (DEPTH, "cautions: [update-battery]", "cautions: []"),
    (DEPTH, "messages: {plain: [no-depth]}", "messages: {plain: [low-supply]}"),
    (DEPTH, "causes:", "causes: ["),
    (DEPTH, "Does the depth match the lead line?", "Is it {value: wait-time}?"),
    (POWER, "component: joints", "component: display"),
    (POWER, "id: volts", "id: own-volts"),
    (POWER, "cannot: {then: hand-over}", "cannot: {to_entry: no-depth}"),
    (POWER, "code: P1", "code: D1"),
    (POWER, "area: power", "area: depth"),
    (POWER, "status: draft", "status: drafty"),
    (POWER, 'status: draft\nreviewed: "2026-11-25"', 'status: reviewed\nreviewed: "2026-11-30"'),
    (DEPTH, 'reviewed: "2026-11-25"', 'reviewed: "2026-12-24"'),
    ("checks/own-volts.yaml", "minutes: 1", "minutes: 90"),
    ("checks/own-volts.yaml", "id:", "id: ["),
    ("checks/own-volts.yaml", "do: Read the volts", "do: Open {menu: update-software} and read the volts"),
    ("areas.yaml", "letter: P", "letter: Q"),
    ("cautions.yaml", "A spark explodes it.}", "A spark explodes it., called_for: {phrases: [joint]}}"),
    ("cautions.yaml", "update-battery:", "update-batteries:"),
    ("components.yaml", "joints:", "joint:"),
    ("capabilities.yaml", "depth:", "depths:"),
    ("hazards.yaml", "{}", GAS + "}"),
    ("hazards.yaml", "{}", GAS + ", access: [helm]}"),
    ("tools.yaml", "id", "ids"),
    ("glossary.yaml", "never: [", "never: [joint, "),
    ("values.yaml", "wait-time:", "waiting-time:"),
    ("values.yaml", "declared: 10 s", "declared: '10'"),
    ("retired.yaml", "{}", "low-volts: {on: '2026-01-01', replaced_by: no-depth}"),
    ("families/plain.yaml", "low-supply:", "low-volts:"),
    ("boats/punt.yaml", "fuse_a:", "fuse_a: 1"),
    ("phrases/en.yaml", "{given: title}: fixes", "{given: titles}: fixes"),
    ("editions/deck.yaml", "areas: [power, depth]", "areas: [power, depth], only: [extra]"),
    ("editions/deck.yaml", "subtitle: The deck", "subtitle: The deck of {card: extra}"),
    ("topics/batteries.yaml", "owner_safe: true", "owner_safe: false"),
)  # fmt: skip


def edited(folder: Path, number: int) -> None:
    """Make one edit where its text stands."""
    file, old, new = EDITS[number]
    if (folder / file).is_file():
        text = (folder / file).read_text(encoding="utf-8")
        (folder / file).write_text(text.replace(old, new, 1), encoding="utf-8")


def added(folder: Path) -> None:
    """A third entry, like that on low volts."""
    text = (small_content.FOLDER / POWER).read_text(encoding="utf-8")
    text = text.replace("id: low-volts", "id: extra").replace("code: P1", "code: P2")
    (folder / EXTRA).write_text(text.replace("  messages: {plain: [low-supply]}\n", ""), encoding="utf-8")


def moved(folder: Path, file: str, to: str) -> None:
    """Another name for a file; what lies there is gone."""
    if (folder / file).is_file():
        shutil.move(folder / file, folder / to)


def restored(folder: Path) -> None:
    """Everything as it was."""
    shutil.rmtree(folder)
    shutil.copytree(small_content.FOLDER, folder)


STEPS: list[Callable[[Path], None]] = [
    *(lambda folder, number=number: edited(folder, number) for number in range(len(EDITS))),  # type: ignore[misc]
    added,
    added,
    restored,
    *(
        lambda folder, file=file: (folder / file).unlink(missing_ok=True)  # type: ignore[misc]
        for file in (
            DEPTH,
            POWER,
            EXTRA,
            "values.yaml",
            "checks/own-volts.yaml",
            "editions/deck.yaml",
            "hazards.yaml",
        )
    ),
    lambda folder: moved(folder, POWER, "faults/depth/low-volts.yaml"),
    lambda folder: moved(folder, POWER, "faults/power/lower-volts.yaml"),
    lambda folder: moved(folder, DEPTH, POWER),
    lambda folder: moved(folder, "checks/own-volts.yaml", "checks/volts.yaml"),
    lambda folder: shutil.copy(small_content.FOLDER / POWER, folder / "faults" / "depth") and None,
]


def says(folder: Path, cache: Path | None) -> tuple[object, ...]:
    """All that the command tells of a folder."""
    entries, verdict = check._judged(folder, cache)
    return entries, verdict.problems, verdict.following, verdict.waived


@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(series=st.lists(st.integers(0, len(STEPS) - 1), min_size=2, max_size=6))
def test_a_check_says_the_same_whatever_was_done_before(
    tmp_path_factory: pytest.TempPathFactory, series: list[int]
) -> None:
    folder = small_content.copy(tmp_path_factory.mktemp("edited"))
    cache = tmp_path_factory.mktemp("kept") / "store"
    added(folder)
    assert says(folder, cache) == says(folder, None)
    for number in series:
        STEPS[number](folder)
        assert says(folder, cache) == says(folder, None)


def test_each_edit_is_seen_and_so_is_its_undoing(tmp_path: Path) -> None:
    """Every step by itself after a check that kept all, and the next one when everything is as it was."""
    folder, cache = small_content.copy(tmp_path), tmp_path / "store"
    added(folder)
    before = says(folder, cache)
    silent = []
    for number, step in enumerate(STEPS):
        step(folder)
        plain = says(folder, None)
        assert says(folder, cache) == plain, number
        if number < len(EDITS) and plain == before:
            silent.append(EDITS[number])
        restored(folder)
        added(folder)
    # A title and an order that both are right tell nothing, nor does a hint that nobody needs.
    assert len(silent) < len(EDITS) / 4, silent
    assert says(folder, cache) == before


def test_what_entries_rest_on_outside_is_looked_at_again(tmp_path: Path) -> None:
    """A hazard bears on the entries that work at the helm; then their shared checks are made elsewhere."""
    folder, cache = small_content.copy(tmp_path), tmp_path / "store"
    small_content.edit(folder, "hazards.yaml", "{}", GAS + ", access: [haul-out]}")
    assert any("bears on no entry" in p.what for p in check._judged(folder, cache)[1].problems)
    path = folder / "checks" / "own-volts.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("access: helm", "access: haul-out"), encoding="utf-8"
    )
    assert not any("bears on no entry" in p.what for p in check._judged(folder, cache)[1].problems)
    assert says(folder, cache) == says(folder, None)


@pytest.mark.parametrize(
    "file", ["values.yaml", "tools.yaml", "checks/own-volts.yaml", "families/plain.yaml", DEPTH]
)
def test_a_file_that_is_broken_is_not_one_that_is_gone(tmp_path: Path, file: str) -> None:
    """Whatever names a record of a file that cannot be read is not wrong for that; of one that is gone it is."""
    folder, cache = small_content.copy(tmp_path), tmp_path / "store"
    for text in ("a: [", None, "a: [", None):
        if text is None:
            (folder / file).unlink()
        else:
            (folder / file).write_text(text, encoding="utf-8")
        assert says(folder, cache) == says(folder, None)


def test_what_an_entry_rests_on_in_another_is_looked_at_again(tmp_path: Path) -> None:
    """The entry on depth hands a bad joint on to that on low volts; there is then no such cause in the joints."""
    folder, cache = small_content.copy(tmp_path), tmp_path / "store"
    edited(folder, 4)
    check._judged(folder, cache)
    small_content.edit(folder, POWER, "component: joints", "component: display")
    found = check._judged(folder, cache)[1]
    assert any(p.path.endswith("no-depth.yaml") and "'bad-joint'" in p.what for p in found.problems)
    assert found.problems == judge(load(folder)).problems


@pytest.mark.parametrize("edit", [(DEPTH, "title: No depth", "title: No depth at all"),
                                  (POWER, "in_service: 3", "in_service: 4")])  # fmt: skip
def test_of_the_other_entries_nothing_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, edit: tuple[str, str, str]
) -> None:
    folder, cache = small_content.copy(tmp_path), tmp_path / "store"
    added(folder)
    check._judged(folder, cache)
    small_content.edit(folder, *edit)
    read, plain = [], catalogues._read

    def counting(kind: str, document: Document, base: tuple[str, ...]) -> object:
        read.append(kind)
        return plain(kind, document, base)

    monkeypatch.setattr(catalogues, "_read", counting)
    found = check._judged(folder, cache)[1]
    assert "faults" not in read
    assert not {"phrases", "tables", "transducers", "drills"} & set(read)
    assert found.problems == judge(load(folder)).problems


def test_a_build_shares_what_a_check_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And leaves it there for the next check."""
    folder, cache = small_content.copy(tmp_path), tmp_path / "store"
    small_content.edit(folder, DEPTH, "in_service: 40", "in_service: 1")
    found = check._judged(folder, cache)[1]
    monkeypatch.setattr(keeping, "_asked", lambda *given: pytest.fail("asked again"))
    assert (
        judge_kept(load(folder), cache).problems == found.problems == judge_kept(load(folder), None).problems
    )
    monkeypatch.undo()
    before = bundle_of(Store(cache), folder)._kept.keys()
    small_content.edit(folder, DEPTH, "in_service: 1,", "in_service: 2,")
    judge_kept(load(folder), cache)
    assert before < bundle_of(Store(cache), folder)._kept.keys()
    assert says(folder, cache) == says(folder, None)


def test_facts_come_back_as_they_were_kept(tmp_path: Path) -> None:
    made = small_content.edited(EDITS[4], EDITS[8])
    bundle = Bundle(Store(tmp_path / "store"), "verdicts", "about")
    for name, entry in made.faults.items():
        facts = facts_of(Decision(entry, made))
        bundle.put_data("verdicts", name, facts.as_data())
        bundle.write()
        again = Bundle(Store(tmp_path / "store"), "verdicts", "about").get_data("verdicts", name)
        kept = Facts.from_data(again)
        assert json.dumps(kept.as_data()) == json.dumps(facts.as_data())
        assert (kept.mentions, kept.leads_to) == (facts.mentions, facts.leads_to)
        assert list(kept.walk.crossings()) == list(facts.walk.crossings())


def test_a_form_is_the_record_without_its_words() -> None:
    """Two entries that differ in words alone have one form; a number, an answer, a cause make another."""
    entry = load(small_content.FOLDER).faults["no-depth"]

    def form(*edit: str) -> dict[str, object]:
        made = small_content.edited((DEPTH, *edit)).faults["no-depth"]  # type: ignore[arg-type]
        dumped: dict[str, object] = without_words(made).model_dump(mode="json")
        return dumped

    same = without_words(entry).model_dump(mode="json")
    assert form("Salt water reached the pins.", "Salt got in.") == same
    assert form("title: No depth", "title: Never a depth") == same
    assert form("in_service: 40", "in_service: 41") != same
    assert form("causes: [bad-joint]", "causes: [bad-joint, bad-plug]") != same
    assert form("minutes: 4", "minutes: 5") != same
    assert isinstance(without_words(entry).title, Prose)

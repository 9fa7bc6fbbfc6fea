"""The drill as a whole: the same seed, the same figures; its scores, targets, diaries and comparisons."""

from __future__ import annotations

from dataclasses import replace

import pytest

import small_content
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import DrillTargets
from leadsman.drill.exercise import DrillError, drill, gate, replay
from leadsman.drill.plot import alt_text, svg
from leadsman.drill.run import Drill, Task, tasks
from leadsman.drill.scores import against, shortfalls
from leadsman.errors import UsageError

WORDS = small_content.edited().phrases().handbook.drill
ENTRIES = ["no-depth", "low-volts"]


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return small_content.edited()


@pytest.fixture(scope="module")
def book(catalogue: Catalogue) -> Drill:
    return Drill(catalogue)


@pytest.fixture(scope="module")
def figures(catalogue: Catalogue) -> object:
    return drill(catalogue, 150, 3, ENTRIES)


def test_the_same_seed_gives_the_same_figures_however_many_work(
    catalogue: Catalogue, figures: object
) -> None:
    again = drill(catalogue, 150, 3, ENTRIES, workers=2)

    assert again.as_data() == figures.as_data()  # type: ignore[attr-defined]
    assert drill(catalogue, 150, 4, ENTRIES).as_data() != again.as_data()


def test_pieces_of_work_hold_every_boat_once() -> None:
    made = tasks(["a", "b", "c"], 100, 1)
    boats = [(t.entry, n) for t in made for n in range(t.first, t.first + t.count)]

    assert len(boats) == len(set(boats)) == 100


def test_a_boat_can_be_replayed_with_its_diary(catalogue: Catalogue, book: Drill) -> None:
    walked = book.boat(Task("no-depth", 0, 1, 3), 2)
    told = replay(catalogue, walked.id)

    assert (told.walk.end, told.walk.minutes, told.faults) == (
        walked.walk.end,
        walked.walk.minutes,
        walked.faults,
    )
    assert told.walk.diary[0].startswith("D1 No depth: ")
    assert "{" not in "".join(told.walk.diary)
    for wrong in ("D1", "Z9-fault-1-1", "D1-fault-one-1", "D1-what-1-1"):
        with pytest.raises(UsageError):
            replay(catalogue, wrong)


def owner_only(book: Drill, entry: str) -> None:
    """A dozen boats on the telephone: only what an owner may do at the helm, all else is answered CAN'T."""
    for number in range(12):
        outcome = book.boat(Task(entry, 0, 1, 5, "telephone"), number)
        assert outcome.walk.edges
        for name, check, answer in outcome.walk.edges:
            found = book.decisions[name].checks[check]
            assert (
                answer == "cannot"
                or (found.shared and found.shared.id == "ask-history")
                or (found.body.owner_safe and found.body.access == "helm")
            )


def test_on_the_telephone_only_what_an_owner_may_do_is_done(book: Drill) -> None:
    owner_only(book, "no-depth")


def test_human_errors_cost_right_ends(catalogue: Catalogue) -> None:
    """Ten times the published slips leave fewer boats rightly ended than none (paired boats)."""
    careful, careless = (drill(catalogue, 200, 2, ENTRIES, errors=times).total.right for times in (0.0, 10.0))

    assert careless < careful


def test_targets_name_each_shortfall(figures: object) -> None:
    targets = DrillTargets(boats=100, right=1.0, condemned=0.0, over_best=0.0, doubles_safe=1.0)
    kept = DrillTargets(boats=100, right=0.0, condemned=1.0, endless=1.0, over_best=2.0, doubles_safe=0.0,
                        sound_convicted=1.0, coverage=0.0)  # fmt: skip

    assert shortfalls(figures, kept) == []  # type: ignore[arg-type]
    low = replace(figures, total=replace(figures.total, right=0.5, condemned=0.2, endless=0.1))  # type: ignore[attr-defined, type-var]
    told = "; ".join(shortfalls(low, targets))  # type: ignore[arg-type]
    for words in ("isolated rightly 50.0%, wanted 100%", "sound part renewed 20.0%", "without an end 10.0%"):
        assert words in told


def test_minutes_over_the_best_order_are_one_figure(figures: object) -> None:
    """12.4 minutes against 10 are 24 of a hundred longer, by hand; nothing timed is nothing longer."""
    slow = replace(figures.total, minutes=12.4, best_minutes=10.0)  # type: ignore[attr-defined, type-var]
    told = replace(figures, total=slow)  # type: ignore[type-var]

    assert slow.over_best == pytest.approx(0.24)  # type: ignore[attr-defined]
    assert told.as_data()["total"]["over_best"] == slow.over_best  # type: ignore[attr-defined]
    assert replace(slow, best_minutes=0.0).over_best == 0
    for wanted, short in ((0.23, True), (0.25, False)):
        targets = DrillTargets(boats=100, right=0.0, condemned=1.0, endless=1.0, over_best=wanted, doubles_safe=0.0,
                               sound_convicted=1.0, coverage=0.0)  # fmt: skip
        assert shortfalls(told, targets) == (
            ["minutes 24% over the best legal order, wanted 23% or less"] if short else []
        )  # type: ignore[arg-type]


def test_a_book_below_its_targets_does_not_go_out(catalogue: Catalogue) -> None:
    impossible = DrillTargets(boats=100, right=1.0, condemned=0.0, over_best=0.0, doubles_safe=1.0)

    with pytest.raises(DrillError, match="the book falls short in the drill"):
        gate(catalogue, impossible)


def test_a_comparison_tells_which_entry_became_worse(figures: object) -> None:
    after = figures.as_data()  # type: ignore[attr-defined]
    before = figures.as_data()  # type: ignore[attr-defined]
    before["entries"][1]["right"] = 1.1

    found = against(before, after)

    assert [d.code for d in found] == [after["entries"][1]["code"]]
    assert found[0].worse()
    assert against(after, after) == []


def test_the_picture_is_the_same_each_time_and_says_what_it_shows(figures: object) -> None:
    data = figures.as_data()  # type: ignore[attr-defined]

    assert svg(data, WORDS) == svg(data, WORDS)
    assert svg(data, WORDS).count("<svg") == 1
    assert f"{data['total']['boats']} simulated boats" in alt_text(data, WORDS)

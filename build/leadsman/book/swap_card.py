"""What a swap result means: for each swap test and free discriminator, the suspects that each answer leaves.

Computed from what the shared checks exchange, bring along and test, by ``leadsman.compute.diagnosis.swap_matrix`` under
the assumption of one fault. An answer that cannot tell leaves everything as it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from leadsman.compute.diagnosis.swap_matrix import (
    Outcome,
    SwapMatrix,
    involved,
    single_fault_suspects,
    suspicion,
    swap_outcome,
)
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.fault import SharedCheck


@dataclass(frozen=True)
class Part:
    """A component of the chain, by its id and its printed name."""

    id: str
    name: str


@dataclass(frozen=True)
class Meaning:
    """What one answer means: the suspects that remain, and what is cleared.

    ``decides`` is false where the answer removes nothing: gone and not back may be the act of swapping itself.
    """

    answer: str
    label: str
    decides: bool
    suspects: tuple[Part, ...]
    cleared: tuple[Part, ...]


@dataclass(frozen=True)
class SwapTest:
    """A swap test: what it exchanges, what the borrowed part brings, what stays, and what its answers mean."""

    check: str
    title: str
    minutes: float
    exchanged: tuple[Part, ...]
    brought: tuple[Part, ...]
    stays: tuple[Part, ...]
    unproved: tuple[Part, ...]
    """What stays and is not cleared when the fault goes: another load and a reseated contact prove nothing of it."""
    meanings: tuple[Meaning, ...]


@dataclass(frozen=True)
class Discriminator:
    """A free check: what it tests, what else it needs, and what a good and a bad answer leave."""

    check: str
    title: str
    minutes: float
    tests: tuple[Part, ...]
    through: tuple[Part, ...]
    meanings: tuple[Meaning, ...]


@dataclass(frozen=True)
class Combination:
    """Answers of several swap tests together: each gone and back, or the same; and the suspects that remain.

    ``pairs`` are what two faults would explain where no single one does. A ``contradiction`` is explained by no
    fault that stays: the act of swapping mended it, it comes and goes, or a test was not made as written.
    """

    answers: tuple[str, ...]
    suspects: tuple[Part, ...]
    pairs: tuple[tuple[Part, Part], ...]
    contradiction: bool


@dataclass(frozen=True)
class SwapCard:
    """Everything that the swap card prints."""

    components: tuple[Part, ...]
    swaps: tuple[SwapTest, ...]
    discriminators: tuple[Discriminator, ...]
    combined: tuple[str, ...]
    """The swap tests of the combinations, in the order of their answers."""
    combinations: tuple[Combination, ...]

    def sign(self, test: SwapTest | Discriminator, component: str) -> str:
        """How a test involves a component: ``exchanged``, ``brought``, ``unproved``, ``stays``, ``tested``, or nothing."""
        if isinstance(test, Discriminator):
            if component in {part.id for part in test.tests}:
                return "tested"
            return "stays" if component in {part.id for part in test.through} else ""
        for word, parts in (
            ("exchanged", test.exchanged),
            ("brought", test.brought),
            ("unproved", test.unproved),
            ("stays", test.stays),
        ):
            if component in {part.id for part in parts}:
                return word
        return ""


#: A table of combinations stays readable up to this number of tests.
MOST_COMBINED = 3


def swap_card(catalogue: Catalogue) -> SwapCard:
    """Gather the swap tests and the free discriminators of the content, with what each answer means."""
    chain = _Chain(catalogue)
    checks = catalogue.checks.values()
    swaps = tuple(chain.swap_test(check) for check in checks if check.swap is not None)
    free = tuple(chain.discriminator(check) for check in checks if check.free and check.tests)
    combined = _unlike(swaps)
    return SwapCard(
        chain.parts(chain.ids), swaps, free, tuple(swap.check for swap in combined), chain.combinations(combined)
    )  # fmt: skip


def _unlike(swaps: tuple[SwapTest, ...]) -> tuple[SwapTest, ...]:
    """Swap tests that exchange different parts, those that exchange most first."""
    chosen: list[SwapTest] = []
    for swap in sorted(swaps, key=lambda s: -len(s.exchanged)):
        taken = {part for other in chosen for part in other.exchanged}
        if taken.isdisjoint(swap.exchanged) and len(chosen) < MOST_COMBINED:
            chosen.append(swap)
    return tuple(chosen)


class _Chain:
    """The components of the installation and what tests say about them."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.names = {name: str(c.name) for name, c in catalogue.records["components"].items()}
        self.ids = tuple(self.names)
        self.words = catalogue.phrases().answers

    def parts(self, ids: Iterable[str]) -> tuple[Part, ...]:
        """The named components in the chain's own order."""
        wanted = set(ids)
        return tuple(Part(name, self.names[name]) for name in self.ids if name in wanted)

    def meaning(self, answer: str, label: str, involves: frozenset[str], outcome: Outcome) -> Meaning:
        """The suspects after one outcome of a test that involves these components."""
        suspects = single_fault_suspects(SwapMatrix(self.ids, {"test": involves}), {"test": outcome})
        cleared = [name for name in self.ids if name not in suspects]
        decides = outcome is not Outcome.CANNOT_TELL
        return Meaning(answer, label, decides, self.parts(suspects), self.parts(cleared))

    def swap_test(self, check: SharedCheck) -> SwapTest:
        assert check.swap is not None
        stays = involved(self.ids, check.swap.part, check.swap.carries)
        # What a good answer does not clear (a borrowed part that draws less, a cradle that was reseated) a bad one
        # still suspects.
        cleared = stays - frozenset(check.through)
        outcomes = {
            "returns": swap_outcome(True, False, True),
            "not-back": swap_outcome(True, False, False),
            "same": swap_outcome(True, True, None),
        }
        return SwapTest(
            check.id,
            str(check.title),
            check.minutes,
            self.parts(check.swap.part),
            self.parts(check.swap.carries),
            self.parts(stays),
            self.parts(set(check.through) & stays),
            tuple(
                self.meaning(answer, self.words[answer], cleared if outcome is Outcome.PASS else stays, outcome)
                for answer, outcome in outcomes.items()
            ),
        )  # fmt: skip

    def discriminator(self, check: SharedCheck) -> Discriminator:
        tests = frozenset(check.tests) & set(self.ids)
        through = frozenset(check.through) & set(self.ids) - tests
        meanings = (
            self.meaning("yes", self.words["yes"], tests, Outcome.PASS),
            self.meaning("no", self.words["no"], tests | through, Outcome.FAIL),
        )
        return Discriminator(
            check.id, str(check.title), check.minutes, self.parts(tests), self.parts(through), meanings
        )

    def matrix(self, swaps: Iterable[SwapTest], answers: Mapping[str, str]) -> SwapMatrix:
        """What each test speaks of, given its answer: gone and back clears no more than the test proves."""
        rows = {}
        for swap in swaps:
            spared = swap.unproved if answers[swap.check] == "returns" else ()
            rows[swap.check] = frozenset(p.id for p in swap.stays) - {p.id for p in spared}
        return SwapMatrix(self.ids, rows)

    def combinations(self, swaps: tuple[SwapTest, ...]) -> tuple[Combination, ...]:
        """Every combination of gone-and-back and same, gone-and-back first."""
        rows: list[dict[str, str]] = [{}]
        for swap in swaps:
            rows = [{**row, swap.check: answer} for row in rows for answer in ("returns", "same")]
        found = []
        for row in rows if swaps else ():
            seen = suspicion(
                self.matrix(swaps, row),
                {test: Outcome.PASS if answer == "returns" else Outcome.FAIL for test, answer in row.items()},
            )
            pairs = (
                () if seen.single else tuple((self.parts([a])[0], self.parts([b])[0]) for a, b in seen.pairs)
            )
            lost = not seen.single and not pairs
            found.append(Combination(tuple(row.values()), self.parts(seen.single), pairs, lost))
        return tuple(found)

"""Closed cases back into likelihoods, on simulated cases whose truth is known.

The updating is held against worked examples (Gelman et al. 2013, p. 37, and a public book's Dirichlet examples) in
``tests/reference/diagnosis.yaml``; here the coverage of the intervals, the recovery of the truth, and that a stop which
comes sooner under some causes does not shift the shares. Bounds of the coverage: three standard errors of a share of
0.95 over the intervals that are drawn.
"""

from __future__ import annotations

import subprocess
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import small_content
from leadsman.book.closed import ClosedCase, Fields, RecordReader, Unclear
from leadsman.book.learning import learn, order_changes, proposed_patch, unnamed_causes
from leadsman.compute.diagnosis.learning import cause_share, draw_shares
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import NOT_PROVED, Decision, follow_cause
from leadsman.output.tally_picture import svg

ENTRY, HISTORY = "no-depth", "in-service"
TITLE = "Service record, D1 No depth"
#: A technician who gives up after so many steps has looked at the plug and not behind it.
GIVES_UP = 5


@cache
def content() -> Catalogue:
    """The small content."""
    return load(small_content.FOLDER)


def reader() -> RecordReader:
    return RecordReader(content())


def decision() -> Decision:
    return Decision(content().faults[ENTRY], content())


def written() -> np.ndarray:
    shares = np.array([cause.prior.share(HISTORY) for cause in decision().entry.causes])
    return shares / shares.sum()


def filled_under(cause: str, most_steps: int = 99) -> dict[str, str | bool]:
    """The fields that a literal technician fills in with this cause present, who gives up after so many steps."""
    found, fields = decision(), {}
    path = follow_cause(found, cause, HISTORY)
    fields = {
        f"check-{s.node.id}-{s.outcome}": True
        for s in path.steps[:most_steps]
        if s.outcome and s.node.id in found.checks
    }
    end = path.end.id
    fields["minutes"] = "35"
    if len(path.steps) > most_steps or end in found.hand_overs:
        fields[f"hand-over-{next(iter(found.hand_overs))}"] = True
    else:
        assert end in found.findings
        assert end not in [s.node.id for s in path.steps if s.outcome == NOT_PROVED]
        fields |= {f"finding-{end}": True, f"proved-{end}": True}
    return fields


def simulated(
    shares: np.ndarray, count: int, generator: np.random.Generator, most_steps: int = 99
) -> list[ClosedCase]:
    names = list(decision().causes)
    known = {name: reader().read(TITLE, filled_under(name, most_steps)) for name in names}
    return [known[names[at]] for at in generator.choice(len(names), count, p=shares)]


def test_five_hundred_records_give_the_truth_back() -> None:
    """True shares far from the written ones: each lies in or near its interval, and the mean error is small."""
    generator = np.random.default_rng(1)
    truth = np.roll(written(), 3)
    (found,) = learn(simulated(truth, 500, generator), content())
    means = np.array([cause.mean for cause in found.causes])
    before = np.abs(written() - truth).sum()
    inside = sum(cause.low <= t <= cause.high for cause, t in zip(found.causes, truth, strict=True))
    assert found.cases == 500
    assert np.abs(means - truth).sum() < 0.35 * before
    assert inside >= len(truth) - 2
    assert means.sum() == pytest.approx(1)


@pytest.mark.parametrize("most_steps", [99, GIVES_UP])
def test_the_intervals_cover_and_a_biased_stop_does_not_shift_them(most_steps: int) -> None:
    """Truth drawn from the prior; a technician who gives up after some steps closes the easy causes only."""
    generator = np.random.default_rng(2)
    prior = written()
    covered, total, drift = 0, 0, np.zeros(len(prior))
    runs = 30
    for _ in range(runs):
        truth = generator.dirichlet(20.0 * prior)
        (found,) = learn(simulated(truth, 100, generator, most_steps), content())
        covered += sum(c.low <= t <= c.high for c, t in zip(found.causes, truth, strict=True))
        total += len(truth)
        drift += np.array([c.mean for c in found.causes]) - truth
    error = np.sqrt(0.95 * 0.05 / total)
    assert abs(covered / total - 0.95) < 3 * error + 0.01
    assert np.abs(drift / runs).max() < 0.025


def test_counting_only_what_was_proved_would_drift() -> None:
    """The same cases, those without a certain verdict dropped: the causes that are found late lose their share."""
    generator = np.random.default_rng(3)
    truth = written()
    cases = simulated(truth, 2000, generator, GIVES_UP)
    closed = [c for c in cases if c.verdict == "finding"]
    assert 0.2 < len(closed) / len(cases) < 0.9
    (kept,) = learn(cases, content(), weight=0.5)
    (naive,) = learn(closed, content(), weight=0.5)
    worst = [np.abs(np.array([c.mean for c in f.causes]) - truth).sum() for f in (kept, naive)]
    assert worst[0] < 0.6 * worst[1]


def test_without_open_cases_the_draws_are_the_exact_beta() -> None:
    """Row drill of the shares 0.5, 0.3, 0.15, 0.05 worth ten cases and 2, 6, 1, 1 cases: Beta(9, 11), by SciPy."""
    draws = draw_shares([0.5, 0.3, 0.15, 0.05], 10, [2, 6, 1, 1], [])
    exact = cause_share(written=0.3, weight=10, seen=6, cases=10)
    assert float(exact.low) == pytest.approx(0.24447, abs=2e-5)
    assert float(exact.high) == pytest.approx(0.66500, abs=2e-5)
    assert np.quantile(draws[:, 1], [0.025, 0.975]) == pytest.approx(
        [float(exact.low), float(exact.high)], abs=0.02
    )


def test_the_order_of_the_records_does_not_matter() -> None:
    cases = simulated(written(), 60, np.random.default_rng(4), GIVES_UP)
    catalogue = content()
    (one,), (other,) = learn(cases, catalogue), learn(cases[::-1], catalogue)
    assert one.causes == other.causes


CONTRADICTIONS: Mapping[str, tuple[Fields, str]] = {
    "two-answers": ({"check-temperature-yes": True, "check-temperature-no": True}, "two answers"),
    "no-verdict": ({"check-temperature-yes": True}, "no verdict"),
    "two-verdicts": ({"finding-found-plug": True, "finding-found-joint": True}, "more than one verdict"),
    "proof-elsewhere": ({"finding-found-plug": True, "proved-found-joint": True}, "a proof is ticked"),
    "excluded": ({"check-plug-yes": True, "finding-found-plug": True}, "its answers exclude"),
    "minutes": ({"finding-found-plug": True, "minutes": "soon"}, "minutes are no number"),
}


@pytest.mark.parametrize("name", CONTRADICTIONS)
def test_what_contradicts_itself_is_refused_with_the_reason(name: str) -> None:
    fields, told = CONTRADICTIONS[name]
    with pytest.raises(Unclear, match=told):
        reader().read(TITLE, fields)


def test_another_cause_is_told_without_names() -> None:
    fields: Fields = {
        "verdict-other": "Mouse of Mr Miller ate the lead",
        "signed-owner": "J. Miller",
        "minutes": "20 min",
    }
    case = reader().read(TITLE, fields)
    assert (case.verdict, case.minutes) == ("other", 20.0)
    assert "Miller" not in case.end
    comma = {**fields, "signed-owner": "Miller, Jun.", "verdict-other": "Miller Jun. cut the lead"}
    assert reader().read(TITLE, comma).end == "... .... cut the lead"
    assert unnamed_causes([case, case]) == {(ENTRY, case.end.casefold()): 2}


def test_the_proposal_is_a_patch_that_git_takes(tmp_path: Path) -> None:
    """Shares that the cases contradict change, in the file's own lines; a history that was left out is added."""
    catalogue = content()
    truth = np.roll(written(), 3)
    learnt = list(learn(simulated(truth, 500, np.random.default_rng(1)), catalogue))
    patch = proposed_patch(learnt, catalogue)
    path = "faults/depth/no-depth.yaml"
    source, target = small_content.FOLDER / path, tmp_path / patch.partition("+++ b/")[2].partition("\n")[0]
    assert target.as_posix().endswith(path)
    target.parent.mkdir(parents=True)
    target.write_bytes(source.read_bytes())
    subprocess.run(["git", "apply", "-"], input=patch.encode(), cwd=tmp_path, check=True)
    before, after = source.read_text().splitlines(), target.read_text().splitlines()
    changed = [line for old, line in zip(before, after, strict=True) if old != line]
    assert changed
    assert all("prior:" in line for line in changed)
    assert len(changed) == len(learnt[0].changed)
    assert source.read_text() != target.read_text()


def test_a_history_that_is_left_out_is_added(tmp_path: Path) -> None:
    catalogue = content()
    cases = [
        ClosedCase(
            ENTRY, "after-update", "", "finding", "found-software", ("old-software",), True, None, False
        )
    ] * 80
    (found,) = learn(cases, catalogue)
    patch = proposed_patch([found], catalogue)
    assert any(
        line.startswith("+") and "id: old-software" in line and "after_update:" in line
        for line in patch.splitlines()
    )


def test_an_order_changes_only_when_it_surely_saves_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Some cases of an old software save too little; with many the list of software is asked for first."""
    catalogue = content()
    case = ClosedCase(ENTRY, HISTORY, "", "finding", "found-software", ("old-software",), True, None, False)
    some, many = (list(learn([case] * count, catalogue)) for count in (20, 400))
    assert list(order_changes(some, catalogue)) == []
    (change,) = order_changes(many, catalogue)
    # By hand: the minute at the temperature comes behind for nearly all of them.
    assert 0.8 < change.written_minutes - change.best_minutes < 1.0
    assert change.order.index("software") < change.order.index("temperature")
    assert change.sure >= 0.95
    monkeypatch.setattr("leadsman.book.learning.SURE", 1.01)
    assert list(order_changes(many, catalogue)) == []


def test_the_picture_has_a_line_for_each_cause() -> None:
    learnt = list(learn(simulated(written(), 50, np.random.default_rng(5)), content()))
    first, again = (svg(learnt, {ENTRY: "D1"}) for _ in range(2))
    assert first == again
    assert first.count("<use") >= 2 * len(decision().causes)

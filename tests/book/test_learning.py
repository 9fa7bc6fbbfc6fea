"""Closed cases back into likelihoods, on simulated cases whose truth is known.

The updating is held against worked examples (Gelman et al. 2013, p. 37, and a public book's Dirichlet examples) in
``tests/reference/diagnosis.yaml``; here the coverage of the intervals, the recovery of the truth, and that a stop which
comes sooner under some causes does not shift the shares. Bounds of the coverage: three standard errors of a share of
0.95 over the intervals that are drawn.
"""

from __future__ import annotations

import subprocess
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy.special import betaincinv

import small_content
from leadsman.book.closed import ClosedCase, Fields, RecordReader, Unclear
from leadsman.book.learning import (
    EntryCount,
    Learnt,
    LearntCause,
    counts,
    learn,
    order_changes,
    proposed_patch,
    unnamed_causes,
)
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
    return small_content.edited()


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


def test_a_history_that_is_left_out_is_added() -> None:
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


# --- counts, and what is proposed --------------------------------------------------------------------


def closed(**changes: object) -> ClosedCase:
    base = ClosedCase(ENTRY, HISTORY, "plain", "finding", "found-plug", ("bad-plug",), True, 30.0, False)
    return replace(base, **changes)  # type: ignore[arg-type]


def test_cases_are_counted_by_entry_and_how_they_ended() -> None:
    cases = [
        closed(), closed(minutes=50.0, proved=False), closed(verdict="hand-over", proved=False, minutes=None), closed(verdict="nothing", proved=False, minutes=None),
        closed(verdict="other", proved=False, came_back=True, minutes=None), closed(entry="low-volts", minutes=None),
    ]  # fmt: skip
    first, second = counts([cases[-1], *cases[:-1]], content())
    assert first == EntryCount(
        ENTRY, cases=5, proved=1, handed_over=1, nothing=1, other=1, came_back=1, minutes=40.0
    )
    assert second == EntryCount("low-volts", 1, 1, 0, 0, 0, 0, None)
    assert counts([], content()) == []


def test_causes_that_no_card_names_are_counted_by_their_words() -> None:
    cases = [
        closed(verdict="other", end="A Mouse"),
        closed(verdict="other", end="a mouse"),
        closed(verdict="other", end="Ice", entry="low-volts"),
        closed(end="A mouse"),
    ]
    assert unnamed_causes(cases) == {(ENTRY, "a mouse"): 2, ("low-volts", "ice"): 1}


def test_only_cases_that_teach_are_learnt_from() -> None:
    """Each entry and history by itself; what was not proved, or has no history, teaches nothing."""
    cases = [
        closed(),
        closed(history="after-update"),
        closed(proved=False),
        closed(history=""),
        closed(causes=()),
        closed(entry="low-volts", causes=("joint",)),
    ]
    found = {(each.entry, each.history): each for each in learn(cases, content())}
    assert {key: each.cases for key, each in found.items()} == {
        (ENTRY, HISTORY): 1,
        (ENTRY, "after-update"): 1,
        ("low-volts", HISTORY): 1,
    }
    one = found[ENTRY, HISTORY]
    # By hand: 20 cases' worth of 40 of 100, and one more; the middle of the drawn shares lies there.
    assert [round(c.written, 4) for c in one.causes] == [0.4, 0.2, 0.05, 0.15, 0.2]
    assert one.causes[0].mean == pytest.approx((20 * 0.4 + 1) / 21, abs=0.01)
    assert one.causes[1].mean == pytest.approx(20 * 0.2 / 21, abs=0.01)
    assert one.causes[0].seen == pytest.approx(1, abs=0.25)
    assert all(c.seen >= 0 for c in one.causes)
    # 2.5 and 97.5 % of Beta(9, 12), by SciPy.
    assert one.causes[0].low == pytest.approx(betaincinv(9, 12, 0.025), abs=0.015)
    assert one.causes[0].high == pytest.approx(betaincinv(9, 12, 0.975), abs=0.015)


def test_the_weight_of_what_is_written_is_the_callers() -> None:
    light, heavy = (next(learn([closed()] * 20, content(), weight)) for weight in (1.0, 200.0))
    assert light.causes[0].mean == pytest.approx((0.4 + 20) / 21, abs=0.01)
    assert heavy.causes[0].mean == pytest.approx((80 + 20) / 220, abs=0.01)


def test_a_case_that_leaves_several_causes_shares_itself_among_them() -> None:
    """Twenty that leave plug or joint raise both together and the rest not at all."""
    (found,) = learn([closed(verdict="hand-over", causes=("bad-plug", "bad-joint"))] * 20, content())
    shares = {c.cause: c.mean for c in found.causes}
    assert shares["bad-plug"] + shares["bad-joint"] == pytest.approx((20 * 0.6 + 20) / 40, abs=0.01)
    assert shares["wrong-setting"] == pytest.approx(20 * 0.2 / 40, abs=0.01)


def test_a_history_of_which_nothing_is_written_is_not_learnt() -> None:
    catalogue = small_content.edited()
    entry = catalogue.faults[ENTRY]
    priors = [
        c.model_copy(update={"prior": c.prior.model_copy(update={"in_service": 0.0})}) for c in entry.causes
    ]
    catalogue.records["faults"][ENTRY] = entry.model_copy(update={"causes": priors})
    assert [each.history for each in learn([closed(), closed(history="new-fitting")], catalogue)] == [
        "new-fitting"
    ]


def cause(name: str, written: float, low: float, high: float, mean: float = 0.5) -> LearntCause:
    return LearntCause(name, written, mean, low, high, 1.0)


def test_a_share_changed_where_it_lies_outside_its_interval() -> None:
    causes = tuple(
        cause(name, 0.4, low, high)
        for name, low, high in (
            ("in", 0.3, 0.5),
            ("low-end", 0.4, 0.5),
            ("high-end", 0.3, 0.4),
            ("below", 0.41, 0.5),
            ("above", 0.3, 0.39),
        )
    )
    found = Learnt("e", "h", 1, causes, np.zeros((1, 1)))
    assert [c.cause for c in found.changed] == ["below", "above"]


def proposed(
    history: str, means: Mapping[str, float], folder: Path = small_content.FOLDER
) -> list[tuple[str, str]]:
    """The lines that a patch takes out and puts in, for causes whose share left its interval."""
    catalogue = load(folder)
    entry = catalogue.faults[ENTRY]
    causes = tuple(
        cause(c.id, 0.0, 0.1, 0.2, means[c.id]) if c.id in means else cause(c.id, 0.15, 0.1, 0.2)
        for c in entry.causes
    )
    lines = proposed_patch([Learnt(ENTRY, history, 1, causes, np.zeros((1, 1)))], catalogue).splitlines()
    olds = [line[1:] for line in lines if line.startswith("-") and not line.startswith("---")]
    news = [line[1:] for line in lines if line.startswith("+") and not line.startswith("+++")]
    return (
        list(zip(olds, news, strict=False))
        if len(olds) == len(news)
        else [("\n".join(olds), "\n".join(news))]
    )


def test_a_share_is_put_in_place_of_the_written_one() -> None:
    """In the entry's own parts: of 100 in service 0.3 are 30, and a cause is never written out of the card."""
    ((old, new),) = proposed(HISTORY, {"bad-plug": 0.3})
    assert new == old.replace("in_service: 40", "in_service: 30")
    assert old != new
    both = proposed(HISTORY, {"bad-plug": 0.304, "old-software": 0.001})
    assert ["in_service: 30," in both[0][1], "in_service: 1," in both[1][1]] == [True, True]
    # 105 parts of a new fitting.
    ((_, fitting),) = proposed("new-fitting", {"old-software": 0.2})
    assert "prior: {in_service: 5, new_fitting: 21}" in fitting


def test_a_share_of_a_history_that_is_not_written_is_put_behind_the_last() -> None:
    ((_, one),) = proposed("after-update", {"old-software": 0.2})
    assert "prior: {in_service: 5, new_fitting: 40, after_update: 20}" in one
    ((_, other),) = proposed("after-update", {"bad-joint": 0.3})
    assert "prior: {in_service: 20, after_update: 30}" in other


def test_a_prior_that_is_written_in_lines_gets_another_line(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    path = "faults/depth/no-depth.yaml"
    flow = "  - {id: bad-joint, name: Joint corroded, component: joints, prior: {in_service: 20}, because: Salt raises its resistance.}\n"
    block = (
        "  - id: bad-joint\n    name: Joint corroded\n    component: joints\n    prior:\n      in_service: 20\n"
        "    because: Salt raises its resistance.\n"
    )
    small_content.edit(folder, path, flow, block)
    catalogue = load(folder)
    causes = tuple(
        cause(c.id, 0.0, 0.1, 0.2, 0.3) if c.id == "bad-joint" else cause(c.id, 0.15, 0.1, 0.2)
        for c in catalogue.faults[ENTRY].causes
    )
    patch = proposed_patch([Learnt(ENTRY, "after-update", 1, causes, np.zeros((1, 1)))], catalogue)
    assert "+      after_update: 30\n" in patch
    assert not [line for line in patch.splitlines() if line.startswith("-") and "in_service" in line]
    assert patch.startswith(f"--- a/content/{path}\n+++ b/content/{path}\n")


def test_nothing_is_proposed_where_nothing_changed() -> None:
    catalogue = content()
    causes = tuple(cause(c.id, 0.15, 0.1, 0.2) for c in catalogue.faults[ENTRY].causes)
    assert proposed_patch([Learnt(ENTRY, HISTORY, 1, causes, np.zeros((1, 1)))], catalogue) == ""


def test_an_order_that_saves_less_than_half_a_minute_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    """The small saving of the test above, and a bound just above and just below it."""
    case = closed(end="found-software", causes=("old-software",))
    many = list(learn([case] * 400, content()))
    (change,) = order_changes(many, content())
    saved = change.written_minutes - change.best_minutes
    assert (change.entry, change.history, change.sure <= 1) == (ENTRY, HISTORY, True)
    for bound, told in ((saved - 1e-6, 1), (saved + 1e-6, 0)):
        monkeypatch.setattr("leadsman.book.learning.LEAST_SAVING", bound)
        assert len(list(order_changes(many, content()))) == told

"""A deck that passes ``check --pages`` is made, and what it tells of is refused: over random valid edits."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

import small_content
from leadsman.book.verdict import judge
from leadsman.build import Order, build_editions
from leadsman.cli import main
from leadsman.content.catalogue import load
from leadsman.errors import OutputError
from leadsman.output.foreseen import foreseen
from leadsman.press.typeset import Typesetter

ENTRY = "faults/depth/no-depth.yaml"
#: Sentences that keep every rule of prose, to make a card taller with.
STEPS = (
    "Dry both halves.",
    "Look at each pin under good light.",
    "Turn the ring until it stops.",
    "Tie the cable up clear of the engine.",
    "Follow the cable by hand to the plug, and tie it up clear of the engine at each frame.",
)

#: What a writer may do to the small content: a longer remedy, a longer title, more rows and columns in its table.
edits = st.fixed_dictionaries(
    {
        "remedies": st.lists(st.lists(st.sampled_from(STEPS), max_size=5), min_size=5, max_size=5),
        "title": st.sampled_from(["No depth", "No depth on the screen at all, in any water"]),
        "rows": st.integers(1, 10),
        "columns": st.integers(1, 4),
    }
)


#: What is built as it stands, and a table that no face holds.
PLAIN = {"remedies": [[]] * 5, "title": "No depth", "rows": 1, "columns": 1}
TALL = {"remedies": [[STEPS[-1]] * 5] * 5, "title": "No depth", "rows": 10, "columns": 4}


def write(folder: Path, drawn: dict[str, object]) -> None:
    """Make the edits in a copy of the small content."""
    path = folder / ENTRY
    text = path.read_text(encoding="utf-8").replace("title: No depth", f"title: {drawn['title']}", 1)
    head, *findings = text.split("    remedy: [")
    steps: list[list[str]] = drawn["remedies"]  # type: ignore[assignment]
    for number, finding in enumerate(findings):
        more = "".join(f"{step!r}, " for step in steps[number])
        head += f"    remedy: [{more}{finding}"
    path.write_text(head, encoding="utf-8")
    rows = ", ".join(f"{n} m" for n in range(1, int(str(drawn["rows"])) + 1))
    feet = ", ".join(f"{n} ft" for n in range(3, int(str(drawn["rows"])) + 3))
    columns = ", ".join(f"{n} A" for n in range(1, int(str(drawn["columns"])) + 1))
    table = "tables/lead-drop.yaml"
    small_content.edit(
        folder,
        table,
        "values: [3 m, 6 m], us_values: [10 ft, 20 ft]",
        f"values: [{rows}], us_values: [{feet}]",
    )
    small_content.edit(folder, table, "values: [1 A, 2 A]", f"values: [{columns}]")


@settings(max_examples=4, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=edits)
@example(drawn=PLAIN)
@example(drawn=TALL)
def test_a_clean_check_is_built_and_what_is_foreseen_is_refused(
    tmp_path_factory: pytest.TempPathFactory, repository: Path, drawn: dict[str, object]
) -> None:
    folder = small_content.copy(tmp_path_factory.mktemp("edited"))
    write(folder, drawn)
    catalogue = load(folder)
    verdict = judge(catalogue)
    assert [str(problem) for problem in verdict.errors] == [], "the edit is no valid one"
    templates = repository / "templates"
    told = foreseen(catalogue, templates, Typesetter(templates))
    if drawn in (PLAIN, TALL):
        assert bool(told) == (drawn == TALL)
    order = Order(catalogue, verdict, templates)
    out = tmp_path_factory.mktemp("out")
    if not told:
        assert build_editions(order, ["deck"], out)
        return
    with pytest.raises(OutputError) as refused:
        build_editions(order, ["deck"], out)
    for problem in told:
        assert problem.what in str(refused.value)
        assert problem.path.endswith(ENTRY)


def test_what_is_foreseen_is_told_at_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A mark that runs, and a set that no ring holds; a plain check looks at neither."""
    folder = small_content.copy(tmp_path)
    monkeypatch.setattr("leadsman.output.deck.MOST_ON_A_RING", 2)
    with (folder / "dealer.yaml").open("a", encoding="utf-8") as record:
        record.write("mark: '<svg xmlns=\"http://www.w3.org/2000/svg\"><script>x()</script></svg>'\n")
    words = ["check", "--content", str(folder), "--cache", str(tmp_path / "cache")]
    codes = []
    for more in ([], ["--pages"], ["--pages"]):
        with pytest.raises(SystemExit) as ended:
            main([*words, *more])
        codes.append(ended.value.code)
    said = capsys.readouterr().out.splitlines()
    assert codes == [0, 1, 1]
    assert sum("dealer.yaml:7:7: mark: the mark cannot be printed: " in line for line in said) == 2
    ring = "editions/deck.yaml:10:1: sets: the set 'All' has"
    assert sum(ring in line and "at most 2 hang on a ring" in line for line in said) == 2
    assert said[-1].startswith("2 entries: ")

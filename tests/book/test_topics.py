"""Topics as a reader meets them: by title, the gravest caution first, with their source."""

from pathlib import Path

import small_content
from leadsman.book.topics import view_topics
from leadsman.content.catalogue import load


def test_the_gravest_caution_stands_first() -> None:
    """DANGER before WARNING, the signal words of ANSI Z535.6 by severity."""
    (view,) = view_topics(small_content.edited())
    assert [name for name, _ in view.cautions] == ["vapour", "live-element"]
    assert view.anchor == "topic-batteries"
    assert view.source.basis == "common practice"


def test_topics_stand_in_the_order_of_their_titles(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    first = folder / "topics" / "batteries.yaml"
    text = first.read_text(encoding="utf-8")
    second = folder / "topics" / "aerials.yaml"
    second.write_text(
        text.replace("id: batteries", "id: aerials").replace("title: Batteries", "title: couplants")
    )
    third = folder / "topics" / "zinc.yaml"
    third.write_text(text.replace("id: batteries", "id: zinc").replace("title: Batteries", "title: Anodes"))
    assert [view.topic.id for view in view_topics(load(folder))] == ["zinc", "batteries", "aerials"]

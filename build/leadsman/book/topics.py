"""What is worth knowing beside the conditions: the topics as a reader meets them."""

from __future__ import annotations

from dataclasses import dataclass

from leadsman.book.views import by_severity
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.reference import Caution, Source, Topic


@dataclass(frozen=True)
class TopicView:
    """A topic with the anchor of its section, its cautions, the gravest first, and where it comes from."""

    anchor: str
    topic: Topic
    cautions: tuple[tuple[str, Caution], ...]
    source: Source


def view_topics(catalogue: Catalogue, *, owner: bool = False) -> tuple[TopicView, ...]:
    """Every topic of the content by title, or those for an owner."""
    wanted = [topic for topic in catalogue.topics.values() if topic.owner_safe or not owner]
    ordered = sorted(wanted, key=lambda topic: str(topic.title).casefold())
    return tuple(
        TopicView(
            f"topic-{topic.id}",
            topic,
            by_severity(topic.cautions, catalogue),
            catalogue.records["sources"][topic.source],
        )
        for topic in ordered
    )

"""What to bring is data: a fix or a proof that asks for a tool finds it on the list of its entry."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content import prose
from leadsman.content.model.reference import Tool
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem


@rule(
    "bring",
    "A tool that a remedy or a proof names is brought: by a check of the entry, or by the finding.",
    scope="entry",
)
def bring(context: Context) -> Iterator[Problem]:
    """A technician who drives out for a fix has what the fix and its proof need."""
    known: dict[str, Tool] = context.catalogue.records["tools"]
    for decision in context.decisions.values():
        brought = {tool for check in decision.checks.values() for tool in check.body.tools}
        brought |= {tool for finding in decision.entry.findings for tool in finding.tools}
        for index, finding in enumerate(decision.entry.findings):
            text = " ".join(finding.instructions)
            for name, tool in known.items():
                phrase = next(
                    (phrase for phrase in tool.named if prose.whole_words(phrase).search(text)), None
                )
                if phrase is not None and name not in brought:
                    yield context.entry_problem(decision, ("findings", index),
                                                f"'{finding.id}' asks for '{phrase}', and the entry brings no '{name}'",
                                                f"write 'tools: [{name}]' at the finding")  # fmt: skip

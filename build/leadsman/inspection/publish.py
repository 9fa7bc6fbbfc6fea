"""Survey files before they take the place of earlier ones: made in a folder beside them, moved when they pass."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from leadsman.errors import OutputError
from leadsman.inspection.survey import Report, survey
from leadsman.press import atomic

#: So many findings of one rule are told; the command ``survey`` tells all.
_TOLD = 3
_PREFIX = ".being-surveyed-"
_SURVEYED = frozenset({".pdf", ".epub"})


@contextlib.contextmanager
def staging(out: Path, tell: Callable[[str], None] = lambda line: None) -> Iterator[Path]:
    """Give a hidden folder inside ``out`` to make files in; it goes when the block ends, however it ends.

    ``tell`` hears what builds that died had left and what is removed of it.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"cannot write to {out}: {error.strerror or error}") from error
    for gone in atomic.clear_abandoned(out, _PREFIX):
        tell(f"removed {gone}, which a run that died had left")
    with atomic.hidden_folder(out, _PREFIX) as folder:
        yield folder


def findings(paths: Iterable[Path]) -> list[str]:
    """What breaks a rule that must be kept in finished files, one line each."""
    return [line for path in paths if path.suffix in _SURVEYED for line in _told(survey(path))]


def breaches(path: Path, kind: str) -> list[tuple[str, str]]:
    """Each rule that must be kept and is not, with the first place; nothing of what the pages say."""
    found: dict[str, str] = {}
    for outcome, reading in survey(path, kind).breaches:
        where = reading.file or (f"page {reading.page}" if reading.page else "the file")
        found.setdefault(f"{outcome.rule.says} ({outcome.rule.id})", where)
    return list(found.items())


def _told(report: Report) -> Iterator[str]:
    told: Counter[str] = Counter()
    for outcome, reading in report.breaches:
        told[outcome.rule.id] += 1
        if told[outcome.rule.id] <= _TOLD:
            where = reading.file or (f"page {reading.page}" if reading.page else "file")
            yield (
                f"{report.path.name}, {where}: {outcome.rule.says} ({outcome.rule.id}, limit {outcome.rule.wants}): "
                f"{reading.measured}, {reading.says}"
            )
    for name, count in told.items():
        if count > _TOLD:
            yield f"{report.path.name}: {name} is broken in {count - _TOLD} more places; see leadsman survey"


def publish(made: Path, stage: Path, out: Path) -> Path:
    """Move what was made in the staging folder to its place in ``out``; an earlier one goes in the same moment."""
    target = out / made.relative_to(stage)
    try:
        if made.is_dir():
            with atomic.replace_folder(target) as folder:
                for path in made.iterdir():
                    shutil.copy2(path, folder / path.name)
        else:
            target.parent.mkdir(parents=True, exist_ok=True)
            os.replace(made, target)
    except OSError as error:
        raise OutputError(f"cannot write {target}: {error.strerror or error}") from error
    return target

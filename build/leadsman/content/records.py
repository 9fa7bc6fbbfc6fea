"""The records of one kind by id: read, or waiting until somebody asks for them."""

from __future__ import annotations

from collections.abc import Callable, ItemsView, Iterator, ValuesView
from typing import Any, NoReturn

from leadsman.errors import MissingRecord


class Records(dict[str, Any]):
    """The records of one kind by id; one that is asked for and not there is told in a line."""

    def __init__(self, kind: str) -> None:
        super().__init__()
        self.kind = kind

    def __reduce__(self) -> tuple[Any, ...]:
        return Records, (self.kind,), None, None, iter(self.items())

    def __missing__(self, name: str) -> NoReturn:
        raise MissingRecord(self.kind, name)


class WaitingRecords(Records):
    """Records of which each is read when it is asked for by its id, and all when all are: their ids are known before."""

    def __init__(self, kind: str) -> None:
        super().__init__(kind)
        self._waiting: dict[str, Callable[[], Any]] = {}

    def wait(self, name: str, read: Callable[[], Any]) -> None:
        """Have a record that is read when somebody asks for it."""
        super().__setitem__(name, None)
        self._waiting[name] = read

    def _come(self) -> None:
        for name in list(self._waiting):
            self[name]

    def __getitem__(self, name: str) -> Any:
        if name in self._waiting:
            self[name] = self._waiting[name]()
        return super().__getitem__(name)

    def __setitem__(self, name: str, record: Any) -> None:
        super().__setitem__(name, record)
        self._waiting.pop(name, None)

    def __delitem__(self, name: str) -> None:
        super().__delitem__(name)
        self._waiting.pop(name, None)

    def __iter__(self) -> Iterator[str]:
        # With an iterator of its own, dict(...) and {**...} ask for each record and do not copy what waits.
        return super().__iter__()

    def get(self, name: str, default: Any = None) -> Any:
        if name not in self:
            return default
        return self[name]

    def values(self) -> ValuesView[Any]:  # type: ignore[override]
        self._come()
        return super().values()

    def items(self) -> ItemsView[str, Any]:  # type: ignore[override]
        self._come()
        return super().items()

    def copy(self) -> dict[str, Any]:
        return dict(self.items())

    def __or__(self, other: Any) -> Any:
        return self.copy() | other

    def __ror__(self, other: Any) -> Any:
        return other | self.copy()

    def __eq__(self, other: object) -> bool:
        self._come()
        return super().__eq__(other)

    __hash__ = None  # type: ignore[assignment]

    def pop(self, name: str, *default: Any) -> Any:
        if name in self:
            self[name]
        return super().pop(name, *default)

    def popitem(self) -> tuple[str, Any]:
        self._come()
        return super().popitem()

    def setdefault(self, name: str, default: Any = None) -> Any:
        if name not in self:
            self[name] = default
        return self[name]

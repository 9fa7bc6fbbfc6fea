"""What a PDF runs, opens or carries beside its pages: scripts, actions, attachments."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pikepdf

#: Kinds of action that stay on the pages of the file, or name an address that the reader sees.
_HARMLESS = {"/GoTo", "/Named", "/URI", "/Hide", "/SetOCGState", "/Trans"}
_ACTIONS = {
    "/JavaScript": "a script",
    "/Launch": "an action that starts a program",
    "/GoToE": "a way into an attachment",
    "/GoToR": "a way into another file",
    "/SubmitForm": "a form that is sent away",
    "/ImportData": "an action that reads another file",
    "/Rendition": "a film or a sound",
    "/Movie": "a film",
    "/Sound": "a sound",
    "/RichMediaExecute": "a film or a program",
    "/GoTo3DView": "a model",
}
_ANNOTATIONS = {
    "/FileAttachment": "an attachment",
    "/RichMedia": "a film or a program",
    "/Movie": "a film",
    "/Sound": "a sound",
    "/Screen": "a film or a sound",
    "/3D": "a model",
}


def active_content(pdf: pikepdf.Pdf) -> tuple[str, ...]:
    """Everything of that kind, in words, the objects of the file looked through one by one."""
    found: dict[str, None] = {}
    for item in pdf.objects:
        found |= dict.fromkeys(_active(item))
    return tuple(found)


def _active(item: Any) -> Iterator[str]:
    waiting = [(item, 0)]
    while waiting:
        node, depth = waiting.pop()
        if isinstance(node, pikepdf.Stream):
            node = node.stream_dict
        if isinstance(node, pikepdf.Dictionary):
            yield from _of_dictionary(node)
        if isinstance(node, pikepdf.Dictionary | pikepdf.Array) and depth < _DEEPEST:
            parts = [node[key] for key in node.keys()] if isinstance(node, pikepdf.Dictionary) else list(node)  # noqa: SIM118
            # An object of its own is met by itself.
            waiting += [
                (part, depth + 1)
                for part in parts
                if isinstance(part, pikepdf.Dictionary | pikepdf.Array) and not part.is_indirect
            ]


_DEEPEST = 20


def _of_dictionary(node: pikepdf.Dictionary) -> Iterator[str]:
    action, subtype = str(node.get("/S", "")), str(node.get("/Subtype", ""))
    if action in _ACTIONS and str(node.get("/Type", "/Action")) == "/Action":
        yield _ACTIONS[action]
    if "/JS" in node:
        yield "a script"
    if "/XFA" in node:
        yield "a form that is a program"
    if "/AA" in node:
        yield "an action without a click"
    if "/EF" in node or str(node.get("/Type", "")) == "/EmbeddedFile" or "/EmbeddedFiles" in node:
        yield "an attachment"
    if subtype in _ANNOTATIONS and "/Rect" in node:
        yield _ANNOTATIONS[subtype]
    opening = node.get("/OpenAction")
    if isinstance(opening, pikepdf.Dictionary) and str(opening.get("/S", "")) not in _HARMLESS:
        yield "an action when it is opened"

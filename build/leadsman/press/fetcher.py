"""The locked fetcher: the only two kinds of address that a document may draw on.

``font://PACKAGE/FILE`` is a file of a font package, ``asset://templates/PATH`` a picture or style
below the templates folder. Everything else (the network, files, ``data:``, a path that leaves the
folder, a symbolic link out of it) is refused without being touched, and remembered.
"""

from __future__ import annotations

import urllib.parse
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from leadsman.errors import OutputError
from leadsman.press import fonts, svg
from leadsman.press.engine import load_engine

BASE_URL = "asset://templates/"
LARGEST_BYTES = 5_000_000
TYPES = {
    ".css": "text/css",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".png": "image/png",
    ".svg": "image/svg+xml",
}

# Without this, urljoin() leaves a relative address under our own scheme as it is.
for _list in (urllib.parse.uses_relative, urllib.parse.uses_netloc):
    if "asset" not in _list:
        _list.append("asset")


class Denied(ValueError):
    """An address that no document may use."""


class LockedFetcher:
    """Resolve ``font://`` and ``asset://templates/``; refuse and record everything else.

    Parameters
    ----------
    root
        The templates folder, or None when the document may use no asset at all.
    """

    # Read by the engine: refusals are collected and fail the build afterwards, all at once.
    _fail_on_errors = False

    def __init__(self, root: Path | None = None) -> None:
        self.root = root.resolve() if root else None
        self.denials: list[str] = []

    def take_denials(self) -> list[str]:
        """The refusals since the last call."""
        taken, self.denials = self.denials, []
        return taken

    def __call__(self, url: str) -> Any:
        """What the engine calls for each address; the answer is its response object."""
        try:
            body, kind = self.read(url)
        except (OutputError, OSError, ValueError) as error:
            # An error of the system names a place on this machine; its reason is enough.
            reason = getattr(error, "strerror", None) or str(error)
            self.denials.append(f"refused address {_shown(url)}: {reason}")
            raise Denied(reason) from error
        response = load_engine().urls.URLFetcherResponse
        return response(url, body, {"Content-Type": kind})

    fetch = __call__

    def read(self, url: str) -> tuple[bytes, str]:
        """The bytes at an allowed address and their media type."""
        parts = urlsplit(url)
        if parts.query or parts.fragment:
            raise Denied("an address here has no query and no fragment")
        name = unquote(parts.path).removeprefix("/")
        if parts.scheme == "font" and parts.netloc in fonts.PACKAGES:
            return fonts.font_bytes(parts.netloc, name), "font/ttf"
        if parts.scheme == "asset" and parts.netloc == "templates":
            return self._asset(name)
        raise Denied("only font:// and asset://templates/ may be used")

    def _asset(self, name: str) -> tuple[bytes, str]:
        if self.root is None:
            raise Denied("this document has no templates folder")
        # Resolved first, so that neither ".." nor a symbolic link can lead out.
        path = (self.root / name).resolve(strict=True)
        if not path.is_relative_to(self.root) or not path.is_file():
            raise Denied("not a file inside the templates folder")
        kind = TYPES.get(path.suffix.lower())
        if kind is None:
            raise Denied(f"files of type {path.suffix or '(none)'} are not used in a document")
        if path.stat().st_size > LARGEST_BYTES:
            raise Denied(f"larger than {LARGEST_BYTES} bytes")
        body = path.read_bytes()
        if kind == "image/svg+xml":
            body = svg.safe_svg(body, name=path.stem).encode()
        return body, kind


def _shown(url: str) -> str:
    return url if len(url) <= 80 else f"{url[:77]}..."

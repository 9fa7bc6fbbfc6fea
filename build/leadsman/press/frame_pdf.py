"""A finished PDF in which a few content streams can be exchanged, and nothing else has to be written anew.

The file is taken apart once: every object that stays is written into a constant beginning, the streams that
change are left out. A new file is that beginning, the new streams and a new cross-reference stream (ISO
32000-1:2008, 7.5.8), in a fraction of a millisecond for each page.
"""

from __future__ import annotations

import hashlib
import io
import zlib
from collections.abc import Mapping
from typing import Any

import pikepdf

#: Objects in one object stream: few enough for a reader to open one without the rest.
_PER_STREAM = 200
#: Bytes of a cross-reference entry: its kind, a place or stream number, a place in that stream.
_ROW = 7


class ExchangePdf:
    """The constant part of a PDF and the places of its exchangeable content streams.

    Parameters
    ----------
    data
        The finished file.
    pages
        The pages, counted from 0, whose content stream is exchanged.
    """

    def __init__(self, data: bytes, pages: list[int]) -> None:
        with pikepdf.open(io.BytesIO(data)) as pdf:
            self.numbers = {page: _own_stream(pdf, page) for page in pages}
            self._size = max(obj.objgen[0] for obj in pdf.objects) + 1
            self._entries: dict[int, tuple[int, int, int]] = {0: (0, 0, 65535)}
            self._prefix = self._written(pdf, set(self.numbers.values()))
            trailer = pdf.trailer
            self._trailer = b"/Root %d 0 R" % trailer.Root.objgen[0]
            if "/Info" in trailer:
                self._trailer += b" /Info %d 0 R" % trailer.Info.objgen[0]
        self._digest = hashlib.sha256(self._prefix).digest()
        self._rows = b"".join(_row(*self._entries.get(number, (0, 0, 0))) for number in range(self._size + 1))

    def _written(self, pdf: pikepdf.Pdf, left_out: set[int]) -> bytes:
        out = io.BytesIO()
        out.write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
        packed: list[tuple[int, bytes]] = []
        for obj in pdf.objects:
            number = obj.objgen[0]
            if number in left_out or _is_container(obj):
                continue
            if isinstance(obj, pikepdf.Stream):
                self._entries[number] = (1, out.tell(), 0)
                raw = obj.read_raw_bytes()
                assert int(obj.Length) == len(raw)
                head = obj.stream_dict.unparse(resolved=True)
                out.write(b"%d 0 obj\n%s\nstream\n%s\nendstream\nendobj\n" % (number, head, raw))
            else:
                packed.append((number, obj.unparse(resolved=True)))
        for start in range(0, len(packed), _PER_STREAM):
            self._pack(out, packed[start : start + _PER_STREAM])
        return out.getvalue()

    def _pack(self, out: io.BytesIO, objects: list[tuple[int, bytes]]) -> None:
        """Write some objects as one object stream (ISO 32000-1:2008, 7.5.7)."""
        number, self._size = self._size, self._size + 1
        head, body = [], io.BytesIO()
        for place, (each, text) in enumerate(objects):
            head.append(b"%d %d" % (each, body.tell()))
            body.write(text + b"\n")
            self._entries[each] = (2, number, place)
        index = b" ".join(head) + b"\n"
        packed = zlib.compress(index + body.getvalue(), 9)
        self._entries[number] = (1, out.tell(), 0)
        out.write(
            b"%d 0 obj\n<< /Type /ObjStm /N %d /First %d /Filter /FlateDecode /Length %d >>\nstream\n%s\nendstream\nendobj\n"
            % (number, len(objects), len(index), len(packed), packed)
        )

    def with_streams(self, contents: Mapping[int, bytes]) -> bytes:
        """The file with these page contents; every exchangeable page must be given."""
        out = io.BytesIO()
        out.write(self._prefix)
        rows, digest = bytearray(self._rows), hashlib.sha256(self._digest)
        for page, number in self.numbers.items():
            packed = zlib.compress(contents[page], 6)
            digest.update(packed)
            rows[number * _ROW : (number + 1) * _ROW] = _row(1, out.tell(), 0)
            out.write(b"%d 0 obj\n<< /Filter /FlateDecode /Length %d >>\nstream\n" % (number, len(packed)))
            out.write(packed + b"\nendstream\nendobj\n")
        self._close(out, rows, digest.hexdigest()[:32])
        return out.getvalue()

    def _close(self, out: io.BytesIO, rows: bytearray, identity: str) -> None:
        """Write the cross-reference stream; it is the last object and names itself too."""
        number, start = self._size, out.tell()
        rows[number * _ROW :] = _row(1, start, 0)
        packed = zlib.compress(bytes(rows), 6)
        mark = identity.encode()
        out.write(
            b"%d 0 obj\n<< /Type /XRef /Size %d /W [1 4 2] %s /ID [<%s> <%s>] /Filter /FlateDecode /Length %d >>\nstream\n"
            % (number, number + 1, self._trailer, mark, mark, len(packed))
        )
        out.write(packed + b"\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % start)


def _row(kind: int, first: int, second: int) -> bytes:
    """One cross-reference entry, in the widths that the stream declares."""
    return bytes((kind,)) + first.to_bytes(4, "big") + second.to_bytes(2, "big")


def _own_stream(pdf: pikepdf.Pdf, page: int) -> int:
    contents = pdf.pages[page].obj.Contents
    number: int = contents.objgen[0]
    return number


def _is_container(obj: Any) -> bool:
    """Whether an object only holds others or the cross-references: those are written anew."""
    return isinstance(obj, pikepdf.Stream) and str(obj.get("/Type", "")) in ("/ObjStm", "/XRef")

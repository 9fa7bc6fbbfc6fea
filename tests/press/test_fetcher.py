"""No document reaches the network or a file outside the templates: attacks are refused and untouched."""

from __future__ import annotations

import base64
import http.server
import re
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from leadsman.errors import OutputError
from leadsman.press import fetcher, fonts
from leadsman.press.fetcher import Denied, LockedFetcher
from leadsman.press.typeset import Typesetter, render_pdf

SECRET = "Kept outside the templates"
PLAIN = '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><title>A square</title><rect width="9" height="9"/></svg>'


class Site:
    """A web server that remembers what it was asked for."""

    def __init__(self) -> None:
        hits = self.hits = []  # type: list[str]

        class Handler(http.server.BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                hits.append(self.path)
                self.send_response(200)
                self.send_header("Content-Type", "text/css")
                self.end_headers()
                self.wfile.write(b"p { color: red }")

            def log_message(self, *_: object) -> None:
                pass

        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.address = f"http://127.0.0.1:{self.server.server_port}"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()


@pytest.fixture(scope="module")
def site() -> Iterator[Site]:
    """Return a running server."""
    made = Site()
    yield made
    made.server.shutdown()
    made.server.server_close()


@pytest.fixture(scope="module")
def templates(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a templates folder with a good picture, hostile ones, and secrets beside it."""
    top = tmp_path_factory.mktemp("project")
    root = top / "templates"
    (root / "pictures").mkdir(parents=True)
    (root / "pictures" / "square.svg").write_text(PLAIN)
    (root / "print.css").write_text("p { color: #111 }")
    (root / "notes.txt").write_text(SECRET)
    (top / "secret.svg").write_text(PLAIN.replace("A square", SECRET))
    (top / "secret.css").write_text("p { color: red }")
    (root / "link.svg").symlink_to(top / "secret.svg")
    (root / "folder").symlink_to(top, target_is_directory=True)
    (root / "huge.svg").write_text(PLAIN + " " * fetcher.LARGEST_BYTES)
    return root


@pytest.fixture(scope="module")
def setter(templates: Path) -> Typesetter:
    """Return an engine with this templates folder."""
    return Typesetter(templates)


def nested(site: str) -> str:
    """Return an SVG whose picture lies elsewhere."""
    return PLAIN.replace("<rect", f'<image width="5" height="5" href="{site}/nested"/><rect')


ATTACKS = {
    "image from the web": '<img alt="a" src="SITE/a.png">',
    "image from a file": '<img alt="a" src="file://OUTSIDE/secret.svg">',
    "image from data": f'<img alt="a" src="data:image/svg+xml;base64,{base64.b64encode(PLAIN.encode()).decode()}">',
    "relative path upwards": '<img alt="a" src="../secret.svg">',
    "absolute path upwards": '<img alt="a" src="asset://templates/../secret.svg">',
    "dots as percent": '<img alt="a" src="asset://templates/%2e%2e/secret.svg">',
    "slash as percent": '<img alt="a" src="asset://templates/..%2fsecret.svg">',
    "root as percent": '<img alt="a" src="asset://templates/%2fetc/hostname">',
    "zero byte": '<img alt="a" src="asset://templates/pictures/square.svg%00.png">',
    "symbolic link": '<img alt="a" src="link.svg">',
    "linked folder": '<img alt="a" src="folder/secret.svg">',
    "another host": '<img alt="a" src="asset://elsewhere/pictures/square.svg">',
    "text file": '<img alt="a" src="notes.txt">',
    "too large": '<img alt="a" src="huge.svg">',
    "query": '<img alt="a" src="pictures/square.svg?x=1">',
    "picture sources": '<picture><source srcset="SITE/b"><img alt="a" src="SITE/c"></picture>',
    "object": '<object data="SITE/object"></object>',
    "embed": '<embed src="SITE/embed">',
    "import from the web": '<style>@import url("SITE/import");</style>',
    "import from a file": '<style>@import "file://OUTSIDE/secret.css";</style>',
    "background": '<p style="background: url(SITE/background)">x',
    "list marker": '<ul><li style="list-style-image: url(SITE/marker)">x</ul>',
    "generated content": "<style>p::before { content: url(SITE/content) }</style><p>x",
    "border image": '<p style="border: 5px solid; border-image: url(SITE/border) 5">x',
    "colour profile": "<style>@color-profile --x { src: url(SITE/profile) }</style>",
    "style by variable": '<p style="--u: url(SITE/variable); background: var(--u)">x',
    "style link": '<link rel="stylesheet" href="SITE/link">',
    "attachment from a file": '<link rel="attachment" href="file://OUTSIDE/secret.svg">',
    "attachment from the web": '<a rel="attachment" href="SITE/attachment">x</a>',
    "changed base": '<base href="SITE/"><img alt="a" src="base.png">',
    "drawing with a web image": nested("SITE"),
    "drawing with a file image": nested("file://OUTSIDE"),
    "drawing in a foreign object": PLAIN.replace(
        "<rect", '<foreignObject><img alt="a" src="SITE/fo"/></foreignObject><rect'
    ),
}


@pytest.mark.parametrize("attack", ATTACKS.values(), ids=ATTACKS.keys())
def test_attacks_fail_the_build_and_fetch_nothing(
    setter: Typesetter, site: Site, templates: Path, tmp_path: Path, attack: str
) -> None:
    site.hits.clear()
    html = attack.replace("SITE", site.address).replace("OUTSIDE", str(templates.parent))
    with pytest.raises(OutputError) as caught:
        render_pdf(f"<h1>A</h1>{html}", out=tmp_path / "a.pdf", title="A title", typesetter=setter)
    assert site.hits == []
    assert not list(tmp_path.iterdir())
    assert "\n  refused address " in str(caught.value)
    assert SECRET not in str(caught.value)


@pytest.mark.parametrize(
    "ignored",
    [
        '<iframe src="SITE/frame"></iframe>',
        '<video poster="SITE/video"></video>',
        '<script src="SITE/script"></script>',
        '<link rel="meta" href="SITE/meta">',
        PLAIN.replace("<rect", '<use href="SITE/use#a"/><rect'),
    ],
)
def test_what_the_engine_never_loads_stays_unloaded(
    setter: Typesetter, site: Site, tmp_path: Path, ignored: str
) -> None:
    """These load nothing today; a later engine that does would meet the same lock."""
    site.hits.clear()
    try:
        render_pdf(
            f"<h1>A</h1>{ignored.replace('SITE', site.address)}",
            out=tmp_path / "a.pdf",
            title="A title",
            typesetter=setter,
        )
    except OutputError:
        assert not list(tmp_path.iterdir())
    assert site.hits == []


def test_style_sheets_are_locked_too(setter: Typesetter, site: Site, tmp_path: Path) -> None:
    site.hits.clear()
    for css in (f'@import "{site.address}/a.css";', f"p {{ background: url({site.address}/b) }}"):
        with pytest.raises(OutputError, match="refused address http"):
            render_pdf("<h1>A</h1><p>x", css, out=tmp_path / "a.pdf", title="A title", typesetter=setter)
    assert site.hits == []


def test_the_server_would_have_noticed(site: Site) -> None:
    """The counter that the other tests look at does count."""
    import urllib.request

    site.hits.clear()
    urllib.request.build_opener(urllib.request.ProxyHandler({})).open(
        f"{site.address}/seen", timeout=5
    ).close()
    assert site.hits == ["/seen"]


def test_assets_and_styles_of_the_templates_work(setter: Typesetter, tmp_path: Path) -> None:
    html = '<h1>A</h1><p><img alt="A square" src="pictures/square.svg"></p>'
    done = render_pdf(
        html, '@import "print.css";', out=tmp_path / "a.pdf", title="A title", typesetter=setter
    )
    assert done.page_count == 1


def test_without_a_folder_there_are_no_assets(typesetter: Typesetter, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="this document has no templates folder"):
        render_pdf(
            '<h1>A</h1><img alt="a" src="pictures/square.svg">',
            out=tmp_path / "a.pdf",
            title="A title",
            typesetter=typesetter,
        )


@pytest.mark.parametrize(
    ("url", "words"),
    [
        ("https://example.org/a.png", "only font:// and asset://templates/ may be used"),
        ("asset://templates/../secret.svg", "not a file inside the templates folder"),
        ("asset://templates/link.svg", "not a file inside the templates folder"),
        ("asset://templates/", "not a file inside the templates folder"),
        ("asset://templates/notes.txt", "files of type .txt are not used"),
        ("asset://templates/huge.svg", "larger than"),
        ("asset://templates/pictures/square.svg#a", "no query and no fragment"),
        ("font://source/none.ttf", "no font none.ttf"),
        ("font://source/../__init__.py", "no font"),
        ("font://elsewhere/a.ttf", "only font:// and asset://templates/ may be used"),
    ],
)
def test_denials_say_why_and_are_kept(templates: Path, url: str, words: str) -> None:
    locked = LockedFetcher(templates)
    with pytest.raises(Denied, match=re.escape(words)):
        locked(url)
    (kept,) = locked.take_denials()
    assert kept.startswith("refused address ")
    assert words in kept
    assert locked.take_denials() == []


def test_every_declared_face_can_be_read() -> None:
    locked = LockedFetcher()
    for face in fonts.FACES:
        body, kind = locked.read(face.url)
        assert kind == "font/ttf"
        assert body[:4] == b"\x00\x01\x00\x00"

"""All words live in content: no English stands in a template, none for a reader in the modules that make pages."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import small_content

#: Folders of templates that print no page: `leadsman new` writes a writer's YAML from the one, the other is a
#: screen of the program, like its messages.
NOT_PRINTED = ("new", "preview")
#: Attributes that a reader is shown or read.
_READ_OUT = re.compile(r'\b(?:title|alt|aria-label|caption|label|placeholder)="([^"]*)"')
_WORD = re.compile(r"[A-Za-z]{2,}")
#: What an expression may compare with or count by.
_KEYS = {"DANGER", "WARNING", "ABCD"}

#: What stands in `book` and `output` and prints no page, by what it serves.
ELSEWHERE = {
    "book/reports.py": "the tables of `leadsman report`",
    "output/face_report.py": "the tables of `leadsman report`",
    "book/language.py": "the tables of `leadsman report`",
    "book/ladder.py": "the terminal: `leadsman show` and `leadsman walk`",
    "book/sound_supply.py": "the terminal: `leadsman sound`",
    "book/changes.py": "`leadsman changes`, and the notice to whoever keeps the cards, which a build tells as well",
    "book/number_changes.py": "`leadsman changes`",
    "book/passages.py": "`leadsman changes`: what a passage is called to its writer",
    "output/tally_picture.py": "the picture of `leadsman tally`, for the writer",
    "book/computable.py": "problems that are told to a writer",
    "book/printed_numbers.py": "the head of a file that the program keeps",
}
#: Strings of two words and more that nobody reads: keys, classes of elements, names of types and of things in errors.
UNREAD = {
    "too thin", "not proved", "offset points", "Leadsman Head", "mark fold", "mark across", "mark along",
    "the cover", "the frame", "the print-shop sheets",
}  # fmt: skip
#: Functions that gather the lines of an error.
TELLS = {"_too_tall"}
_ERRORS = re.compile(r"(?:Error|Refused|[Pp]roblem)$")
_TWO_WORDS = re.compile(r"[A-Za-z]{2,} [A-Za-z]{2,}")
_STYLE = re.compile(r"@page|\b(?:margin|border|font|width|padding)(?:-[a-z]+)?: ")


def words_of(template: str) -> list[str]:
    """The words that a template prints by itself, or hides in an expression; names of commands are typed as they are."""
    text = re.sub(r"\{#.*?#\}|<code>.*?</code>|class=\"(?:\{\{.*?\}\}|[^\"{])*\"", "\n", template, flags=re.S)
    expressions = re.findall(r"\{\{.*?\}\}|\{%.*?%\}", text, flags=re.S)
    text = re.sub(r"\{\{.*?\}\}|\{%.*?%\}", "\x00", text, flags=re.S)
    printed = re.sub(r"<[^>]*>|&[#\w]+;", "\n", text)
    found = _WORD.findall(printed)
    found += [word for said in _READ_OUT.findall(text) for word in _WORD.findall(said)]
    strings = [string for each in expressions for string in re.findall(r'"([^"]*)"', each)]
    # A word with a capital, or one that a blank parts from its neighbour.
    return found + [
        s
        for s in strings
        if s not in _KEYS and re.search(r"\b[A-Z][A-Za-z]|[A-Za-z]{2,} |[ ,;] ?[a-z]{2,}", s)
    ]


def templates(repository: Path) -> Iterator[Path]:
    """Every template of a page."""
    folder = repository / "templates"
    for path in sorted([*folder.rglob("*.j2"), *folder.rglob("*.html")]):
        if path.relative_to(folder).parts[0] not in NOT_PRINTED:
            yield path


def test_templates_hold_no_words(repository: Path) -> None:
    """Not even one word of the frame: "Bring" and "NO" are content as well."""
    found = {
        f"{path.parent.name}/{path.name}": words
        for path in templates(repository)
        if (words := words_of(path.read_text(encoding="utf-8")))
    }
    assert found == {}


@pytest.mark.parametrize(
    ("slip", "told"),
    [
        ("<th>Limit</th>", ["Limit"]),
        ("<b>NO</b>&nbsp;→", ["NO"]),
        ('<svg aria-label="A boat">', ["boat"]),
        ('<input title="{{ name }}: model">', ["model"]),
        ('{{ "Checks in their order" if fault else w.steps }}', ["Checks in their order"]),
        ('{{ name ~ ": volts, " ~ place }}', [": volts, "]),
        ("{% if a %}or less{% endif %}", ["or", "less"]),
    ],
)
def test_a_word_in_a_template_is_seen(slip: str, told: list[str]) -> None:
    """As text, in an attribute, and as a string of an expression."""
    assert words_of(f'{{% set w = book.find %}}\n<p class="line">{{{{ w.about }}}}</p>{slip}') == told


@pytest.mark.parametrize(
    "line",
    [
        '<td>{{ volts|in_unit("V") }} V{{ "; " if not loop.last }}</td>',
        '<code>leadsman drill --replay</code><span data-page-of="#{{ id }}"></span>',
        '<ul class="list{{ " short wide" if data.short }}">',
        '{# Words for the next writer. #}{% import "page.html.j2" as printed with context %}',
    ],
)
def test_markup_is_no_word(line: str) -> None:
    assert words_of(line) == []


def modules(repository: Path) -> Iterator[tuple[str, Path]]:
    """Every module that makes a page or what stands on one, the drill's picture too."""
    package = repository / "build" / "leadsman"
    for path in sorted(
        [*package.glob("output/**/*.py"), *package.glob("book/**/*.py"), package / "drill/plot.py"]
    ):
        name = path.relative_to(package).as_posix()
        if name not in ELSEWHERE:
            yield name, path


def sentences_of(source: str) -> list[str]:
    """The strings of two words and more of a module, with their lines; a value within one is a point."""
    tree = ast.parse(source)
    allowed = {id(inside) for node in ast.walk(tree) if _is_no_print(node) for inside in ast.walk(node)}
    joined = [node for node in ast.walk(tree) if isinstance(node, ast.JoinedStr)]
    allowed |= {id(part) for node in joined for part in node.values if isinstance(part, ast.Constant)}
    found = []
    for node in ast.walk(tree):
        if id(node) in allowed:
            continue
        if isinstance(node, ast.JoinedStr):
            said = "".join(str(p.value) if isinstance(p, ast.Constant) else "·" for p in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            said = node.value
        else:
            continue
        # Of HTML the text counts.
        text = re.sub(r"<[^>]*>?", "", said)
        if _TWO_WORDS.search(text) and text not in UNREAD and not _STYLE.search(text):
            found.append(f"{node.lineno}: {said}")
    return found


def _is_no_print(node: ast.AST) -> bool:
    """What documents, and what tells of an error."""
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    if isinstance(node, ast.Call):
        called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        return bool(_ERRORS.search(called))
    return isinstance(node, ast.Raise) or (isinstance(node, ast.FunctionDef) and node.name in TELLS)


def test_modules_hold_no_sentence_for_a_reader(repository: Path) -> None:
    """Strings of two words and more document, or tell of an error."""
    found = {
        name: words
        for name, path in modules(repository)
        if (words := sentences_of(path.read_text(encoding="utf-8")))
    }
    assert found == {}


@pytest.mark.parametrize(
    ("slip", "told"),
    [
        ('title = "Where the numbers come from"', "Where the numbers come from"),
        ('text = f"{head} falls from {low} to {high}"', "· falls from · to ·"),
        ('part("menus", "Menu paths")', "Menu paths"),
        ('html = f"<p>{name}</p><p>print only</p>"', "<p>·</p><p>print only</p>"),
    ],
)
def test_a_sentence_in_a_module_is_seen(slip: str, told: str) -> None:
    assert sentences_of(f'"""A module of pages."""\n\n{slip}\n') == [f"3: {told}"]


@pytest.mark.parametrize(
    "line",
    [
        'raise OutputError(f"{path} has no front")',
        'yield catalogue.problem("faults", name, (), "is too long", "split it in two")',
        'css = f"@page {{ size: {width}mm }} body {{ font: 700 9pt Arial }}"',
        "html = f'<section class=\"spread two\">{inside}</section>'",
    ],
)
def test_what_nobody_reads_on_a_page_is_none(line: str) -> None:
    assert sentences_of(line) == []


def test_the_exceptions_are_needed(repository: Path) -> None:
    """An exception whose reason is gone would hide the next slip."""
    package = repository / "build" / "leadsman"
    idle = [name for name in ELSEWHERE if not sentences_of((package / name).read_text(encoding="utf-8"))]
    assert idle == []
    sources = "".join(path.read_text(encoding="utf-8") for _, path in modules(repository))
    assert [text for text in sorted(UNREAD) if f'"{text}"' not in sources] == []


def test_the_small_content_has_the_same_words(repository: Path) -> None:
    """The tests of the small content are tests of the words that are printed."""
    shipped, small = (
        folder / "phrases" / "en.yaml" for folder in (repository / "content", small_content.FOLDER)
    )
    assert small.read_bytes() == shipped.read_bytes()

"""Files that take their values late are the same to a reader as files whose every page was laid out for them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import small_guides
import validators
from leadsman.output.guide import set_pdf
from leadsman.output.guide_prose import fill
from leadsman.press.frame import STAND_IN, DoesNotFit, Frame
from leadsman.press.gate import Refused
from leadsman.press.typeset import Typesetter

#: Given and family names as they are written in twenty languages with Latin letters (general knowledge, no source).
NAMES = {
    "English": "Isolde Ivor Imogen Quincy Zoë; Ingleby Wix Fairfax O'Hara Jenkin-Ives",
    "Irish": "Íde Iarla Séamus Órla Tadhg; Ó_Súilleabháin Ní_Dhónaill Mac_Giolla O'Íosa Ua_Briain",
    "Welsh": "Ifan Ŵyn Siân Llŷr Iestyn; ap_Iorwerth Wŷnn Ifans Llwyd Prŷs",
    "German": "Ingeborg Jürgen Käthe Björn Ida; Groß Müller-Lüdenscheidt Ißleib Jäger Öztürk",
    "Dutch": "IJsbrand Ingrid Jozef Loïs Femke; van_IJzendoorn 't_Hooft IJff de_Wijs Coöper",
    "Danish": "Inge Søren Åse Ib Jørgen; Østergård Ipsen Kjær Ågård Iversen",
    "Norwegian": "Ingvild Øystein Åshild Jøran Iben; Isdahl Bjørnstad Håøy Ingebrigtsen Sæther",
    "Swedish": "Isak Örjan Åke Märta Ingemar; Idström Sjöö Öberg Ljungåker Isacsson",
    "Finnish": "Iida Väinö Yrjö Äijö Ilmari; Ikäheimo Hyvärinen Yli-Mäyry Ijäs Öhman",
    "Icelandic": "Ísak Þórdís Ægir Ída Guðný; Ísleifsdóttir Þorsteinsson Ágústsdóttir Ýmisson Ingólfsson",
    "French": "Inès Gaëlle Ismaël Noémie Jérôme; d'Île Lefèvre L'Hôte Bœuf Iñarra",
    "Spanish": "Íñigo Itziar Nuño Inés José; Ibáñez Yáñez Iglesias Muñiz Jiménez",
    "Portuguese": "Inês João Íris Conceição Jordão; Ipê Magalhães Gonçalves d'Ávila Iglésias",
    "Italian": "Ilaria Niccolò Iacopo Zoè Noè; Iacovelli D'Amìco Ippolito Forlì Jannò",
    "Polish": "Iwona Łukasz Jędrzej Ścibor Żaneta; Iłżecki Święcicka Jóźwiak Iżykowska Wąż",
    "Czech": "Ivo Jiří Zdeněk Růžena Ilja; Ištvánek Dvořák Jirků Šťastný Ivičič",
    "Hungarian": "Ilka Győző Ödön Ibolya Jenő; Illyés Tűzkő Ijjas Szőcs Íjgyártó",
    "Turkish": "İsmail Işıl Çağrı İpek Gülşah; İnönü Işık Yıldız İğdır Jöntürk",
    "Romanian": "Ioana Ștefan Țiriac Ilinca Mălin; Ionuț Ștefănescu Țuțea Îndrei Jianu",
    "Latvian": "Ilze Jānis Ģirts Ķēniņš Ieva; Iļjins Šķēle Ņukša Ījabs Bērziņš",
}


def names() -> list[str]:
    """Each given name of a language with one of its family names: a font joins no letters across the blank."""
    halves = [tuple(half.split() for half in both.split(";")) for both in NAMES.values()]
    return [
        f"{given} {family}".replace("_", " ")
        for given_names, families in halves
        for given, family in zip(given_names, families, strict=True)
    ]


#: Names of the languages that the fonts' Latin letters serve, and one with letters that a font may join.
OWNERS = ("Perpetua Rookling", "Æthelwyn Štěpánová-Øre", "Griffith Offley & Sons, <Wherry>", "O")


@pytest.fixture(scope="module")
def frame(typesetter: Typesetter) -> Frame:
    """Return the frame of the small guide."""
    source = small_guides.source()
    html = fill(source.html, dict.fromkeys(small_guides.guide().values, STAND_IN))
    return Frame(html, source.css, title=source.title, language=source.language, typesetter=typesetter)


@pytest.mark.parametrize("owner", OWNERS)
def test_a_filled_frame_is_the_plainly_set_file(frame: Frame, typesetter: Typesetter, owner: str) -> None:
    values = small_guides.guide(owner).values
    fast, plain = frame.filled(values), set_pdf(small_guides.source(), values, typesetter)
    one, other = small_guides.seen(fast), small_guides.seen(plain)
    assert [what for what in one if one[what] != other[what]] == []
    assert one["syntax"] == []
    assert owner in one["texts"][0]


def test_every_name_of_twenty_languages_fills_its_frame(frame: Frame) -> None:
    """None is refused for a letter that the font joins or the frame lacks: a refused one costs a whole layout."""
    assert len(set(names())) == 100
    values = small_guides.guide().values
    refused = []
    for name in ("Isolde", *names()):
        try:
            frame.filled({**values, "owner": name})
        except DoesNotFit:
            refused.append(name)
    assert not refused, refused


def test_a_file_depends_on_its_own_values_alone(frame: Frame) -> None:
    first = frame.filled(small_guides.guide("Perpetua Rookling").values)
    frame.filled(small_guides.guide("Somebody Else Entirely").values)
    assert frame.filled(small_guides.guide("Perpetua Rookling").values) == first


@pytest.mark.parametrize("owner", ["W" * 70, "李小龍", "Ωμέγα и другие", "", " lead", "two  blanks"])
def test_what_does_not_fit_is_refused_and_forgotten(frame: Frame, owner: str) -> None:
    """A wrapped line, a foreign letter, or blanks that a page would fold: the plain way must take it."""
    values = dict(small_guides.guide().values)
    before = frame.filled(values)
    with pytest.raises(DoesNotFit) as refused:
        frame.filled({**values, "owner": owner})
    assert owner.strip() == "" or owner not in str(refused.value)
    assert frame.filled(values) == before


def test_validators_accept_it(frame: Frame, tmp_path: Path) -> None:
    path = tmp_path / "guide.pdf"
    path.write_bytes(frame.filled(small_guides.guide().values))
    assert validators.pdf_findings(path) == []


def test_a_place_that_holds_more_than_its_value_is_refused(typesetter: Typesetter) -> None:
    html = f'<h1>Title</h1><p><span data-slot="owner">{STAND_IN} and more</span></p>'
    with pytest.raises(Refused, match="more than its value"):
        Frame(html, "", title="A title", language="en-GB", typesetter=typesetter)


def test_a_frame_with_a_defect_is_refused(typesetter: Typesetter) -> None:
    html = f'<h1>Title</h1><h3>Skipped</h3><p><span data-slot="owner">{STAND_IN}</span></p>'
    with pytest.raises(Refused, match="heading level skipped"):
        Frame(html, "", title="A title", language="en-GB", typesetter=typesetter)


def test_each_page_keeps_its_own_values(frame: Frame) -> None:
    """The cover holds the owner; the boat's page its numbers; no other page any of them."""
    values = small_guides.guide().values
    found: dict[str, Any] = small_guides.seen(frame.filled(values))
    holding = {
        # A narrow space of one face is read back as a plain one of another.
        name: [
            n
            for n, text in enumerate(found["texts"])
            if value.split() and " ".join(value.split()) in " ".join(text.split())
        ]
        for name, value in values.items()
    }
    assert holding["owner"] == [0]
    assert holding["boat"] == [0]
    assert len(holding["display-serial"]) == 1
    assert all(holding.values())

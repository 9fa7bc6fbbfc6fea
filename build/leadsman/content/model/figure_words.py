"""The words of the pictures: what each is called, what to see in it, the text that says the same, and its labels."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from leadsman.content.model.base import Label, Prose, Record
from leadsman.content.model.words import OfName, OfNames, Sentence, SentenceOfNames, Words, whole, with_places

OfAngle = Annotated[Label, with_places(("angle",))]
OfDepth = Annotated[Label, with_places(("depth",))]
OfLimit = Annotated[Label, with_places(("limit",))]
OfSize = Annotated[Label, with_places(("size",))]
OfUnit = Annotated[Label, with_places(("unit",))]
OfVolts = Annotated[Label, with_places(("volts",))]
OfWater = Annotated[Label, with_places(("water",))]
TextOfDepth = Annotated[Prose, with_places(("depth",))]
#: A label of two lines, one below the other.
TwoLines = Annotated[list[Words], Field(min_length=2, max_length=2)]


class PictureText(Record):
    """The title of a picture, what to see in it, and the text alternative."""

    title: Words
    caption: Sentence
    text: Sentence


class ChainWords(PictureText):
    """From battery to bottom."""

    battery: Words
    fuse: Words
    lead: Words
    plug: Words
    display: Words
    cable: Words
    transducer: Words
    water: Words


class FuseEndsWords(PictureText):
    """A meter on both ends of a fuse."""

    plus: Words
    unit: Words
    fuse: Words
    minus: Words
    switched_on: Words


class LegsWords(PictureText):
    """The drop along each leg of the lead."""

    battery: Words
    unit: Words
    plus: Words
    minus: Words
    both: Words


class CableWords(PictureText):
    """The inside of a transducer's cable."""

    jacket: Words
    shield: Words
    insulation: Words
    pair: Words
    element: Words
    no_path: Words


class BackboneWords(PictureText):
    """A backbone with its terminators."""

    display: Words
    box: Words
    power: Words
    terminator: Words
    backbone: Words
    drop: Words
    count: Words


class PulseWords(PictureText):
    """Pulse and echo."""

    pulse: Words
    echo: Words
    band: Words
    bottom: Words
    time: Words


class HullKindWords(PictureText):
    """A boat from the side, one for each kind of hull."""

    title: OfName
    text: Annotated[Prose, with_places(("name", "boat", "housing"))]
    names: dict[str, Words]

    @model_validator(mode="after")
    def _every_word(self) -> HullKindWords:
        whole("names", self.names, ("flat", "modified-v", "deep-v", "displacement", "pontoon", "sailing"))
        return self


class LevelWords(PictureText):
    """Surface, face, keel and bottom."""

    surface: Words
    face: Words
    keel: Words
    bottom: Words


class BracketWords(PictureText):
    """A transom bracket, right and wrong."""

    down: Words
    up: Words
    askew: Words


class PinStateWords(PictureText):
    """Pins and collar of a plug."""

    states: Annotated[list[Words], Field(min_length=5, max_length=5)]


class SlopeWords(PictureText):
    """The beam on a slope."""

    text: Annotated[Prose, with_places(("name", "beam", "slope", "depth", "shown", "length", "least"))]
    plumb: Words
    first: Words
    shows: OfDepth
    least: Words
    in_print: OfDepth
    beam: OfAngle
    slope: OfAngle
    print: OfSize


class LongestRunWords(PictureText):
    """The longest lead by current and conductor."""

    text: Annotated[Prose, with_places(("drop", "names"))]
    one: Annotated[Label, with_places(("name", "long", "current", "short", "more"))]
    """How long a lead of one conductor may be, at a current and at a greater one."""
    another: OfName
    current: Words
    one_way: OfUnit


class ThermistorWords(PictureText):
    """The thermistor by water temperature."""

    text: SentenceOfNames
    curve: Annotated[Prose, with_places(("name", "first", "cold", "middle", "mild", "last", "warm"))]
    water: OfUnit
    ohms: Words


class ReadableWords(PictureText):
    """Which band reads where."""

    title: OfWater
    text: Annotated[Prose, with_places(("water", "bottom", "names"))]
    bar: Annotated[Prose, with_places(("name", "least", "greatest"))]
    axis: OfUnit


class BandTopWords(PictureText):
    """Band at the top, bottom and second return."""

    text: Annotated[
        Prose, with_places(("boat", "immersion", "depth", "name", "band", "full", "bottom", "second"))
    ]
    band: OfDepth
    full: OfDepth
    bottom: OfDepth
    second: OfDepth
    not_there: TwoLines
    once: Words
    twice: Words
    scale: TwoLines
    picture: Words


class HullSectionWords(PictureText):
    """Deadrise, element and the tilt that is left."""

    caption: Annotated[Prose, with_places(("boat", "angle"))]
    text: Annotated[
        Prose, with_places(("boat", "rise", "beam", "level", "verdict", "element", "left", "turned"))
    ]
    outside: Words
    weakens: Words
    """What a level element does, where its beam still holds the bottom straight below."""
    rise: OfAngle
    keel: Words
    mark: Annotated[Label, with_places(("where",))]
    marks: dict[str, Words]
    level: Words
    element: OfAngle
    leans: OfAngle
    beam: OfAngle
    plumb: Words

    @model_validator(mode="after")
    def _every_word(self) -> HullSectionWords:
        whole("marks", self.marks, ("keel", "bow", "forward", "up"))
        return self


class FairingWords(PictureText):
    """The cutting guide of a fairing block."""

    text: Annotated[Prose, with_places(("boat", "rise", "scale", "width", "angle", "thin", "stem", "thick"))]
    backing: Words
    outer: Words
    scale: Annotated[Label, with_places(("scale",))]
    stem: Words
    at_stem: OfSize
    keel_side: Words
    outboard: Words
    port: Words
    starboard: Words


class ScreenOfDepth(PictureText):
    """A screen whose text names the depth in its corner."""

    text: TextOfDepth


class ScreenWords(Record):
    """Eight faults as a screen shows them."""

    dark: PictureText
    message: PictureText
    empty: PictureText
    no_number: PictureText
    breaks_off: ScreenOfDepth
    small_number: ScreenOfDepth
    streaks: ScreenOfDepth
    teeth: ScreenOfDepth
    no_light: Words
    a_message: Words
    nothing: Words


class FrontOfDisplayWords(PictureText):
    """The front of a display."""

    title: OfName
    caption: SentenceOfNames
    text: Annotated[Prose, with_places(("name", "about", "names"))]
    depth: Words
    water: Words
    picture: Words


class BandWords(PictureText):
    """Which band serves in which depth."""

    title: OfWater
    text: Annotated[Prose, with_places(("depths", "water", "names"))]
    below: Words
    band: Words
    depths: Annotated[Label, with_places(("names", "last"))]
    key: dict[str, Words]
    everywhere: OfName
    between: Annotated[Label, with_places(("name", "least", "greatest"))]
    at: Annotated[Label, with_places(("name", "depth"))]

    @model_validator(mode="after")
    def _every_word(self) -> BandWords:
        whole("key", self.key, ("good", "fair", "poor", "none"))
        return self


class VoltsWords(PictureText):
    """Volts from battery to plug."""

    caption: OfName
    text: Annotated[
        Prose,
        with_places(
            ("name", "current", "lead", "source", "contacts", "copper", "sound", "bad", "convicted", "low")
        ),
    ]
    of_lead: Annotated[Label, with_places(("length", "conductor"))]
    battery: Words
    lead: Words
    plug: Words
    joints: OfVolts
    copper: OfVolts
    source: OfVolts
    sound: OfVolts
    bad: OfVolts
    convicted: Words
    below: OfVolts
    low: OfVolts


class ProbeWords(PictureText):
    """Where the probes go."""

    text: Annotated[Prose, with_places(("share", "joint"))]
    each: OfLimit
    """Behind the last joint, where a joint has a limit of its own."""
    drop: TwoLines
    legs: Annotated[Label, with_places(("share",))]
    half: Words
    joint_limit: OfLimit
    each_joint: Words
    fuse: Words
    joint: Words
    lamp: Words


class SwapMatrixWords(PictureText):
    """What each swap tests."""

    text: SentenceOfNames
    part: Words
    key: dict[str, Words]
    exchanges: Annotated[Prose, with_places(("name", "parts", "brought", "suspects"))]
    brings: OfNames
    tests: Annotated[Prose, with_places(("name", "parts", "suspects"))]

    @model_validator(mode="after")
    def _every_word(self) -> SwapMatrixWords:
        whole("key", self.key, ("exchanged", "brought", "stays", "unproved", "tested", "none"))
        return self


class TransomWords(PictureText):
    """The clearances of a transom transducer."""

    text: Annotated[Prose, with_places(("near", "far", "close", "clear", "smooth", "riveted", "leans"))]
    leans: Annotated[Prose, with_places(("limit", "wanted"))]
    least: OfSize
    strake: Words
    propeller: Words
    astern: TwoLines
    side: TwoLines
    smooth: Words
    riveted: Words
    edges: TwoLines


class PlugWords(PictureText):
    """The pairs of a transducer plug."""

    caption: OfName
    text: Annotated[Prose, with_places(("name", "names"))]
    head: OfName


class FigureWords(Record):
    """The words of every picture."""

    chain: ChainWords
    fuse_ends: FuseEndsWords
    legs: LegsWords
    cable: CableWords
    backbone: BackboneWords
    pulse: PulseWords
    hulls: HullKindWords
    levels: LevelWords
    bracket: BracketWords
    pin_states: PinStateWords
    slope: SlopeWords
    longest_run: LongestRunWords
    thermistor: ThermistorWords
    readable: ReadableWords
    band_top: BandTopWords
    hull_section: HullSectionWords
    fairing: FairingWords
    screens: ScreenWords
    fronts: FrontOfDisplayWords
    bands: BandWords
    volts: VoltsWords
    probes: ProbeWords
    swaps: SwapMatrixWords
    transom: TransomWords
    plug: PlugWords

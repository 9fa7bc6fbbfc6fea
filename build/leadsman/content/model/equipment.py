"""Equipment and places: display families, transducers, waters, boats, the dealer.

Field names carry their unit and equal the argument names of the formulas, so that a record can be
given to a formula as it is (``inputs``).
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from leadsman.content.model.base import Id, Label, Positive, Prose, Record

Angle = Annotated[float, Field(ge=-30, le=90)]


class Message(Record):
    """An on-screen message of a family, word for word."""

    text: Label
    meaning: Prose


class LostBottom(Record):
    """How a family shows that it had the bottom and lost it, and that it never had it."""

    lost: Literal["flashes", "dashes", "freezes", "dims", "blanks"]
    says: Prose
    never: Prose
    after_restart: Prose


class Family(Record):
    """A display family: what its units can do, say and bear."""

    id: Id
    name: Label
    about: Prose
    capabilities: list[Id] = Field(min_length=1)
    supply_low_v: Positive
    supply_high_v: Positive
    current_a: Positive
    """Greatest steady current at full brightness with transmit on, at ``rated_v``; the unit holds that power."""
    rated_v: Positive = 12.0
    fuse_a: Positive
    least_depth_m: Positive
    greatest_depth_m: Positive
    sounds_without_sensor: bool
    """Whether the picture goes on with the transducer unplugged (noise can then be split)."""
    own_volts: bool
    """Whether the unit can show its own supply volts."""
    lost_bottom: LostBottom
    messages: dict[Id, Message] = Field(min_length=1)
    menus: dict[Id, list[Label]] = Field(min_length=1)
    transducers: dict[Id, str]
    """Transducers that the family accepts, each with the first software version that does."""


class Aperture(Record):
    """The radiating face of one band."""

    shape: Literal["circular", "rectangular"]
    diameter_mm: Positive | None = None
    length_mm: Positive | None = None
    width_mm: Positive | None = None


class Band(Record):
    """One frequency band of a transducer with its own element."""

    id: Id
    name: Label
    frequency_khz: Positive
    bandwidth_khz: Positive
    power_w: Positive
    """RMS, never peak-to-peak."""
    aperture: Aperture
    beamwidth_deg: Positive
    """Full width at ``beam_level_db`` one-way; of a fan beam, the wide axis."""
    narrow_beamwidth_deg: Positive | None = None
    beam_level_db: Positive = 3.0
    pulse_short_ms: Positive
    pulse_long_ms: Positive
    quality_factor: Positive
    receiver_recovery_ms: Annotated[float, Field(ge=0)]
    looks: Literal["down", "side", "forward"] = "down"


class Mark(Record):
    """The orientation mark of a housing and where it points when fitted rightly."""

    mark: Label
    points_to: Literal["keel", "bow", "forward", "up", "none"]


#: The value of the content that says how much insulation a dry line has.
INSULATION_VALUE = "insulation-good"


class Pin(Record):
    """What a meter reads at the plug between two contacts of a sound transducer (cable included unless said)."""

    pair: Label
    instrument: Literal["capacitance", "resistance"]
    what: Literal["element", "identification", "thermistor"]
    expected: Positive
    unit: Literal["nF", "ohm", "kohm"]
    tolerance_pct: Annotated[float, Field(ge=0, le=50)] = 20.0
    tuned: bool = False
    band: Id | None = None


class Thermistor(Record):
    """The water temperature sensor."""

    r25_ohm: Positive
    beta_k: Positive


class Transducer(Record):
    """A transducer: bands, housing, cable, and what a meter reads at its plug."""

    id: Id
    name: Label
    about: Prose
    housing: Literal["transom", "through-hull", "in-hull", "trolling-motor"]
    element_tilts_deg: list[Angle] = [0.0]
    bands: list[Band] = Field(min_length=1)
    laminate_mm: Positive | None = None
    """Of an in-hull transducer, the solid laminate for which its depths are stated where no boat is given."""
    mark: Mark
    cable_length_m: Positive
    cable_pf_per_m: Positive
    identification: bool
    thermistor: Thermistor | None = None
    paddle_hz_per_kn: Positive | None = None
    insulated: Label | None = None
    """The contacts whose insulation is measured, such as "each of 1 to 4 with 5"; its least is a value."""
    pins: list[Pin] = Field(min_length=1)


class Water(Record):
    """A water of the scenario."""

    id: Id
    name: Label
    about: Prose
    kind: Literal["fresh", "brackish", "sea"]
    salinity_psu: Annotated[float, Field(ge=0, le=42)]
    ph: Annotated[float, Field(ge=6, le=9)]
    winter_c: Annotated[float, Field(ge=0, le=40)]
    summer_c: Annotated[float, Field(ge=0, le=40)]
    sediment: Literal["rock", "gravel", "sand", "mud"]
    shallow_m: Positive
    deep_m: Positive
    wind_mps: Annotated[float, Field(ge=0, le=30)]


class Supply(Record):
    """How a boat feeds its display; the bounds are those of small craft (common practice, no published source)."""

    battery: Literal["flooded", "agm", "lithium"]
    nominal_v: Literal[12, 24]
    lead_length_m: Annotated[float, Field(gt=0, le=60)]
    """One-way route length from the battery to the display plug."""
    conductor: str
    contact_ohm: Annotated[float, Field(ge=0, le=1)]
    """Loop resistance of fuse, fuse-holder, switch, joints and plug in sound condition."""
    fuse_a: Annotated[float, Field(gt=0, le=100)]
    shared_with: Label | None = None


class Boat(Record):
    """A boat of the scenario."""

    id: Id
    name: Label
    about: Prose
    hull: Literal["flat", "modified-v", "deep-v", "displacement", "pontoon", "sailing"]
    material: Literal["solid-grp", "cored-grp", "aluminium", "wood", "steel", "polyethylene"]
    laminate_mm: Annotated[float, Field(gt=0, le=200)] | None = None
    deadrise_deg: Annotated[float, Field(ge=0, le=30)]
    """At the transducer's station, not the brochure's transom figure."""
    running_trim_deg: Annotated[float, Field(ge=-3, le=12)]
    shaft_angle_deg: Annotated[float, Field(ge=0, le=20)] = 0.0
    face_immersion_m: Annotated[float, Field(gt=0, le=5)]
    drive: Literal["outboard", "sterndrive", "shaft", "sail", "electric"]
    fuel: Literal["petrol", "diesel", "none"]
    cruise_kn: Annotated[float, Field(gt=0, le=100)]
    display: Id
    transducer: Id
    element_tilt_deg: Angle = 0.0
    face_levelled: bool = False
    """Whether a fairing block, a tank or a bed takes the slope of the hull out of the face."""
    waters: list[Id] = Field(min_length=1)
    supply: Supply


class Dealer(Record):
    """Who hands out the guides."""

    id: Id
    name: Label
    address: list[Label]
    phone: Label
    dial: str | None = Field(default=None, pattern=r"^\+[0-9]{6,15}$")
    """The number as a telephone dials it from anywhere (RFC 3966): plus, country code, number."""
    email: Label
    hours: Label
    mark: str | None = None
    """The dealer's mark, an SVG picture."""
    colour: str | None = Field(default=None, pattern=r"^#[0-9a-f]{6}$")
    """The dealer's colour, dark enough for white letters (4.5 to 1 or more, WCAG 2.2)."""

    emergency: str | None = Field(default=None, pattern=r"^[0-9]{3,6}$")
    """The emergency number of the telephone where this dealer's customers sail; left out, the guide's own."""
    letters: str | None = Field(default=None, pattern=r"^[A-Z][A-Z0-9]{0,5}$")
    """The letters before the first hyphen of the numbers of its documents; left out, the initials of its name."""

    @model_validator(mode="after")
    def _dark_enough(self) -> Dealer:
        if self.colour is not None and (fault := too_light(self.colour)) is not None:
            raise ValueError(f"'colour': {fault}; take a darker one, such as {darker(self.colour)}")
        return self


#: WCAG 2.2, 1.4.3: the least contrast of text.
_LEAST_CONTRAST = 4.5


def too_light(colour: str) -> str | None:
    """What is said of a colour, as ``#rrggbb``, on which white letters cannot be read; nothing of a dark one.

    Examples
    --------
    >>> too_light("#aaccee"), too_light("#402060")
    ('#aaccee is too light: white letters cannot be read on it (1.7 to 1 from white, 4.5 to 1 is the least)', None)
    """
    ratio = _contrast_with_white(colour)
    if ratio >= _LEAST_CONTRAST:
        return None
    contrast = f"{ratio:.1f} to 1 from white, {_LEAST_CONTRAST:g} to 1 is the least"
    return f"{colour} is too light: white letters cannot be read on it ({contrast})"


def darker(colour: str) -> str:
    """The same hue, as little darker as white letters on it need.

    Examples
    --------
    >>> darker("#aaccee"), too_light(darker("#aaccee"))
    ('#64788c', None)
    """
    parts = [int(colour[n : n + 2], 16) for n in (1, 3, 5)]
    found = colour
    for percent in range(99, -1, -1):
        found = "#" + "".join(f"{part * percent // 100:02x}" for part in parts)
        if _contrast_with_white(found) >= _LEAST_CONTRAST:
            break
    return found


def _contrast_with_white(colour: str) -> float:
    """Contrast ratio of an sRGB colour with white (WCAG 2.2, relative luminance)."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 1.05 / (0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] + 0.05)

"""One simulated boat: its installation as fitted, the state of its parts, and the water where it lies."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field

from leadsman.content.model.equipment import Boat, Family, Transducer, Water
from leadsman.drill.sonar import Pulse, Sea

INFINITE = float("inf")


@dataclass(frozen=True)
class Installation:
    """What is fitted, and where: the same before and after every fault."""

    boat: Boat
    family: Family
    transducer: Transducer
    water: Water
    pulses: tuple[Pulse, ...]
    """The bands that look down, or all bands where none does."""
    band_ids: tuple[str, ...]
    has_adapter: bool
    second_sounder: bool
    history: str
    summer: bool
    ticked: bool = True
    """Whether each step of the card has a box to tick."""

    @property
    def in_hull(self) -> bool:
        return self.transducer.housing == "in-hull"

    @property
    def through_hull(self) -> bool:
        return self.transducer.housing == "through-hull"

    @property
    def lithium(self) -> bool:
        return self.boat.supply.battery == "lithium"

    @property
    def times(self) -> float:
        """How many twelve-volt batteries the bank counts as."""
        return self.boat.supply.nominal_v / 12


@dataclass
class State:
    """The state of every part. Numbers belong to physics; ``flags`` are faults whose consequence is told in words."""

    flags: set[str] = field(default_factory=set)
    # battery
    battery_v: float = 12.7
    battery_ohm: float = 0.02
    alternator_v: float = 14.2
    charger_v: float = 13.8
    ripple_v: float = 0.03
    # supply cable: what is in each leg beyond the sound copper
    positive_ohm: float = 0.1
    negative_ohm: float = 0.1
    shared_a: float = 0.0
    source_limit_a: float = INFINITE
    # joints
    holder_ohm: float = 0.005
    joint_ohm: float = 0.01
    pulse_ohm: float = 0.0
    """A joint that passes the average and fails the pulse."""
    clamp_ohm: float = 0.0005
    feed_open: bool = False
    fuse_open: bool = False
    # cradle
    plug_ohm: float = 0.01
    # display
    unit_w: float = 13.0
    readout_low_v: float = 0.3
    # settings
    offset_m: float = 0.0
    factor: float = 1.0
    range_m: float = INFINITE
    gate_top_m: float = 0.0
    gate_foot_m: float = INFINITE
    gain_db: float = 0.0
    """Loss of echo by gain, filter or colours; 0 on automatic."""
    band: int = 0
    # adapter, plug, cable, element: what the echo and the pins lose there
    line_db: float = 0.0
    insulation_ohm: float = 200e6
    thermistor_series_ohm: float = 0.0
    thermistor_parallel_ohm: float = INFINITE
    identification_factor: float = 1.0
    capacitance_factor: float = 1.0
    pair_open: str = ""
    """Where an element pair is open: plug, cable, housing; empty when it is whole."""
    element_db: float = 0.0
    # mounting
    face_db: float = 0.0
    ring_db: float = 0.0
    tilt_deg: float = 0.0
    laminate_db: float = 0.0
    onset_kn: float = 60.0
    """Boat speed from which air runs over the face."""
    # water
    depth_m: float = 8.0
    sea: Sea = field(default_factory=lambda: Sea(12.0, 35.0, "sand", 5.0))
    water_db: float = 0.0
    # noise
    noise_db: float = 0.0
    rev_noise_db: float = 0.0
    installed_db: float = 0.0

    def copy(self) -> State:
        twin = copy.copy(self)
        twin.flags = set(self.flags)
        return twin


#: The component that each number belongs to; a sound part in its place puts the number right.
OWNER = {
    "battery_v": "battery", "battery_ohm": "battery", "alternator_v": "battery", "charger_v": "battery",
    "ripple_v": "noise", "positive_ohm": "supply-cable", "negative_ohm": "supply-cable", "shared_a": "supply-cable",
    "source_limit_a": "supply-cable", "holder_ohm": "joints", "joint_ohm": "joints", "pulse_ohm": "joints",
    "clamp_ohm": "joints", "feed_open": "joints", "fuse_open": "joints", "plug_ohm": "cradle", "unit_w": "display",
    "readout_low_v": "display", "offset_m": "settings", "factor": "settings", "range_m": "settings",
    "gate_top_m": "settings", "gate_foot_m": "settings", "gain_db": "settings", "band": "settings",
    "line_db": "plug", "insulation_ohm": "cable", "thermistor_series_ohm": "plug", "thermistor_parallel_ohm": "plug",
    "identification_factor": "plug", "capacitance_factor": "element", "pair_open": "cable", "element_db": "element",
    "face_db": "mounting", "ring_db": "mounting", "tilt_deg": "mounting", "laminate_db": "mounting",
    "onset_kn": "mounting", "depth_m": "water", "sea": "water", "water_db": "water", "noise_db": "noise",
    "rev_noise_db": "noise", "installed_db": "noise",
}  # fmt: skip

"""What a stimulator can be set to, and how, from its profile.

Values are Decimal in the named unit so that steps are exact.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from docbuilder.model.prescription import StimulationMode

__all__ = [
    "Adjustable", "Battery", "Grid", "LinkedLimit", "Parameter", "Unit", "UnitMode", "Waveform",
]  # fmt: skip

Parameter = Literal["mode", "pulse_width_us", "pulse_rate_hz", "timer_min"]
Waveform = Literal["one_phase", "balanced_biphasic"]


@dataclass(frozen=True, slots=True)
class Grid:
    """The values that a knob or key can reach, rising. A range is expanded on reading."""

    values: tuple[Decimal, ...]
    wraps: bool = False
    """Going up from the last value arrives at the first."""


@dataclass(frozen=True, slots=True)
class LinkedLimit:
    """At *at_or_above_hz* and faster, the pulse width can be at most *max_width_us*."""

    at_or_above_hz: Decimal
    max_width_us: Decimal


@dataclass(frozen=True, slots=True)
class UnitMode:
    """One mode of the unit: our trade word, and what the unit's display shows for it."""

    mode: StimulationMode
    shows: str
    pulse_width_us: Grid
    pulse_rate_hz: Grid
    linked: tuple[LinkedLimit, ...] = ()
    burst_rate_hz: Decimal | None = None
    pulses_per_burst: int | None = None


@dataclass(frozen=True, slots=True)
class Adjustable:
    """How one parameter is changed: which keys, and where it stands at power-on.

    *select_key* chooses the parameter (pressed once each time round the unit's
    order of setting); *up_key* and *down_key* change it. down_key None: only up.
    """

    parameter: Parameter
    up_key: str
    down_key: str | None
    power_on: str
    """Value at power-on as written in the profile: a mode word or a number."""
    display: str
    """What the display shows with the value in place of {value}, e.g. "{value} us"."""


@dataclass(frozen=True, slots=True)
class Battery:
    """Power supply; *hours_of_use* is the maker's figure at a typical setting."""

    kind: str
    count: int
    hours_of_use: Decimal
    rechargeable: bool = False


@dataclass(frozen=True, slots=True)
class Unit:
    """One stimulator profile."""

    id: str
    name: str
    channels: int
    max_current_ma: Decimal
    """Peak, into load_ohm."""
    current_step_ma: Decimal
    waveform: Waveform
    modes: tuple[UnitMode, ...]
    timer_min: Grid
    order: tuple[Adjustable, ...]
    """In the unit's own order of setting."""
    power_key: str
    select_key: str
    strength_up_key: Mapping[int, str]
    """Strength keys by channel number."""
    strength_down_key: Mapping[int, str]
    battery: Battery
    load_ohm: Decimal = Decimal(500)
    connector: str = "2 mm pin"
    labelled_purpose: tuple[str, ...] = ()
    """Indications that the maker's labelling covers; others print as off-label use."""
    ramp_s: Decimal = Decimal(0)
    on_off_s: tuple[tuple[Decimal, Decimal], ...] = ()
    """Work/rest pairs that the unit can do; empty: none."""
    source: str = ""
    keys: tuple[str, ...] = field(default=())
    """All keys in the order on the unit's face, for the neutral drawing."""

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
    "number_text", "ways_round",
]  # fmt: skip

Parameter = Literal["mode", "pulse_width_us", "pulse_rate_hz", "timer_min", "on_off_s"]
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
    """Widths above a linked limit cannot be chosen; where the keys wrap, they wrap at it."""
    burst_rate_hz: Decimal | None = None
    """Bursts a second; `pulse_rate_hz` is then the rate within a burst."""
    pulses_per_burst: int | None = None

    def widest_at(self, rate_hz: Decimal) -> Decimal:
        """Return the largest pulse width (µs) that can be set at *rate_hz*."""
        most = self.pulse_width_us.values[-1]
        limits = (item.max_width_us for item in self.linked if rate_hz >= item.at_or_above_hz)
        return min((most, *limits))

    def widths_at(self, rate_hz: Decimal) -> tuple[Decimal, ...]:
        """Return the pulse widths (µs) that can be set at *rate_hz*, rising."""
        most = self.widest_at(rate_hz)
        return tuple(width for width in self.pulse_width_us.values if width <= most)

    def pulses_a_second(self, rate_hz: Decimal) -> Decimal:
        """Return the pulses in a second at *rate_hz*, counted over the fullest second."""
        if self.burst_rate_hz is None or self.pulses_per_burst is None:
            return rate_hz
        return min(rate_hz, max(self.burst_rate_hz, Decimal(1)) * self.pulses_per_burst)


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
    wraps: bool = False
    """For `mode` and `on_off_s`: going up from the last choice arrives at the first.
    The other parameters say so in their `Grid`."""

    def shows(self, value: str) -> str:
        """Return what the display shows for *value*."""
        return self.display.replace("{value}", value)


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
    """Work/rest pairs that the unit can do, in the order of its keys; empty: none.
    The pair (0, 0) means current without rest."""
    source: str = ""
    keys: tuple[str, ...] = field(default=())
    """All keys in the order on the unit's face, for the neutral drawing."""
    power_on_shows: str = ""
    """What the display shows when the unit has been switched on."""

    @property
    def phases(self) -> int:
        """Phases of one pulse: 1, or 2 for balanced biphasic."""
        return 2 if self.waveform == "balanced_biphasic" else 1

    def mode(self, name: str) -> UnitMode | None:
        """Return the mode called *name*, or None when the unit has none such."""
        return next((item for item in self.modes if item.mode == name), None)

    def adjustable(self, parameter: Parameter) -> Adjustable | None:
        """Return how *parameter* is changed; None when it is fixed."""
        return next((item for item in self.order if item.parameter == parameter), None)


def number_text(value: Decimal) -> str:
    """Return *value* as a display writes it: plain digits, no needless zeros.

    >>> number_text(Decimal("1E+2")), number_text(Decimal("0.50"))
    ('100', '0.5')
    """
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def ways_round(
    count: int, start: int, goal: int, *, wraps: bool, has_down: bool
) -> tuple[tuple[Literal["up", "down"], tuple[int, ...]], ...]:
    """Return the ways from position *start* to *goal* among *count*, fewest presses first.

    Each way is its key and the positions passed, one a press, ending on *goal*.

    >>> [(key, len(passed)) for key, passed in
    ...  ways_round(5, 0, 4, wraps=True, has_down=True)]
    [('down', 1), ('up', 4)]
    """
    ways: list[tuple[Literal["up", "down"], tuple[int, ...]]] = []
    up, down = (goal - start) % count, (start - goal) % count
    if wraps or goal >= start:
        ways.append(("up", tuple((start + n) % count for n in range(1, up + 1))))
    if has_down and (wraps or goal <= start):
        ways.append(("down", tuple((start - n) % count for n in range(1, down + 1))))
    return tuple(sorted(ways, key=lambda way: len(way[1])))

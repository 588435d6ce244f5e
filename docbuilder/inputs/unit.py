"""Read a unit profile: what a stimulator can be set to, with which keys.

A profile is refused, with file and line of every fault, when a patient could not be
led through it safely: a value that no key reaches, a display text that says two
things, pulses that would overlap, a power-on state that does not exist.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from typing import cast, get_args

from docbuilder.caching import kept, version_of
from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs.fields import Collector, Fault, Section, Unfit, list_of, nearest, scalar
from docbuilder.inputs.unit_checks import check_unit
from docbuilder.inputs.values import choice, decimal, flag, integer, pattern, text
from docbuilder.inputs.yaml_file import Node, read_yaml, shown
from docbuilder.model.clinic import Clinic
from docbuilder.model.prescription import StimulationMode
from docbuilder.model.unit import (
    Adjustable,
    Battery,
    Grid,
    LinkedLimit,
    Parameter,
    Unit,
    UnitMode,
    Waveform,
)  # fmt: skip
from docbuilder.paths import data_folder

__all__ = ["find_unit", "known_units", "read_unit"]

MAX_VALUES = 1000
_NAME = pattern(
    r"[a-z][a-z0-9]*(-[a-z0-9]+)*", "small letters, digits and dashes", "as in demo-duo"
)
_CODE = pattern(r"[a-z][a-z0-9_]*", "a code of small letters, digits and underscores")
_PAIR = r"none|[0-9]+(\.[0-9]+)?/[0-9]+(\.[0-9]+)?"
_WAVEFORMS = cast("tuple[Waveform, ...]", get_args(Waveform))
_KEY = text(24)
_SHOWN = text(40)
_POSITIVE = decimal("0.01", 100_000)


def find_unit(unit_id: str, clinic: Clinic, place: Place | None = None) -> Unit:
    """Return the profile *unit_id*: the clinic's own if it has one, else the built-in one.

    Raises:
        InputFault: No such profile (at *place*, where the prescription names it), or
            the profile itself is at fault.
    """
    paths = known_units(clinic)
    if unit_id not in paths:
        raise InputFault([
            Issue(place or Place("prescription"), "device", shown(unit_id),
                  "one of " + ", ".join(sorted(paths)),
                  nearest(unit_id, paths) or "add a profile to the clinic folder's units/"),
        ])  # fmt: skip
    path = paths[unit_id]
    return _read_version(path, version_of(path)) if path.is_file() else read_unit(path)


@kept(64)
def _read_version(path: Path, _version: str) -> Unit:
    return read_unit(path)


def known_units(clinic: Clinic) -> dict[str, Path]:
    """Return the profiles at hand by id; the clinic's win over the built-in ones."""
    folders = [data_folder("demo") / "units"]
    if clinic.folder is not None:
        folders.append(clinic.folder / "units")
    return {path.stem: path for folder in folders for path in sorted(folder.glob("*.yaml"))}


def read_unit(path: Path) -> Unit:
    """Read the unit profile at *path*.

    Raises:
        InputFault: Holds every fault found in the file.
    """
    collector = Collector(read_yaml(path, ours=path.parent == data_folder("demo") / "units"))
    unit = _unit(collector)
    if not collector.issues:  # checks across fields need every field
        if unit.id != path.stem:
            allowed = f"the file's own name, {path.stem}"
            collector.add("id", unit.id, allowed, "rename the file or correct the id")
        check_unit(unit, collector.add)
    collector.finish()
    return unit


def _unit(collector: Collector) -> Unit:
    root = collector.root
    output, keys, battery = root.section("output"), root.section("keys"), root.section("battery")
    channels = root.required("channels", integer(1, 4))
    return Unit(
        id=root.required("id", _NAME),
        name=root.required("name", text(60)),
        channels=channels,
        max_current_ma=output.required("max_current_ma", decimal("0.1", 200)),
        current_step_ma=output.required("current_step_ma", decimal("0.1", 10)),
        waveform=output.required("waveform", choice(_WAVEFORMS)),
        modes=tuple(_mode(section) for section in root.sections("modes", 1, 20)),
        timer_min=_grid(root.section("timer_min"), decimal(1, 240)),
        order=tuple(_adjustable(section) for section in root.sections("order", 1, 5)),
        power_key=keys.required("power", _KEY),
        select_key=keys.required("select", _KEY),
        strength_up_key=_by_channel(keys.pairs("strength_up", _KEY)),
        strength_down_key=_by_channel(keys.pairs("strength_down", _KEY)),
        battery=Battery(
            kind=battery.required("kind", text(40)),
            count=battery.required("count", integer(1, 12)),
            hours_of_use=battery.required("hours_of_use", decimal("0.5", 2000)),
            rechargeable=battery.optional("rechargeable", flag(), False),
        ),
        load_ohm=output.optional("load_ohm", decimal(100, 10_000), Decimal(500)),
        connector=root.required("connector", text(60)),
        labelled_purpose=root.optional("labelled_purpose", list_of(_CODE), ()),
        ramp_s=output.optional("ramp_s", decimal(0, 20), Decimal(0)),
        on_off_s=root.optional("on_off_s", list_of(_pair, 1, 20), ()),
        source=root.required("source", text(200)),
        keys=keys.required("face", list_of(_KEY, 1, 30)),
        power_on_shows=root.optional("power_on_shows", _SHOWN, ""),
    )


def _mode(section: Section) -> UnitMode:
    words = cast("tuple[StimulationMode, ...]", get_args(StimulationMode))
    return UnitMode(
        mode=section.required("mode", choice(words)),
        shows=section.required("shows", _SHOWN),
        pulse_width_us=_grid(section.section("pulse_width_us"), decimal(1, 2000)),
        pulse_rate_hz=_grid(section.section("pulse_rate_hz"), decimal("0.1", 2000)),
        linked=tuple(
            LinkedLimit(
                at_or_above_hz=item.required("at_or_above_hz", _POSITIVE),
                max_width_us=item.required("max_width_us", _POSITIVE),
            )
            for item in section.sections("linked", 0, 20)
        ),
        burst_rate_hz=section.optional("burst_rate_hz", decimal("0.1", 50)),
        pulses_per_burst=section.optional("pulses_per_burst", integer(2, 1000)),
    )


def _adjustable(section: Section) -> Adjustable:
    parameters = cast("tuple[Parameter, ...]", get_args(Parameter))
    return Adjustable(
        parameter=section.required("parameter", choice(parameters)),
        up_key=section.required("up", _KEY),
        down_key=section.optional("down", _KEY),
        power_on=section.required("power_on", _SHOWN),
        display=section.required("display", _SHOWN),
        wraps=section.optional("wraps", flag(), False),
    )


def _grid(section: Section, number: Callable[[Node], Decimal]) -> Grid:
    """Read `values: [...]` or `from`, `to` and `step`, and whether the keys wrap."""
    wraps = section.optional("wraps", flag(), False)
    if "values" in section:
        values = section.required("values", list_of(number, 1, MAX_VALUES)) or ()
        for place, (before, after) in enumerate(pairwise(values), start=2):
            if after <= before:
                fault = "the same value twice" if after == before else "smaller than the one before"
                section.add(f"values.{place}", f"{after}, {fault}", "values that rise",
                            "write each value once, smallest first")  # fmt: skip
        return Grid(values, wraps)
    span = _Span(
        section.required("from", number),
        section.required("to", number),
        section.required("step", decimal(0, 1000)),
    )
    return Grid(span.values(section), wraps)


@dataclass(frozen=True, slots=True)
class _Span:
    low: Decimal
    high: Decimal
    step: Decimal

    def values(self, section: Section) -> tuple[Decimal, ...]:
        if None in (self.low, self.high, self.step):
            return ()
        if self.step == 0:
            section.add("step", "0", "a step above 0", "write how far one press goes")
        elif self.high < self.low:
            section.add("to", str(self.high), f"at least {self.low}, the value of from",
                        "write the smaller value after from")  # fmt: skip
        elif (self.high - self.low) % self.step:
            last = self.high - (self.high - self.low) % self.step
            section.add("to", str(self.high), f"a whole number of steps above {self.low}",
                        f"the last step lands on {last}")  # fmt: skip
        elif (self.high - self.low) / self.step >= MAX_VALUES:
            section.add("step", str(self.step), f"at most {MAX_VALUES} values", "check the step")
        else:
            count = int((self.high - self.low) / self.step) + 1
            return tuple(self.low + number * self.step for number in range(count))
        return ()


def _pair(node: Node) -> tuple[Decimal, Decimal]:
    written = pattern(_PAIR, "work and rest in seconds, as in 5/10, or none")(node)
    if written == "none":
        return Decimal(0), Decimal(0)
    work, rest = (Decimal(part) for part in written.split("/"))
    if work <= 0 or work > 60 or rest > 120:
        line = scalar(node, "").line
        raise Unfit(Fault(line, written, "work up to 60 and rest up to 120 seconds"))
    return work, rest


def _by_channel(named: dict[str, str]) -> dict[int, str]:
    return {int(name) if name.isdecimal() else 0: key for name, key in named.items()}

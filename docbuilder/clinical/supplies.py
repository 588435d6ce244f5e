"""When pads wear out and batteries run down, by use."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from docbuilder.model.plan import Schedule, Source, Supplies
from docbuilder.model.prescription import Pads
from docbuilder.model.unit import Battery

__all__ = ["battery_changes", "make_supplies", "pad_changes", "pad_days"]

DEFAULT_PAD_DAYS = 30
LONGEST_PAD_DAYS = 90
"""Pads last 1 to 3 months: common practice, no source. The shorter where nothing is
given, the longer as a bound where only a number of uses is."""


def pad_days(pads: Pads) -> int:
    """Return the days after which a set of pads is too old."""
    if pads.replace_after_days is not None:
        return pads.replace_after_days
    return DEFAULT_PAD_DAYS if pads.uses_per_set is None else LONGEST_PAD_DAYS


def pad_changes(days: tuple[date, ...], pads: Pads) -> tuple[date, ...]:
    """Return the session days on which a new set of pads is opened after the first.

    A set is done when it has had its uses or its days, whichever comes first.
    """
    most_days = pad_days(pads)
    changes: list[date] = []
    opened, uses = days[0], 0
    for day in days:
        worn = pads.uses_per_set is not None and uses >= pads.uses_per_set
        old = (day - opened).days >= most_days
        if uses and (worn or old):
            changes.append(day)
            opened, uses = day, 0
        uses += 1
    return tuple(changes)


def battery_changes(
    days: tuple[date, ...], session_minutes: int, battery: Battery
) -> tuple[date, ...]:
    """Return the session days before which the battery is changed or charged.

    A session is never begun that the rest of the hours of use would not cover.
    """
    return tuple(_battery_days(days, Decimal(session_minutes), battery.hours_of_use * 60))


def make_supplies(
    schedule: Schedule, pads: Pads, battery: Battery, *, session_minutes: int,
    channels: int, pad_source: Source, battery_source: Source,
) -> Supplies:  # fmt: skip
    """Return pads and batteries for the whole plan; pad sets are for all *channels*."""
    days = tuple(session.day for session in schedule.sessions)
    changes = pad_changes(days, pads)
    return Supplies(
        pad_sets=(len(changes) + 1) * channels,
        pad_changes=changes,
        battery_changes=battery_changes(days, session_minutes, battery),
        pad_source=pad_source,
        battery_source=battery_source,
    )


def _battery_days(days: tuple[date, ...], minutes: Decimal, capacity: Decimal) -> Iterator[date]:
    used = Decimal(0)
    for day in days:
        if used and used + minutes > capacity:
            yield day
            used = Decimal(0)
        used += minutes

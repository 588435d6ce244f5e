"""Work and rest of the muscle: the unit's pair of times, and its ramp."""

from __future__ import annotations

from decimal import Decimal

from docbuilder.clinical.resolver import TOLERANCE, Resolver, ask_reason, cited, reason_for
from docbuilder.clinical.unit_steps import pair_text
from docbuilder.model.plan import Setting, Source
from docbuilder.model.unit import number_text

__all__ = ["NO_REST", "check_ramp", "work_rest"]

NO_REST = (Decimal(0), Decimal(0))
"""The unit's choice of current without rest."""


def work_rest(
    resolver: Resolver,
) -> tuple[tuple[Decimal, Decimal] | None, tuple[Setting, ...]]:
    """Return the unit's work/rest pair and its setting; no setting for current without rest."""
    rx, unit, protocol = resolver.rx, resolver.unit, resolver.protocol
    work, origin = resolver.wanted("on_s", protocol.on_s.start if protocol.on_s else None)
    rest, _ = resolver.wanted("off_s", protocol.off_s.start if protocol.off_s else None)
    if work is None or rest is None:
        return _without_rest(resolver), ()
    wanted = (Decimal(str(work)), Decimal(str(rest)))
    pairs = [pair for pair in unit.on_off_s if pair != NO_REST]
    if not pairs:
        resolver.refuse("settings.on_s", f"{pair_text(wanted)} s of work and rest",
                        f"what {unit.id} can do: current without rest",
                        "choose a device that works and rests in turn")  # fmt: skip
        return None, ()
    pair = min(pairs, key=lambda other: (
        abs(other[0] - wanted[0]) + abs(other[1] - wanted[1]), other[0], -other[1],
    ))  # fmt: skip
    outside = _check_pair(resolver, wanted, pair, pairs)
    reason = reason_for(rx, "settings.on_s") or reason_for(rx, "settings.off_s")
    source = protocol.on_s.source if protocol.on_s else Source("common practice, no source")
    setting = Setting(
        "on_off_s", pair_text(wanted), pair_text(pair), "", Decimal(0), origin, None, None, source,
        outside, reason if outside or pair != wanted else None,
    )  # fmt: skip
    return pair, (setting,)


def _check_pair(
    resolver: Resolver, wanted: tuple[Decimal, Decimal], pair: tuple[Decimal, Decimal],
    pairs: list[tuple[Decimal, Decimal]],
) -> bool:  # fmt: skip
    """Check work and rest against unit and protocol; say whether one is outside its range."""
    outside = False
    spans = (resolver.protocol.on_s, resolver.protocol.off_s)
    for name, asked, got, span in zip(("on_s", "off_s"), wanted, pair, spans, strict=True):
        field_name = f"settings.{name}"
        beyond = span is None or not (span.holds(asked) and span.holds(got))
        outside |= beyond
        if reason_for(resolver.rx, field_name):
            continue
        if abs(got - asked) > TOLERANCE * asked:
            can = ", ".join(pair_text(other) for other in pairs)
            resolver.refuse(field_name, f"{number_text(asked)} s",
                            f"within a tenth of what {resolver.unit.id} can do: {can}",
                            ask_reason(field_name, "choose one of these"))  # fmt: skip
        elif beyond:
            allowed = "current without rest, as usual here"
            if span is not None:
                allowed = f"{number_text(span.low)} to {number_text(span.high)} s"
                allowed += f" ({cited(span.source)})"
            resolver.refuse(field_name, f"{number_text(asked)} s", allowed,
                            ask_reason(field_name, "change the value"))  # fmt: skip
    return outside


def _without_rest(resolver: Resolver) -> tuple[Decimal, Decimal] | None:
    pairs = resolver.unit.on_off_s
    if pairs and NO_REST not in pairs:
        can = ", ".join(pair_text(pair) for pair in pairs)
        resolver.refuse("settings.on_s", "nothing", f"one of {resolver.unit.id}: {can}",
                        "this unit works and rests in turn: write on_s, off_s")  # fmt: skip
        return pairs[0]
    return NO_REST if pairs else None


def check_ramp(resolver: Resolver, pair: tuple[Decimal, Decimal] | None) -> None:
    """Check a prescribed ramp against the unit's own, which cannot be changed."""
    wanted, ramp = resolver.rx.settings.ramp_s, resolver.unit.ramp_s
    if wanted is None or reason_for(resolver.rx, "settings.ramp_s"):
        return
    if pair in (None, NO_REST):
        resolver.refuse("settings.ramp_s", f"{number_text(wanted)} s", "a ramp with work and rest",
                        "remove it, or write on_s and off_s")  # fmt: skip
    elif abs(ramp - wanted) > TOLERANCE * wanted:
        resolver.refuse("settings.ramp_s", f"{number_text(wanted)} s",
                        f"{number_text(ramp)} s, the ramp of {resolver.unit.id}",
                        ask_reason("settings.ramp_s", "write the unit's ramp"))  # fmt: skip

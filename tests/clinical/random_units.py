"""Random unit profiles and targets, from a seeded generator."""

from __future__ import annotations

import random
from decimal import Decimal

from docbuilder.clinical.unit_steps import UnitState
from docbuilder.model.unit import Adjustable, Battery, Grid, LinkedLimit, Unit, UnitMode

MODES = ("continuous", "burst", "modulated")


def random_case(seed: int) -> tuple[Unit, UnitState]:
    r = random.Random(seed)
    one_key = r.random() < 0.4
    wraps = {name: one_key or r.random() < 0.5 for name in ("w", "f", "t", "m", "p")}
    widths = _values(r, 20, 400)
    rates = _values(r, 1, 150)
    timers = _values(r, 5, 90)
    width0, rate0, timer0 = r.choice(widths), r.choice(rates), r.choice(timers)
    modes = []
    for name in r.sample(MODES, r.randint(1, 3)):
        mode_widths = sorted({*r.sample(widths, r.randint(1, len(widths))), width0})
        mode_rates = sorted({*r.sample(rates, r.randint(1, len(rates))), rate0})
        linked = _linked(r, mode_widths, mode_rates, width0, rate0)
        modes.append(
            UnitMode(name, f"<{name}>", Grid(tuple(mode_widths), wraps["w"]),
                     Grid(tuple(mode_rates), wraps["f"]), linked)
        )  # fmt: skip
    pairs = ((Decimal(0), Decimal(0)), (Decimal(5), Decimal(10)), (Decimal(10), Decimal(10)))
    on_off = r.choice([(), pairs, pairs[1:]])
    start_mode = r.choice(modes).mode
    first = {"mode": start_mode, "pulse_width_us": str(width0), "pulse_rate_hz": str(rate0),
             "timer_min": str(timer0)}  # fmt: skip
    if on_off:
        first["on_off_s"] = "{}/{}".format(*r.choice(on_off))
    names = list(first)
    r.shuffle(names)
    shared = r.random() < 0.7
    order = tuple(
        Adjustable(
            parameter=name,
            up_key="UP" if shared else f"{name}+",
            down_key=None if one_key else ("DOWN" if shared else f"{name}-"),
            power_on=first[name],
            display=name + " {value}",
            wraps=wraps["m" if name == "mode" else "p"] if name in ("mode", "on_off_s") else False,
        )
        for name in names
    )
    unit = Unit(
        id="random", name="Random", channels=2, max_current_ma=Decimal(80),
        current_step_ma=Decimal(1), waveform="balanced_biphasic", modes=tuple(modes),
        timer_min=Grid(tuple(timers), wraps["t"]), order=order, power_key="POWER",
        select_key="SELECT", strength_up_key={1: "A+", 2: "B+"},
        strength_down_key={1: "A-", 2: "B-"}, battery=Battery("AA", 2, Decimal(60)),
        on_off_s=on_off, power_on_shows="ON",
    )  # fmt: skip
    mode = r.choice(modes)
    rate = r.choice(mode.pulse_rate_hz.values)
    limits = [link.max_width_us for link in mode.linked if rate >= link.at_or_above_hz]
    width = r.choice([w for w in mode.pulse_width_us.values if all(w <= most for most in limits)])
    pair = r.choice(on_off) if on_off else None
    return unit, UnitState(mode.mode, width, rate, r.choice(timers), pair)


def _values(r, low, high):
    count = r.randint(1, 30)
    return sorted(map(Decimal, r.sample(range(low, high), count)))


def _linked(r, widths, rates, width0, rate0):
    """Limits that leave at least one width at each rate and allow the power-on state."""
    found = []
    for _ in range(r.choice([0, 1, 1, 2, 3])):
        rate, most = r.choice(rates), r.choice(widths)
        if rate0 >= rate and width0 > most:
            continue
        if rate not in [link.at_or_above_hz for link in found]:
            found.append(LinkedLimit(rate, most))
    return tuple(found)

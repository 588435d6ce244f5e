"""Every remedy really mends, and the next value up does not."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal

from example_cases import unit

from docbuilder.clinical.output import PulseTrain, output_at, pad_area_cm2, rules_at
from docbuilder.clinical.remedies import PAD_SIZES, remedies
from docbuilder.model.prescription import Pads

D = Decimal


def passes(code, train, rate, peak):
    rule = next(rule for rule in rules_at(rate) if rule.code == code)
    return rule.passed(getattr(output_at(train, peak), rule.quantity))


def next_above(values, value):
    return min((other for other in values if other > value), default=None)


def cases(count=400):
    """Settings on a strong unit; small pads and high rates, so that limits are passed."""
    r = random.Random(7)
    strong = replace(unit(), max_current_ma=D(250), current_step_ma=D("0.5"))
    for _ in range(count):
        mode = strong.mode("continuous")
        rate, width = r.choice(mode.pulse_rate_hz.values), r.choice(mode.pulse_width_us.values)
        size = r.choice([Pads("rectangle", D(12), D(12)), *PAD_SIZES[:3], *PAD_SIZES[6:]])
        yield strong, mode, rate, width, size


def test_remedies_mend_and_are_the_least_change():
    seen = {"pad": 0, "width": 0, "rate": 0, "current": 0}
    for strong, mode, rate, width, size in cases():
        top = strong.max_current_ma
        train = PulseTrain(width, mode.pulses_a_second(rate), 2, pad_area_cm2(size))
        for rule in rules_at(rate):
            if not passes(rule.code, train, rate, top):
                continue
            for message in remedies(rule, train, rate, strong, mode, size):
                values = {name: value.value for name, value in message.values}
                if "current" in values:
                    current = values["current"]
                    assert current % strong.current_step_ma == 0
                    assert not passes(rule.code, train, rate, current)
                    assert passes(rule.code, train, rate, current + strong.current_step_ma)
                    seen["current"] += 1
                elif "rate" in values:
                    rates = mode.pulse_rate_hz.values
                    assert values["rate"] in rates
                    assert values["rate"] < rate
                    slower = replace(train, pulses_a_second=values["rate"])
                    assert not passes(rule.code, slower, values["rate"], top)
                    above = next_above(rates, values["rate"])
                    assert passes(rule.code, replace(train, pulses_a_second=above), above, top)
                    seen["rate"] += 1
                elif "us" in {value.unit for _, value in message.values}:
                    widths = mode.widths_at(rate)
                    assert values["width"] in widths
                    assert not passes(
                        rule.code, replace(train, width_us=values["width"]), rate, top
                    )
                    above = next_above(widths, values["width"])
                    assert passes(rule.code, replace(train, width_us=above), rate, top)
                    seen["width"] += 1
                else:
                    assert rule.code in ("density_attention", "fda_power_density")
                    height = values.get("height", values["width"])
                    shape = "rectangle" if "height" in values else "round"
                    area = pad_area_cm2(Pads(shape, values["width"], height))
                    assert area > train.area_cm2
                    assert not passes(rule.code, replace(train, area_cm2=area), rate, top)
                    seen["pad"] += 1
    assert min(seen.values()) > 20, seen


def test_nothing_is_proposed_that_does_not_mend():
    """No pad helps against the r.m.s. limit, and none in use is large enough for 250 mA."""
    strong = replace(unit(), max_current_ma=D(250))
    mode = strong.mode("continuous")
    size = Pads("rectangle", D(50), D(100))
    train = PulseTrain(D(300), D(150), 2, pad_area_cm2(size))
    rms = rules_at(D(150))[0]
    assert passes(rms.code, train, D(150), D(250))
    found = remedies(rms, train, D(150), strong, mode, size)
    assert [value.unit for message in found for _, value in message.values] == ["us", "Hz", "mA"]

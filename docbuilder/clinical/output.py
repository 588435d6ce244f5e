"""Electrical output at a peak current, beside the limits that standards set.

Formulas for rectangular pulses of peak I, width w a phase, n phases, N pulses a second
and resistance R (definitions, no rule of thumb):

    duty D = n w N          charge a phase Q = I w        r.m.s. = I sqrt(D)
    mean power P = R I^2 D   energy a phase E = R I^2 w    density = value / pad area

Everything is taken over the fullest second: a burst or a work phase of a second or
longer gets no credit for the rest that follows it, because the limits average over
one second (FDA 1999, muscle stimulators). Ramps lower only what is shorter.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Context, Decimal, localcontext
from typing import Literal

from docbuilder.model.message import Quantity
from docbuilder.model.plan import OutputAt, OutputLimit, Source
from docbuilder.model.prescription import Pads
from docbuilder.model.unit import number_text

__all__ = [
    "LIMITS", "LimitRule", "PulseTrain", "check_limits", "duty", "iec_rms_limit_ma",
    "output_at", "pad_area_cm2", "ramp_share", "rounded", "rules_at", "strongest_within",
    "to_digits",
]  # fmt: skip

_PI = Decimal("3.14159265358979323846264338327950288")
_SECOND = Decimal(1)
_MICRO = Decimal("1e-6")
_THOUSAND = Decimal(1000)
_CONTEXT = Context(prec=34)

IEC_RMS = Source(
    "from memory",
    "IEC 60601-2-10, r.m.s. output into 500 ohm by frequency; confirm in the standard",
)
IEC_ENERGY = Source(
    "published",
    "IEC 60601-2-10, energy of a pulse shorter than 0.1 s into 500 ohm,"
    " as a test laboratory quotes it",
)
IEC_DENSITY = Source(
    "published",
    "AS 60601.2.10:2018 (IEC 60601-2-10), r.m.s. density that asks for the operator's attention",
)
FDA_POWER = Source(
    "published",
    "FDA 1999, guidance for 510(k) of powered muscle stimulators, power density over one second",
)
DEFINITION = Source("definition")


@dataclass(frozen=True, slots=True)
class PulseTrain:
    """What decides the output, apart from the current.

    `pulses_a_second` counts over the fullest second; `work_s` of None means current
    without rest.
    """

    width_us: Decimal
    pulses_a_second: Decimal
    phases: int
    area_cm2: Decimal
    load_ohm: Decimal = Decimal(500)
    work_s: Decimal | None = None
    rest_s: Decimal = Decimal(0)
    ramp_s: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class LimitRule:
    """One limit on one field of `OutputAt`."""

    code: str
    quantity: Literal["rms_ma", "rms_density_ma_cm2", "power_density_mw_cm2", "energy_per_pulse_mj"]
    limit: Quantity
    kind: Literal["limit", "attention"]
    source: Source
    strict: bool = False
    """True when the value must stay below the limit; False when it may reach it."""

    def passed(self, value: Decimal) -> bool:
        """Say whether *value* goes past the limit."""
        return value >= self.limit.value if self.strict else value > self.limit.value


LIMITS = {
    "iec_energy": LimitRule(
        "iec_energy", "energy_per_pulse_mj", Quantity(Decimal(300), "mJ"), "limit", IEC_ENERGY
    ),
    "fda_power_density": LimitRule(
        "fda_power_density", "power_density_mw_cm2", Quantity(Decimal(250), "mW/cm2"), "limit",
        FDA_POWER, strict=True,
    ),
    "density_attention": LimitRule(
        "density_attention", "rms_density_ma_cm2", Quantity(Decimal(2), "mA/cm2"), "attention",
        IEC_DENSITY,
    ),
}  # fmt: skip


def iec_rms_limit_ma(rate_hz: Decimal) -> Decimal:
    """Return the r.m.s. limit in mA at *rate_hz*; 0 Hz is direct current.

    Bands from memory: d.c. 80, up to 400 Hz 50, up to 1500 Hz 80, above 100 mA.

    >>> [int(iec_rms_limit_ma(Decimal(f))) for f in (0, 400, 401, 1500, 1501)]
    [80, 50, 80, 80, 100]
    """
    if rate_hz == 0:
        return Decimal(80)
    if rate_hz <= 400:
        return Decimal(50)
    return Decimal(80) if rate_hz <= 1500 else Decimal(100)


def rules_at(rate_hz: Decimal) -> tuple[LimitRule, ...]:
    """Return the limits that hold at *rate_hz*."""
    limit = Quantity(iec_rms_limit_ma(rate_hz), "mA")
    return (LimitRule("iec_rms", "rms_ma", limit, "limit", IEC_RMS), *LIMITS.values())


def pad_area_cm2(pads: Pads) -> Decimal:
    """Return the area of one pad in cm², corners taken as square.

    >>> pad_area_cm2(Pads("rectangle", Decimal(50), Decimal(90)))
    Decimal('45')
    """
    product = pads.width_mm * pads.height_mm / 100
    return product if pads.shape == "rectangle" else _CONTEXT.multiply(product, _PI) / 4


def duty(train: PulseTrain) -> Decimal:
    """Return the share of the fullest second in which current flows; 1 and more is impossible.

    >>> duty(PulseTrain(Decimal(300), Decimal(50), 2, Decimal(25)))
    Decimal('0.030000')
    """
    with localcontext(_CONTEXT):
        return train.phases * train.width_us * _MICRO * train.pulses_a_second * _work_share(train)


def output_at(
    train: PulseTrain, peak_ma: Decimal, label: Literal["maximum", "expected"] = "maximum"
) -> OutputAt:
    """Return the output of *train* at *peak_ma*, unrounded.

    Raises:
        ValueError: Pulses overlap (duty 1 or more), or the pad has no area.
    """
    if train.area_cm2 <= 0 or train.phases * train.width_us * train.pulses_a_second >= 1_000_000:
        raise ValueError("pulses overlap, or a pad without area")
    with localcontext(_CONTEXT):
        share = duty(train)
        squared = peak_ma * peak_ma * share * ramp_share(train)
        rms = squared.sqrt()
        power_mw = squared * train.load_ohm / _THOUSAND
        energy_mj = peak_ma**2 * train.load_ohm * train.width_us * _MICRO / _THOUSAND
        return OutputAt(
            label=label,
            peak_ma=peak_ma,
            charge_per_phase_uc=peak_ma * train.width_us / _THOUSAND,
            rms_ma=rms,
            rms_density_ma_cm2=rms / train.area_cm2,
            mean_power_mw=power_mw,
            power_density_mw_cm2=power_mw / train.area_cm2,
            energy_per_phase_mj=energy_mj,
            duty=share,
            energy_per_pulse_mj=energy_mj * train.phases,
        )


def to_digits(value: Decimal, digits: int = 4) -> Decimal:
    """Return *value* to *digits* significant digits, half to even, without needless zeros.

    >>> to_digits(Decimal("3.72961")), to_digits(Decimal("3.7304")), to_digits(Decimal("80.00"))
    (Decimal('3.73'), Decimal('3.73'), Decimal('80'))
    """
    return Decimal(number_text(Context(prec=digits).plus(value)))


def rounded(output: OutputAt) -> OutputAt:
    """Return *output* as it prints, to four significant digits."""
    numbers = {
        name: to_digits(value)
        for name in OutputAt.__dataclass_fields__
        if isinstance(value := getattr(output, name), Decimal)
    }
    return replace(output, **numbers)  # type: ignore[arg-type]


def strongest_within(train: PulseTrain, rule: LimitRule, step_ma: Decimal) -> Decimal:
    """Return the largest multiple of *step_ma* (mA) whose output does not pass *rule*."""
    with localcontext(_CONTEXT):
        at_one = getattr(output_at(train, Decimal(1)), rule.quantity)
        power = 1 if rule.quantity in ("rms_ma", "rms_density_ma_cm2") else 2
        bound = rule.limit.value / at_one
        steps = int((bound if power == 1 else bound.sqrt()) / step_ma) + 1
    while steps and rule.passed(getattr(output_at(train, steps * step_ma), rule.quantity)):
        steps -= 1
    return steps * step_ma


def check_limits(
    train: PulseTrain, rate_hz: Decimal, maximum: OutputAt, expected: OutputAt | None
) -> tuple[OutputLimit, ...]:
    """Return each limit beside the unrounded output; `remedies` adds what would mend it."""
    return tuple(_stand(rule, maximum, expected) for rule in rules_at(rate_hz))


def _stand(rule: LimitRule, maximum: OutputAt, expected: OutputAt | None) -> OutputLimit:
    at_maximum: Decimal = getattr(maximum, rule.quantity)
    at_expected: Decimal | None = getattr(expected, rule.quantity) if expected else None
    return OutputLimit(
        code=rule.code,
        quantity=rule.quantity,
        limit=rule.limit,
        at_maximum=at_maximum,
        at_expected=at_expected,
        passed_at_maximum=rule.passed(at_maximum),
        passed_at_expected=at_expected is not None and rule.passed(at_expected),
        kind=rule.kind,
        remedies=(),
        source=rule.source,
    )


def _fullest_second(train: PulseTrain, work_s: Decimal) -> Decimal:
    """Return how much of *work_s* a turn falls into the fullest second."""
    if train.work_s is None or train.work_s >= _SECOND:
        return _SECOND
    turn = train.work_s + train.rest_s
    whole, left = divmod(_SECOND, turn)
    return whole * work_s + min(left, work_s)


def _work_share(train: PulseTrain) -> Decimal:
    return _fullest_second(train, train.work_s or _SECOND)


def ramp_share(train: PulseTrain) -> Decimal:
    """Return the mean square over the fullest second as a share of that without ramps.

    A straight ramp of r seconds has a third of the mean square of full strength.
    """
    if train.work_s is None or train.work_s >= _SECOND or train.ramp_s == 0:
        return Decimal(1)
    ramp = min(train.ramp_s, train.work_s / 2)
    flat = train.work_s - ramp * 4 / 3
    return _fullest_second(train, flat) / _fullest_second(train, train.work_s)

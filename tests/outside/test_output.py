"""Output figures against sampled waveforms, published worked values and standards."""

from __future__ import annotations

from decimal import Decimal
from math import pi

import numpy as np
import pytest
from sampled_waveform import draw, fullest_second, measure, starts_at_rate, starts_in_bursts

from docbuilder.clinical.output import (
    LIMITS,
    PulseTrain,
    duty,
    iec_rms_limit_ma,
    output_at,
    pad_area_cm2,
    rules_at,
    strongest_within,
    to_digits,
)
from docbuilder.model.prescription import Pads
from docbuilder.model.unit import Grid, UnitMode

D = Decimal


def train(width, pulses, phases, area, **more):
    return PulseTrain(D(str(width)), D(str(pulses)), phases, D(str(area)), **more)


# Worked from the definitions, apart from this code.
# peak mA, width us, rate Hz, area cm2 -> charge uC, r.m.s. one phase, r.m.s. biphasic mA,
# r.m.s. density one phase mA/cm2, power mW, power density mW/cm2, energy a phase mJ
DEFINITIONS = [
    (60, 200, 20, 25, 12.00, 3.795, 5.367, 0.152, 7.20, 0.288, 0.360),
    (60, 200, 10, 6.25, 12.00, 2.683, 3.795, 0.429, 3.60, 0.576, 0.360),
    (80, 260, 100, 6.25, 20.80, 12.900, 18.243, 2.064, 83.20, 13.312, 0.832),
    (100, 260, 100, 6.25, 26.00, 16.125, 22.804, 2.580, 130.00, 20.800, 1.300),
    (50, 300, 50, 25, 15.00, 6.124, 8.660, 0.245, 18.75, 0.750, 0.375),
    (30, 175, 12, 25, 5.25, 1.375, 1.944, 0.055, 0.95, 0.038, 0.079),
]


@pytest.mark.parametrize("row", DEFINITIONS)
def test_worked_by_hand(row):
    peak, width, rate, area, charge, one, two, density, power, power_density, energy = row
    mono = output_at(train(width, rate, 1, area), D(peak))
    found = (mono.charge_per_phase_uc, mono.rms_ma, mono.rms_density_ma_cm2, mono.mean_power_mw,
             mono.power_density_mw_cm2, mono.energy_per_phase_mj)  # fmt: skip
    wanted = (charge, one, density, power, power_density, energy)
    for got, printed in zip(found, wanted, strict=True):
        assert float(got) == pytest.approx(printed, abs=0.0051 if printed == 0.95 else 0.00051)
    assert float(output_at(train(width, rate, 2, area), D(peak)).rms_ma) == pytest.approx(
        two, abs=0.00051
    )


# Settings of trials and of units at their strongest, worked from the definitions apart from
# this code. W9 agrees with an independent laboratory's note: about 30 mA r.m.s., 1.5 mA/cm2.
# peak, width, rate, phases, area -> duty, r.m.s., density, charge, energy a pulse, power, mW/cm2
WORKED = {
    "W1 tibial": (20, 200, 10, 1, 25, 0.0020, 0.8944, 0.0358, 4.000, 0.0400, 0.400, 0.016),
    "W2 tibial": (20, 200, 20, 2, 25, 0.0080, 1.789, 0.0716, 4.000, 0.0800, 1.600, 0.064),
    "W3 child": (30, 700, 10, 1, 25, 0.0070, 2.510, 0.1004, 21.00, 0.3150, 3.150, 0.126),
    "W4 period": (25, 100, 100, 2, 8.042, 0.0200, 3.536, 0.4396, 2.500, 0.0625, 6.250, 0.777),
    "W5 floor": (60, 300, 50, 2, 25, 0.0300, 10.39, 0.4157, 18.00, 1.080, 54.00, 2.160),
    "W6 small": (60, 300, 50, 2, 6.25, 0.0300, 10.39, 1.663, 18.00, 1.080, 54.00, 8.640),
    "W7 worst": (80, 260, 150, 1, 25, 0.0390, 15.80, 0.6320, 20.80, 0.8320, 124.8, 4.992),
    "W8 worst": (100, 300, 150, 2, 8.042, 0.0900, 30.00, 3.730, 30.00, 3.000, 450.0, 55.95),
    "W9 lab": (200, 450, 25, 2, 20.25, 0.0225, 30.00, 1.481, 90.00, 18.00, 450.0, 22.22),
}


@pytest.mark.parametrize("name", WORKED)
def test_settings_of_trials_and_extremes(name):
    """Each printed value to its last printed digit."""
    peak, width, rate, phases, area, *wanted = WORKED[name]
    out = output_at(train(width, rate, phases, area), D(peak))
    found = (out.duty, out.rms_ma, out.rms_density_ma_cm2, out.charge_per_phase_uc,
             out.energy_per_pulse_mj, out.mean_power_mw, out.power_density_mw_cm2)  # fmt: skip
    for got, printed in zip(found, wanted, strict=True):
        digits = max(len(str(printed).replace(".", "").strip("0")), 3)
        assert float(got) == pytest.approx(printed, rel=0.6 * 10 ** (1 - digits))


@pytest.mark.parametrize("name", WORKED)
def test_against_the_sampled_waveform(name):
    """NumPy sums the drawn current: same values to a part in a billion."""
    peak, width, rate, phases, area, *_ = WORKED[name]
    seen = measure(draw(peak, width, starts_at_rate(rate), phases), width, phases)
    out = output_at(train(width, rate, phases, area), D(peak))
    for field in ("duty", "rms_ma", "charge_per_phase_uc", "mean_power_mw",
                  "energy_per_phase_mj", "energy_per_pulse_mj"):  # fmt: skip
        assert float(getattr(out, field)) == pytest.approx(getattr(seen, field), rel=1e-9), field
    assert float(out.rms_density_ma_cm2) == pytest.approx(seen.rms_ma / area, rel=1e-9)
    assert float(out.power_density_mw_cm2) == pytest.approx(seen.mean_power_mw / area, rel=1e-9)
    assert (abs(seen.mean_ma) < 1e-12) == (phases == 2), "biphasic carries no direct current"


@pytest.mark.parametrize("row", DEFINITIONS)
@pytest.mark.parametrize("phases", [1, 2])
def test_the_worked_table_against_the_sampled_waveform(row, phases):
    """The same rows once more, with the current drawn and summed, no formula in between."""
    peak, width, rate, area, charge, one, two, *_, energy = row
    seen = measure(draw(peak, width, starts_at_rate(rate), phases), width, phases)
    assert seen.charge_per_phase_uc == pytest.approx(charge, abs=0.005)
    assert seen.rms_ma == pytest.approx(two if phases == 2 else one, abs=0.00051)
    assert seen.energy_per_phase_mj == pytest.approx(energy, abs=0.00051)
    out = output_at(train(width, rate, phases, area), D(peak))
    for field in ("duty", "rms_ma", "charge_per_phase_uc", "mean_power_mw", "energy_per_pulse_mj"):
        assert float(getattr(out, field)) == pytest.approx(getattr(seen, field), rel=1e-9), field
    assert float(out.rms_density_ma_cm2) == pytest.approx(seen.rms_ma / area, rel=1e-9)
    assert float(out.power_density_mw_cm2) == pytest.approx(seen.mean_power_mw / area, rel=1e-9)


@pytest.mark.parametrize(
    ("bursts", "pulses", "rate"), [(2, 8, 100), (2, 7, 80), (4, 10, 150), (1, 100, 100)]
)
def test_bursts_against_the_sampled_waveform(bursts, pulses, rate):
    mode = UnitMode("burst", "B", Grid((D(200),)), Grid((D(rate),)), (), D(bursts), pulses)
    count = mode.pulses_a_second(D(rate))
    out = output_at(train(200, count, 2, 25), D(40))
    seen = measure(draw(40, 200, starts_in_bursts(bursts, pulses, rate), 2), 200, 2)
    assert float(out.rms_ma) == pytest.approx(seen.rms_ma, rel=1e-9)
    assert float(out.duty) == pytest.approx(seen.duty, rel=1e-9)


def test_slow_bursts_count_their_fullest_second():
    """A burst every two seconds, 150 pulses at 100 Hz: a second can hold 100 of them."""
    mode = UnitMode("burst", "B", Grid((D(200),)), Grid((D(100),)), (), D("0.5"), 150)
    assert mode.pulses_a_second(D(100)) == 100


@pytest.mark.parametrize(("work", "rest", "ramp"), [(5, 10, 1), (5, 5, 2), (3, 10, 0), (10, 20, 1)])
def test_no_credit_for_rest_when_work_lasts_a_second(work, rest, ramp):
    """FDA 1999 averages over one second: with a plateau of a second the rest counts nothing."""
    plain = output_at(train(250, 50, 2, 25), D(40))
    gated = output_at(train(250, 50, 2, 25, work_s=D(work), rest_s=D(rest), ramp_s=D(ramp)), D(40))
    assert gated == plain
    assert fullest_second(work, rest, ramp) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize(
    ("work", "rest", "ramp"),
    [("0.5", "0.5", "0"), ("0.25", "0.75", "0.1"), ("0.2", "0.3", "0.05"), ("0.4", "10", "0.1"),
     ("0.5", "0.5", "0.25"), ("0.4", "0.4", "0")],
)  # fmt: skip
def test_short_work_against_the_sampled_envelope(work, rest, ramp):
    """Never below the greatest second that sampling finds; exact where turns fill it."""
    gated = train(250, 50, 2, 25, work_s=D(work), rest_s=D(rest), ramp_s=D(ramp))
    share = (output_at(gated, D(40)).rms_ma / output_at(train(250, 50, 2, 25), D(40)).rms_ma) ** 2
    seen = fullest_second(float(work), float(rest), float(ramp))
    assert float(share) >= seen - 1e-4
    turn = D(work) + D(rest)
    if 1 % turn == 0 or D(rest) >= 1:
        assert float(share) == pytest.approx(seen, abs=2e-3)


# Pad areas, plane geometry; last column the r.m.s. mA that gives 2 mA/cm2.
PADS = [
    ("rectangle", 25, 25, 6.25, 12.50),
    ("round", 32, 32, 8.042, 16.08),
    ("rectangle", 30, 30, 9.00, 18.00),
    ("rectangle", 40, 40, 16.00, 32.00),
    ("round", 50, 50, 19.63, 39.27),
    ("rectangle", 50, 50, 25.00, 50.00),
    ("round", 70, 70, 38.48, 76.97),
    ("rectangle", 50, 90, 45.00, 90.00),
    ("rectangle", 50, 100, 50.00, 100.0),
    ("oval", 40, 60, pi * 20 * 30 / 100, pi * 20 * 30 / 50),
]


@pytest.mark.parametrize(("shape", "width", "height", "area", "rms"), PADS)
def test_pad_areas(shape, width, height, area, rms):
    """Plane geometry: width x height, pi r squared, pi a b."""
    found = float(pad_area_cm2(Pads(shape, D(width), D(height))))
    assert found == pytest.approx(area, rel=3e-4)
    assert 2 * found == pytest.approx(rms, rel=4e-4)


@pytest.mark.parametrize(
    ("shape", "width", "height"), [("oval", 40, 60), ("round", 32, 32), ("rectangle", 25, 30)]
)
def test_pad_areas_by_counting_squares(shape, width, height):
    """A sheet of squares 0.05 mm wide; those whose middle lies on the pad are counted."""
    side = 0.05
    x = np.arange(side / 2, width, side) - width / 2
    y = np.arange(side / 2, height, side) - height / 2
    across, along = np.meshgrid(2 * x / width, 2 * y / height)
    on_pad = across**2 + along**2 <= 1 if shape != "rectangle" else np.ones_like(across, bool)
    counted = np.count_nonzero(on_pad) * side**2 / 100
    assert float(pad_area_cm2(Pads(shape, D(width), D(height)))) == pytest.approx(counted, rel=1e-4)


def test_half_a_pad_doubles_the_density():
    """The W9 laboratory note: 1.5 mA/cm2 becomes 3 when half of the pad lifts."""
    whole = output_at(train(450, 25, 2, "20.25"), D(200)).rms_density_ma_cm2
    half = output_at(train(450, 25, 2, "10.125"), D(200)).rms_density_ma_cm2
    assert to_digits(half / whole) == 2
    assert float(whole) == pytest.approx(1.5, abs=0.02)
    assert float(half) == pytest.approx(3.0, abs=0.04)


@pytest.mark.parametrize(
    ("rate", "limit"), [(0, 80), (1, 50), (399, 50), (400, 50), (401, 80), (1000, 80), (1500, 80),
                        (2000, 100)],
)  # fmt: skip
def test_iec_bands(rate, limit):
    """IEC 60601-2-10 r.m.s. into 500 ohm, from memory; the figure prints with that mark."""
    assert iec_rms_limit_ma(D(rate)) == limit
    assert rules_at(D(rate))[0].source.mark == "from memory"


@pytest.mark.parametrize(("value", "passed"), [(299, False), (300, False), (301, True)])
def test_iec_energy_of_a_pulse(value, passed):
    """IEC 60601-2-10: a pulse shorter than 0.1 s may carry up to 300 mJ into 500 ohm."""
    assert LIMITS["iec_energy"].passed(D(value)) is passed


@pytest.mark.parametrize(("value", "passed"), [("249.9", False), ("250", True), ("251", True)])
def test_fda_power_density_stays_below(value, passed):
    """FDA 1999: power density *below* 0.25 W/cm2, so 250 mW/cm2 is too much."""
    assert LIMITS["fda_power_density"].passed(D(value)) is passed


def test_density_attention_is_no_limit():
    """AS 60601.2.10:2018: above 2 mA/cm2 "may require attention": advice, not a limit."""
    rule = LIMITS["density_attention"]
    assert (rule.kind, rule.limit.value) == ("attention", 2)
    assert not rule.passed(D(2))
    assert rule.passed(D("2.0001"))


@pytest.mark.parametrize(
    ("width", "rate", "area", "current"), [(300, 150, "8.042", 53.6), (300, 50, "6.25", 72.2)]
)
def test_strongest_setting_within_the_density(width, rate, area, current):
    """Ip = 2A/sqrt(D): 53.6 mA for W8 and 72.2 mA for W6."""
    found = strongest_within(
        train(width, rate, 2, area), LIMITS["density_attention"], D("0.01")
    )  # fmt: skip
    assert float(found) == pytest.approx(current, abs=0.05)


def test_milliseconds_for_microseconds_are_impossible():
    """Abstracts print "200 ms" at 10 Hz: current would have to flow twice as long as time."""
    assert duty(train(200_000, 10, 1, 25)) == 2
    with pytest.raises(ValueError, match="overlap"):
        output_at(train(200_000, 10, 1, 25), D(20))
    with pytest.raises(ValueError, match="overlap"):
        output_at(train(5_000, 100, 2, 25), D(20))
    assert output_at(train(4_999, 100, 2, 25), D(20)).duty < 1


def test_a_home_unit_within_iec_can_pass_the_density():
    """W8: 30 mA r.m.s. is within 50, yet 3.73 mA/cm2 on a 32 mm pad asks for attention."""
    out = output_at(train(300, 150, 2, pad_area_cm2(Pads("round", D(32), D(32)))), D(100))
    rms, *_, density = rules_at(D(150))
    assert not rms.passed(out.rms_ma)
    assert density.passed(out.rms_density_ma_cm2)
    assert to_digits(out.rms_density_ma_cm2) == D("3.730")

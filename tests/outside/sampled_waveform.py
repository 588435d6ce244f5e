"""Current drawn sample by sample and summed with NumPy: no formula of ours or theirs.

One microsecond a sample over one second. Only the meaning of the words is used: r.m.s.
is the root of the mean of squares, charge is the sum of current, power is R i squared.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

SAMPLES = 1_000_000
SAMPLE_S = 1e-6


@dataclass
class Measured:
    charge_per_phase_uc: float
    rms_ma: float
    mean_power_mw: float
    energy_per_phase_mj: float
    energy_per_pulse_mj: float
    duty: float
    mean_ma: float


def draw(peak_ma, width_us, starts_us, phases):
    """One second of current in mA, with a pulse at each of *starts_us*."""
    current = np.zeros(SAMPLES)
    for start in starts_us:
        current[start : start + width_us] = peak_ma
        if phases == 2:
            current[start + width_us : start + 2 * width_us] = -peak_ma
    return current


def starts_at_rate(rate_hz):
    return [round(number * 1e6 / rate_hz) for number in range(round(rate_hz))]


def starts_in_bursts(bursts_a_second, pulses, rate_hz):
    return [
        round(burst * 1e6 / bursts_a_second + pulse * 1e6 / rate_hz)
        for burst in range(bursts_a_second)
        for pulse in range(pulses)
    ]


def measure(current, width_us, phases, load_ohm=500.0):
    squares = current**2
    first_phase = current[:width_us]
    power_w = load_ohm * (current / 1e3) ** 2
    return Measured(
        charge_per_phase_uc=float(np.sum(first_phase / 1e3) * SAMPLE_S * 1e6),
        rms_ma=float(np.sqrt(np.mean(squares))),
        mean_power_mw=float(np.mean(power_w) * 1e3),
        energy_per_phase_mj=float(np.sum(power_w[:width_us]) * SAMPLE_S * 1e3),
        energy_per_pulse_mj=float(np.sum(power_w[: phases * width_us]) * SAMPLE_S * 1e3),
        duty=float(np.mean(current != 0)),
        mean_ma=float(np.mean(current)),
    )


def fullest_second(work_s, rest_s, ramp_s, step_s=0.001, seconds=30):
    """Greatest mean square over any second of an on/off envelope, in units of its peak."""
    time = (np.arange(round(seconds / step_s)) + 0.5) * step_s
    place = np.mod(time, work_s + rest_s)
    envelope = np.where(place < work_s, 1.0, 0.0)
    if ramp_s:
        up, down = place / ramp_s, (work_s - place) / ramp_s
        envelope *= np.clip(np.minimum(up, down), 0.0, 1.0)
    window = round(1 / step_s)
    sums = np.concatenate([[0.0], np.cumsum(envelope**2)])
    return float(np.max(sums[window:] - sums[:-window]) / window)

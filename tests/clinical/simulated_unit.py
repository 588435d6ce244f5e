"""A unit as a state machine of its own, worked only by the names printed on its keys.

It shares no code with docbuilder: it takes the profile's facts as plain values and
follows the behaviour that README and profile promise. Like a nasty unit, it lowers
the width by itself whenever a linked limit is broken, so a plan that relies on
anything else ends elsewhere.
"""

from __future__ import annotations

from decimal import Decimal


class SimulatedUnit:
    def __init__(self, profile):
        self.p = profile
        self.on = False
        self.cursor = -1
        self.clamped = False
        self.strength = {}

    def press(self, key: str) -> None:
        p = self.p
        if key == p.power_key:
            self.on = not self.on
            self.values = {a.parameter: a.power_on for a in p.order}
            self.strength = dict.fromkeys(range(1, p.channels + 1), Decimal(0))
            self.cursor = -1
            return
        assert self.on, "a key was pressed while the unit was off"
        if key == p.select_key:
            self.cursor += 1
            if self.cursor == len(p.order):
                self.cursor = 0
            return
        for channel, name in p.strength_up_key.items():
            if key == name:
                self.strength[channel] += p.current_step_ma
                return
        assert self.cursor >= 0, "a change key before anything was selected"
        adjustable = p.order[self.cursor]
        if key == adjustable.up_key:
            self._move(adjustable, +1)
        elif key == adjustable.down_key:
            self._move(adjustable, -1)
        else:
            raise AssertionError(f"key {key!r} does nothing here")

    def _move(self, adjustable, by):
        positions, wraps = self._positions(adjustable)
        here = positions.index(self.values[adjustable.parameter]) + by
        if here in (-1, len(positions)):
            assert wraps, "pressed past the end"
            here %= len(positions)
        self.values[adjustable.parameter] = positions[here]
        self._keep_limits()

    def _mode(self):
        name = self.values.get("mode", self.p.modes[0].mode)
        return next(m for m in self.p.modes if m.mode == name)

    def _rate(self):
        mode = self._mode()
        return Decimal(self.values.get("pulse_rate_hz", str(mode.pulse_rate_hz.values[0])))

    def _limit(self):
        limit = None
        for link in self._mode().linked:
            if self._rate() >= link.at_or_above_hz and (limit is None or link.max_width_us < limit):
                limit = link.max_width_us
        return limit

    def _positions(self, adjustable):
        name = adjustable.parameter
        if name == "mode":
            return [m.mode for m in self.p.modes], adjustable.wraps
        if name == "on_off_s":
            return [f"{a}/{b}" for a, b in self.p.on_off_s], adjustable.wraps
        grid = self.p.timer_min if name == "timer_min" else getattr(self._mode(), name)
        values = list(grid.values)
        if name == "pulse_width_us" and self._limit() is not None:
            values = [v for v in values if v <= self._limit()]
        return [str(v) for v in values], grid.wraps

    def _keep_limits(self):
        limit = self._limit()
        width = self.values.get("pulse_width_us")
        if limit is not None and width is not None and Decimal(width) > limit:
            self.clamped = True
            allowed = [v for v in self._mode().pulse_width_us.values if v <= limit]
            self.values["pulse_width_us"] = str(allowed[-1])

    def display(self) -> str:
        if self.cursor < 0:
            return self.p.power_on_shows
        adjustable = self.p.order[self.cursor]
        value = self.values[adjustable.parameter]
        if adjustable.parameter == "mode":
            value = self._mode().shows
        return adjustable.display.format(value=value)

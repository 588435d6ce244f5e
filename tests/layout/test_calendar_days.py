"""A calendar's day: number, disc and second mark keep clear of one another at every width."""

from __future__ import annotations

import math

import pytest

from docbuilder.document.blocks import CalendarDay
from docbuilder.layout.calendars import _cell_height, _Day
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import Frame, start_x
from docbuilder.layout.structure import Element
from docbuilder.layout.styles import Look

NUMBERS = {"en": "28", "ar": "٢٨", "ur": "۲۸", "bn": "২৮", "hi": "२८"}
WIDTHS_EM = [1.72 + step * 0.11 for step in range(18)]


@pytest.mark.parametrize("text_pt", [12.0, 14.0, 18.0])
@pytest.mark.parametrize("language", NUMBERS)
def test_number_disc_and_second_mark_stand_apart(language: str, text_pt: float) -> None:
    rtl = language in ("ar", "ur")
    flow = Flow(Look.of(text_pt, "#00566B"), language, rtl, text_pt, 700.0)
    number = NUMBERS[language]
    for width_em in WIDTHS_EM:
        width = width_em * text_pt
        height = _cell_height(width, flow, [number])
        day = _Day(
            CalendarDay(number, mark="call", word="We call you", session="19"),
            (width, height),
            flow,
            Element("TD"),
        )
        cell = Frame(0, 0, width, height)
        pad = 3 if day.wide else 1.5
        left = start_x(0, width, pad, day.number_text.natural_width, rtl)
        top = (height + day.number_text.height) / 2 if day.wide else height - 1
        letters = Frame(
            left,
            top - 0.95 * day.number_text.style.size_pt,
            left + day.number_text.natural_width,
            top,
        )
        disc, second = day.circles(cell)
        for x, y, radius in (disc, second):
            assert radius <= x <= width - radius, (width_em, "a mark leaves the cell")
            assert radius <= y <= height - radius, (width_em, "a mark leaves the cell")
            aside = max(letters.x0 - x, x - letters.x1, 0.0)
            above = max(letters.y0 - y, y - letters.y1, 0.0)
            assert math.hypot(aside, above) >= radius, (width_em, "a mark on the number")
        apart = math.hypot(disc[0] - second[0], disc[1] - second[1])
        assert apart >= disc[2] + second[2], (width_em, "a mark on the disc")

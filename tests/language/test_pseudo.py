"""The pseudo-language is longer, keeps what must be kept, and misses nothing."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from docbuilder.language.marks import check_markdown, placeholders_in, units_in
from docbuilder.language.pairs import Pair
from docbuilder.language.pseudo import PSEUDO, pseudo_text, pseudo_words
from docbuilder.model.message import Message, Quantity

SENTENCES = [
    "Stop.",
    "Wash and dry the skin where the pads go.",
    "**Questions?** Call us: %(phone)s",
    "Set %(width)s and %(rate)s, at most 20 mA at 10 Hz for 200 µs.",
    "- One\n- Two",
    "Print at 100 %%.",
]


@pytest.mark.parametrize("text", SENTENCES)
def test_longer_by_two_fifths_with_everything_kept(text):
    longer = pseudo_text(text)
    assert placeholders_in(longer) == placeholders_in(text)
    assert units_in(longer) == units_in(text)
    assert list(check_markdown(Pair(PSEUDO, "", text, longer))) == []
    assert 1.2 <= len(longer) / len(text) <= 1.5
    assert longer == pseudo_text(text)


# Without m, no unit symbol (cm, mm, ml) arises by chance: those are kept, not stretched.
@given(st.text(alphabet="abcdefghij klno pqrstuvwxyz", min_size=10, max_size=200))
def test_forty_percent_of_any_text(text):
    assert len(pseudo_text(text)) == len(text) + round(len(text) * 0.4)


def test_words_in_the_pseudo_language():
    words = pseudo_words(
        "GB", [(("", "Use it for %(q)s."), ""), (("safety", "%(n)s day"), "%(n)s days")]
    )
    shown = words.text(Message("Use it for %(q)s.", values=(("q", Quantity(Decimal(20), "min")),)))
    assert "20\u00a0min" in shown
    assert "Use" not in shown
    assert words.npgettext("safety", "%(n)s day", "%(n)s days", 2, n=2).startswith("2 ")
    assert words.missing == []
    words.gettext("Not there.")
    assert words.missing == [("", "Not there.")]

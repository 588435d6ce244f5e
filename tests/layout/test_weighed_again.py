"""Pages weighed before: what is known by shape is what weighing would find."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from docbuilder import caching
from docbuilder.document.blocks import Run
from docbuilder.layout.boxes import Box, Gap, Stack
from docbuilder.layout.lettering import TextBox, TextStyle
from docbuilder.layout.pagination import Paginator
from docbuilder.layout.pictures import _Captioned
from docbuilder.layout.rows import Cell, Repeating, Row
from docbuilder.layout.weighed import break_into_pages

STYLE = TextStyle(12.0, (0.0, 0.0, 0.0), "en", False)
PIECE = st.tuples(st.integers(1, 6), st.sampled_from(["text", "stack", "row", "long row", "rows"]),
                  st.booleans())  # fmt: skip


def text(lines):
    return TextBox((Run("\n".join(["word"] * lines)),), 200, STYLE, None)


def box(lines, form, kept):
    if form == "text":
        made = text(lines)
    elif form == "stack":
        made = Stack(200, [text(lines), Gap(200, 9.0)], whole=kept)
    elif form == "rows":
        made = Repeating(200, text(1), [text(1) for _ in range(lines)])
    else:
        sides = [Stack(100, [text(lines)]), Stack(100, [text(1)])]
        long = 40.0 if form == "long row" else None
        made = Row(200, [Cell(0, sides[0]), Cell(100, sides[1])], False, long=long)
    made.keep_next, made.before, made.after = kept, 6.0, 6.0
    return made


def told(pages):
    return [[(at, one.height) for one, at in page.placed] for page in pages]


@settings(max_examples=60, deadline=None)
@given(st.lists(PIECE, min_size=1, max_size=10), st.integers(120, 300))
def test_boxes_of_one_shape_are_broken_alike(pieces, height):
    first, second = ([box(*piece) for piece in pieces] for _ in range(2))
    order, pages, _ = break_into_pages([first], [(0,)], height * 0.8, height)
    known = caching.fill()["docbuilder.layout.weighed"]
    assert break_into_pages([second], [(0,)], height * 0.8, height)[0] == order
    _, again, _ = break_into_pages([second], [(0,)], height * 0.8, height)
    assert caching.fill()["docbuilder.layout.weighed"] == known, "the second was known by shape"
    assert (
        told(again) == told(pages) == told(Paginator(height * 0.8, height).paginate(second).pages)
    )
    assert {one.number for page in again for one, _ in page.placed} <= {
        one.number for one in second
    }


OUTLINE = {"width", "height", "number", "before", "after", "keep_next"}
"""Set on every box; all but the width and the number belong to its shape."""
KNOWN = {
    "text": {"runs", "style", "element", "measure", "block", "drop", "_inks"},
    "stack": {"boxes", "whole", "air"},
    "row": {"cells", "rtl", "pad", "least", "most", "long", "behind", "middle", "foot"},
    "rows": {
        "spare", "once", "bare", "lead", "head", "rows", "first", "behind", "_body", "_top", "_gap",
    },
}  # fmt: skip


@pytest.mark.parametrize("form", KNOWN)
def test_what_a_box_holds_is_in_its_shape_or_breaks_nothing(form):
    """Something new in a box may decide how it breaks: then it belongs into its `shape`."""
    assert set(vars(box(3, form, False))) <= OUTLINE | KNOWN[form]


@pytest.mark.parametrize("form", KNOWN)
def test_another_height_or_another_bond_is_another_shape(form):
    plain = box(3, form, False).shape
    assert box(3, form, False).shape == plain
    assert box(4, form, False).shape != plain
    assert box(3, form, True).shape != plain


def kinds(cls=Box):
    for kind in cls.__subclasses__():
        yield kind
        yield from kinds(kind)


def test_a_class_with_forms_of_its_own_tells_its_shape_or_has_none_to_share():
    assert _Captioned.shape is Box.shape
    assert not _Captioned.rigid
    for kind in kinds():
        if set(vars(kind)) & {"split", "squeeze", "grown", "below", "shed"}:
            assert "shape" in vars(kind), kind

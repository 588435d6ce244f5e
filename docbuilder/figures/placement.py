"""Where the pads go: one scene for each site, side and variant."""

from __future__ import annotations

from docbuilder.caching import kept
from docbuilder.document.scene import Scene
from docbuilder.figures.abdomen import abdomen_board
from docbuilder.figures.ankle import leg_board
from docbuilder.figures.back import back_board
from docbuilder.figures.body import checked_factor
from docbuilder.figures.drawing import Board, Frame, mirror
from docbuilder.figures.torso import WAIST_HALF_MM
from docbuilder.figures.whole_body import body_board
from docbuilder.model.prescription import Pads, PlacementSite, Side, TibialVariant

__all__ = ["inset_scene", "label_keys", "placement_scene"]

_MARGIN_MM = 6.0
_TRUNK_INSET_SHARE = 0.3
_INSET_APART = 36.0
"""Of the trunk's inset: from the waist, with the margin outside; printed about 6 mm apart."""
_UNDER = 0.42
"""Where a leg of two has its name below it, from the heel: apart from the columns and the other."""
_INSET_SHARE = 0.44
"""Height of the whole-body inset as a share of the view's height."""

_NAMED_ON_RIGHT_LEG = frozenset({"shin_edge", "inner_ankle_bone", "pad_2"})
"""With both legs drawn, each name stands once; these at the right leg."""


@kept(64)
def placement_scene(
    site: PlacementSite,
    side: Side,
    variant: TibialVariant,
    pads: Pads,
    stature_mm: float | None = None,
) -> Scene:
    """Return the placement drawing in body millimetres, labels by key.

    Args:
        site: Where on the body.
        side: Leg for tibial: left, right or both. The other sites take both or midline,
            since their pads lie on either side of the midline.
        variant: Place of the second tibial pad; other sites do not use it.
        pads: Size and shape, drawn to the body's scale.
        stature_mm: Height of the person; None draws a middle adult height.

    Raises:
        ValueError: Side and site do not go together, or the pads do not fit this person.
    """
    factor = checked_factor(stature_mm)
    if site == "tibial":
        return _tibial(side, variant, pads, factor)
    if side not in ("both", "midline"):
        raise ValueError(f"pads at this site lie on both sides of the midline, not on the {side}")
    board = (abdomen_board if site == "lower_abdomen" else back_board)(pads, factor)
    view = board.frame(_MARGIN_MM)
    # The hollow of the waist holds the inset, so the picture need not be much wider.
    inset = _inset(site, "both", (view.top - view.bottom) * _TRUNK_INSET_SHARE)
    size = inset.frame(0)
    half = max(view.right, WAIST_HALF_MM * factor + size.right - size.left + _INSET_APART)
    board.place(inset, _MARGIN_MM - half - size.left, view.top - size.top - _MARGIN_MM)
    return board.scene(Frame(-half, view.bottom - 2 * _MARGIN_MM, half, view.top))


def inset_scene(site: PlacementSite, side: Side) -> Scene:
    """Return the small whole body alone, 60 mm high, with the region framed."""
    board = _inset(site, side, 60.0)
    return board.scene(board.frame(1.0))


def label_keys(site: PlacementSite, side: Side, variant: TibialVariant) -> frozenset[str]:
    """Return the keys that the placement drawing's labels carry.

    >>> sorted(label_keys("sacral", "both", "above_first"))[:3]
    ['cleft_top', 'dimple_left', 'dimple_right']
    """
    if site == "lower_abdomen":
        return frozenset(
            {"navel", "hip_bone_left", "hip_bone_right", "pubic_bone", "pad_1", "pad_2"}
            | {"your_left", "your_right"}
        )
    if site == "sacral":
        return frozenset(
            {"dimple_left", "dimple_right", "sacrum", "cleft_top", "pad_1", "pad_2"}
            | {"your_left", "your_right"}
        )
    keys = {"calf", "shin_edge", "inner_ankle_bone", "heel", "pad_1", "pad_2"}
    keys |= {"distance_10_cm"} if variant == "above_first" else {"arch"}
    legs = {"your_left_leg", "your_right_leg"} if side == "both" else {f"your_{side}_leg"}
    return frozenset(keys | legs)


def _inset(site: PlacementSite, side: Side, height: float) -> Board:
    board = Board()
    board.place(body_board(site, side), 0, 0, height / 1000)
    return board


def _tibial(side: Side, variant: TibialVariant, pads: Pads, factor: float) -> Scene:
    if side == "midline":
        raise ValueError("pads at the ankle need a side: left, right or both")
    # Two legs print at half the scale, so the figure needs twice the room.
    leg = leg_board(pads, variant, factor, *((66.0, 62.0) if side == "both" else ()))
    view = leg.frame(_MARGIN_MM)
    inset_height = (view.top - view.bottom) * _INSET_SHARE
    if side == "both":
        return _both_legs(leg, view, _inset("tibial", "both", inset_height))
    # Clear of the sole even where the drawing is printed small.
    leg.write(f"your_{side}_leg", ((view.left + view.right) / 2, view.bottom - 22))
    inset = _inset("tibial", "left", inset_height)
    size = inset.frame(0)
    leg.place(inset, view.right - size.right - 2, view.top - size.top - _MARGIN_MM)
    scene = leg.scene(Frame(view.left, view.bottom - 40, view.right + 4, view.top))
    return mirror(scene) if side == "right" else scene


def _both_legs(leg: Board, view: Frame, inset: Board) -> Scene:
    """Left leg on the left, as the patient looks down on them; toes to the middle."""
    board = Board()
    other = leg.flipped()
    on_right = _NAMED_ON_RIGHT_LEG
    other.labels = [item for item in other.labels if item.inline or item.key in on_right]
    leg.labels = [item for item in leg.labels if item.inline or item.key not in on_right]
    shift = view.right + 2
    board.place(leg, -shift, 0)
    board.place(other, shift, 0)
    under = view.left + (view.right - view.left) * _UNDER
    for key, x in (("your_left_leg", under - shift), ("your_right_leg", shift - under)):
        board.write(key, (x, view.bottom - 16))
    board.place(inset, 0, view.top - inset.frame(0).top - _MARGIN_MM)
    half = shift - view.left
    return board.scene(Frame(-half, view.bottom - 36, half, view.top))

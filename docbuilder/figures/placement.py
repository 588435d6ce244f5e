"""Where the pads go: one scene for each site, side and variant."""

from __future__ import annotations

from docbuilder.document.scene import Scene
from docbuilder.figures.abdomen import abdomen_board
from docbuilder.figures.ankle import leg_board
from docbuilder.figures.back import back_board
from docbuilder.figures.body import checked_factor
from docbuilder.figures.drawing import Board, Frame, mirror
from docbuilder.figures.whole_body import body_board
from docbuilder.model.prescription import Pads, PlacementSite, Side, TibialVariant

__all__ = ["inset_scene", "label_keys", "placement_scene"]

_MARGIN_MM = 6.0
_INSET_SHARE = 0.44
"""Height of the whole-body inset as a share of the view's height."""


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
    inset = _inset(site, "both", (view.top - view.bottom) * _INSET_SHARE)
    size = inset.frame(0)
    room = size.right - size.left + 10
    board.place(inset, view.left - room / 2 + 10, view.top - size.top - _MARGIN_MM)
    half = max(-view.left, view.right) + room - 10
    return board.scene(Frame(-half, view.bottom, half, view.top))


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
    leg = leg_board(pads, variant, factor)
    view = leg.frame(_MARGIN_MM)
    if side == "both":
        return _both_legs(leg, view)
    leg.write(f"your_{side}_leg", (130 * factor, view.bottom - 4))
    inset = _inset("tibial", "left", (view.top - view.bottom) * _INSET_SHARE)
    size = inset.frame(0)
    leg.place(inset, view.right - size.right - 2, view.top - size.top - _MARGIN_MM)
    scene = leg.scene(Frame(view.left, view.bottom - 14, view.right + 8, view.top))
    return mirror(scene) if side == "right" else scene


def _both_legs(leg: Board, view: Frame) -> Scene:
    """Right leg on the left, as from the front; the heels back to back."""
    board = Board()
    gap = -view.left + 12
    other = leg.flipped()
    left_labels = {"calf", "pad_1", "pad_2", "heel"}
    other.labels = [item for item in other.labels if item.key in left_labels]
    leg.labels = [item for item in leg.labels if item.key not in left_labels]
    board.place(other, -gap, 0)
    board.place(leg, gap, 0)
    for key, sign in (("your_right_leg", -1), ("your_left_leg", 1)):
        board.write(key, (sign * (gap + 120), view.bottom - 4))
    half = gap + view.right
    return board.scene(Frame(-half, view.bottom - 14, half, view.top))

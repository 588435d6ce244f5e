"""Placement drawings on their own, as SVG, with labels in any complete language."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from docbuilder.content.drawings import placement_drawing
from docbuilder.content.job import IssueInfo, Job
from docbuilder.figures.svg import scene_to_svg
from docbuilder.language.words import load_words
from docbuilder.model.plan import Plan
from docbuilder.model.prescription import PlacementSite, Side, TibialVariant

__all__ = ["all_views", "drawing_name", "placement_svg"]

_FONTS = "'Noto Sans', 'Noto Sans Arabic', sans-serif"
_WIDTH_MM = 150.0
_VIEWS: tuple[tuple[PlacementSite, Side, TibialVariant], ...] = (
    ("lower_abdomen", "midline", "above_first"),
    ("sacral", "midline", "above_first"),
    ("tibial", "left", "above_first"),
    ("tibial", "right", "above_first"),
    ("tibial", "both", "above_first"),
    ("tibial", "left", "foot_arch"),
    ("tibial", "right", "foot_arch"),
    ("tibial", "both", "foot_arch"),
)


def all_views(plan: Plan) -> Iterator[Plan]:
    """Yield *plan* for each site, side and variant that can be drawn, at middle height."""
    request = plan.prescription
    anyone = replace(request.patient, height_cm=None)
    for site, side, variant in _VIEWS:
        view = replace(request, patient=anyone, placement=site, side=side, tibial_variant=variant)
        yield replace(plan, prescription=view)


def placement_svg(plan: Plan, tag: str) -> bytes:
    """Return where the pads of *plan* go, as one SVG with its labels in words.

    Args:
        plan: Sets site, side, variant, pads and the person's height.
        tag: Language of the labels.

    Raises:
        InputFault: Unknown language.
        Refused: A label is not translated, or the pads do not fit the person.
    """
    clinic = plan.clinic
    words = load_words(tag, clinic.territory, clinic.folder, clinic.digits.get(tag, "latin"))
    issue = IssueInfo(document_id="-", version_date=plan.prescription.prescribed_on)
    scene = placement_drawing(Job("handout", plan, words, issue))
    words.refuse_missing("drawing")
    return (scene_to_svg(scene, _FONTS, width_mm=_WIDTH_MM) + "\n").encode()


def drawing_name(plan: Plan, tag: str) -> str:
    """Return the file name of the drawing: site, side, variant and language."""
    rx = plan.prescription
    tibial = (rx.side, rx.tibial_variant) if rx.placement == "tibial" else ()
    return f"{'_'.join((rx.placement, *tibial))}_{tag}.svg"

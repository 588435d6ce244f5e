"""The drawings of one plan, their labels in words, as blocks for the templates."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from docbuilder.content.figures_text import label_texts, placement_alt, step_picture_alt
from docbuilder.content.job import Job
from docbuilder.content.tokens import Picture, Prose, TemplateFault
from docbuilder.document.blocks import FigureBlock
from docbuilder.document.scene import Scene
from docbuilder.errors import Issue, Refused
from docbuilder.figures.never_place import never_scene
from docbuilder.figures.placement import placement_scene
from docbuilder.figures.steps import STEP_NAMES, step_scene
from docbuilder.figures.true_size import true_size_scene
from docbuilder.figures.unit_face import unit_face_scene
from docbuilder.model.unit import Unit

__all__ = ["DRAWINGS", "placement_drawing"]

UNIT_SCALE = 0.75
"""The unit's face stands beside the first steps, smaller than it is drawn."""
PLACEMENT_HEIGHT_MM = 122.0
"""Leaves room on the page for the words that belong to the drawing."""


def placement_figure(
    job: Job,
    height_mm: float = PLACEMENT_HEIGHT_MM,
    least_mm: float | None = None,
    *,
    caller: Callable[[], str] | None = None,
) -> Prose:
    """Return where the pads go, drawn to the patient's scale and so high on paper.

    It may shrink to *least_mm* where that saves room. The body of a call is its caption.
    """
    scene = placement_drawing(job)
    width_mm, least = (
        None if height is None else scene.width_mm * height / scene.height_mm
        for height in (height_mm, least_mm)
    )
    caption = job.runs(caller().strip()) if caller is not None else ()
    return job.store.block(FigureBlock(scene, placement_alt(job), caption, width_mm, least))


def placement_drawing(job: Job) -> Scene:
    """Return the placement drawing with its labels in words.

    Raises:
        Refused: The pads do not fit a person of this height.
    """
    rx, height = job.rx, job.rx.patient.height_cm
    stature = None if height is None else height * 10.0
    try:
        scene = placement_scene(rx.placement, rx.side, rx.tibial_variant, job.plan.pads, stature)
    except ValueError as fault:
        raise Refused([_cannot_draw(job, "placement", str(fault))]) from fault
    return _worded(job, scene)


def true_size_figure(job: Job) -> Prose:
    """Return ruler, pad outline and check line, to be printed at their own size."""
    try:
        scene = true_size_scene(job.plan.pads)
    except ValueError as fault:
        raise Refused([_cannot_draw(job, "pads", str(fault))]) from fault
    # NOTE: Read aloud instead of the drawing.
    alt = job.gettext("A ruler of 10 cm, a bar to check the print, and the outline of your pad.")
    return job.store.block(FigureBlock(_worded(job, scene), job.plain(alt)))


def unit_figure(job: Job, *, caller: Callable[[], str] | None = None) -> Prose:
    """Return the unit's face with its keys as the steps name them.

    The body of a call is its caption.
    """
    unit, first = job.plan.unit, job.plan.steps[0]
    strength = (*unit.strength_up_key.values(), *unit.strength_down_key.values())
    scene = unit_face_scene(unit.keys, first.shows, unit.channels, strength)
    keys = job.listed(list(unit.keys))
    # NOTE: Read aloud instead of the drawing of the unit. %(keys)s is a list of key names.
    alt = job.gettext("Drawing of the unit with its display and these keys: %(keys)s.", keys=keys)
    width_mm = scene.width_mm * UNIT_SCALE
    caption = job.runs(caller().strip()) if caller is not None else ()
    return job.store.block(FigureBlock(_reduced(scene), job.plain(alt), caption, width_mm))


def _reduced(scene: Scene) -> Scene:
    """Return the unit's face for print at `UNIT_SCALE`, its words kept as large as they fit.

    A word that the figure has set smaller already fills its key, so it shrinks with it.
    """
    labels = tuple(
        replace(label, size_pt=label.size_pt * (0.9 if label.size_pt >= 8 else UNIT_SCALE))
        for label in scene.labels
    )
    return replace(scene, labels=labels, true_size=False)


def picture(job: Job, name: str) -> Picture:
    """Return the small picture of a step, to stand in the step's line."""
    if name not in STEP_NAMES:
        raise TemplateFault(f"no step picture {name!r}; there are {', '.join(STEP_NAMES)}")
    scene = step_scene(name, _plus_first(job.plan.unit))
    return job.store.picture(scene, step_picture_alt(job, name))


def _plus_first(unit: Unit) -> bool:
    """Tell whether the key for more strength stands before the one for less on the unit's face.

    A unit that has one key for both, or does not name them on its face, is drawn so too.
    """
    more, less = unit.strength_up_key, unit.strength_down_key
    places = [
        unit.keys.index(key)
        for channel in sorted(more)[:1]
        for key in (more[channel], less.get(channel, ""))
        if key in unit.keys
    ]
    return places == sorted(places)


def never_figure(job: Job) -> Prose:
    """Return the body with crosses where no pad may ever go."""
    # NOTE: Read aloud instead of the drawing; the sentences beside it name the places.
    alt = job.pgettext("safety", "Picture: a body. Crosses mark places where pads must never go.")
    scene = never_scene()
    return job.store.block(FigureBlock(scene, job.plain(alt), (), scene.width_mm))


def _worded(job: Job, scene: Scene) -> Scene:
    return scene.with_texts(
        label_texts(job, frozenset(label.key for label in scene.labels if not label.text))
    )


def _cannot_draw(job: Job, field: str, found: str) -> Issue:
    return Issue(
        job.rx.place(field), field, found, "pads that fit the place", "choose smaller pads"
    )


DRAWINGS: dict[str, Callable[..., Prose | Picture]] = {
    "placement_figure": placement_figure,
    "true_size_figure": true_size_figure,
    "unit_figure": unit_figure,
    "never_figure": never_figure,
    "picture": picture,
}

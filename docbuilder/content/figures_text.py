"""Words for the drawings: what each label says, and what a drawing shows, told in text."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

from docbuilder.content.job import Job
from docbuilder.content.tokens import Fact, Prose
from docbuilder.model.message import Quantity

__all__ = ["LABELS", "label_texts", "placement_alt", "step_picture_alt"]


LABELS: Mapping[str, Callable[[Job], Prose | Fact]] = {
    "navel": lambda job: job.gettext("Navel (belly button)"),
    "hip_bone_left": lambda job: job.gettext("Left hip bone"),
    "hip_bone_right": lambda job: job.gettext("Right hip bone"),
    "pubic_bone": lambda job: job.gettext("Pubic bone"),
    "dimple_left": lambda job: job.gettext("Left dimple"),
    "dimple_right": lambda job: job.gettext("Right dimple"),
    "sacrum": lambda job: job.gettext("Flat bone at the base of the spine"),
    "cleft_top": lambda job: job.gettext("Top of the cleft"),
    "calf": lambda job: job.gettext("Calf"),
    "shin_edge": lambda job: job.gettext("Inner edge of the shin bone"),
    "inner_ankle_bone": lambda job: job.gettext("Inner ankle bone"),
    "heel": lambda job: job.gettext("Heel"),
    "arch": lambda job: job.gettext("Arch of the foot"),
    "distance_10_cm": lambda job: job.quantity(Quantity(Decimal(10), "cm")),
    "pad_1": lambda job: job.gettext("Pad 1"),
    "pad_2": lambda job: job.gettext("Pad 2"),
    "your_left": lambda job: job.pgettext("safety", "Your left"),
    "your_right": lambda job: job.pgettext("safety", "Your right"),
    "your_left_leg": lambda job: job.pgettext("safety", "Your left leg"),
    "your_right_leg": lambda job: job.pgettext("safety", "Your right leg"),
    "ruler_10_cm": lambda job: job.gettext("Ruler: 10 cm"),
    "check_line_card": lambda job: job.gettext("This bar is as wide as a bank card."),
    "pad_outline": lambda job: job.gettext("Your pad"),
}
"""What the label of each key says. Sides are the patient's own."""


def label_texts(job: Job, keys: frozenset[str]) -> dict[str, str]:
    """Return the text for each key.

    Raises:
        KeyError: A drawing has a label that nobody has worded.
    """
    return {key: job.plain(LABELS[key](job)) for key in sorted(keys)}


def placement_alt(job: Job) -> str:
    """Tell what the placement drawing shows, for somebody who cannot see it."""
    rx = job.rx
    if rx.placement == "lower_abdomen":
        # NOTE: Read aloud instead of the drawing.
        text = job.pgettext(
            "safety",
            "Drawing of the belly from the front. Two pads lie just above the pubic bone, one on"
            " each side of the middle line.",
        )
    elif rx.placement == "sacral":
        # NOTE: Read aloud instead of the drawing.
        text = job.pgettext(
            "safety",
            "Drawing of the lower back from behind. Two pads lie below the two dimples, one on"
            " each side of the flat bone at the base of the spine.",
        )
    else:
        text = _leg_alt(job)
    return job.plain(text)


def _leg_alt(job: Job) -> Prose:
    if job.rx.tibial_variant == "above_first":
        # NOTE: Read aloud instead of the drawing.
        pads = job.pgettext(
            "safety",
            "Drawing of the inner side of the lower leg. Pad 1 lies behind and just above the"
            " inner ankle bone. The middle of pad 2 lies %(distance)s above the middle of pad 1,"
            " along the inner edge of the shin bone.",
            distance=Quantity(Decimal(10), "cm"),
        )
    else:
        # NOTE: Read aloud instead of the drawing.
        pads = job.pgettext(
            "safety",
            "Drawing of the inner side of the lower leg and foot. Pad 1 lies behind and just"
            " above the inner ankle bone. Pad 2 lies on the inner side of the foot, toward the"
            " arch.",
        )
    return Prose(f"{pads} {_leg(job)}")


def _leg(job: Job) -> Prose:
    if job.rx.side == "left":
        return job.pgettext("safety", "It is your left leg.")
    if job.rx.side == "right":
        return job.pgettext("safety", "It is your right leg.")
    return job.pgettext("safety", "Both your legs are shown.")


_STEP_ALTS: Mapping[str, Callable[[Job], Prose]] = {
    "skin_clean_dry": lambda job: job.gettext("Picture: skin being cleaned and dried"),
    # Shows nothing that the words do not say: passed over when read aloud.
    "skin_look": lambda _job: Prose(""),
    "pad_on": lambda job: job.gettext("Picture: a pad being pressed on the skin"),
    "lead_in": lambda job: job.gettext("Picture: the lead going into the unit"),
    "strength_up_slowly": lambda job: job.gettext("Picture: strength going up step by step"),
    "how_it_should_feel": lambda job: job.gettext("Picture: a tingle under the pad"),
    # These too say nothing more than their words.
    "kit": lambda _job: Prose(""),
    "switch_off": lambda _job: Prose(""),
    "pads_away": lambda _job: Prose(""),
    "stop_peel_off": lambda job: job.gettext("Picture: a pad being peeled off, unit off"),
    "sitting_position": lambda job: job.gettext("Picture: a person sitting at ease"),
    "lying_position": lambda job: job.gettext("Picture: a person lying at ease"),
}


def step_picture_alt(job: Job, name: str) -> str:
    """Tell what a step's small picture shows.

    Raises:
        KeyError: There is no text for a picture of this name.
    """
    return job.plain(_STEP_ALTS[name](job))

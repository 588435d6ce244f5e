"""The plan's settings in words: the panel, the one-line form, and the key presses."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from docbuilder.content.job import Job
from docbuilder.content.tokens import Fact, Prose, TemplateFault
from docbuilder.document.blocks import Paragraph, SettingsEntry, SettingsPanel, Step, Steps
from docbuilder.model.lengths import TIBIAL_CENTRES_MM
from docbuilder.model.message import Quantity
from docbuilder.model.plan import Setting, SetupStep

__all__ = ["SETTINGS", "mode_name", "setting_name", "value_fact"]

_BY_PARAMETER = {
    "mode": "mode",
    "pulse_width_us": "pulse_width_us",
    "pulse_rate_hz": "pulse_rate_hz",
    "timer_min": "session_minutes",
    "on_off_s": "on_off_s",
}


def mode_name(job: Job, mode: str) -> Prose:
    """Return the trade word of a mode."""
    if mode == "continuous":
        # NOTE: Kind of current: pulses without a pause. A word on the unit's mode switch.
        return job.gettext("continuous")
    if mode == "burst":
        # NOTE: Kind of current: pulses in short groups.
        return job.gettext("burst")
    if mode == "modulated":
        # NOTE: Kind of current: the pulses keep changing a little.
        return job.gettext("modulated")
    raise TemplateFault(f"no word for the mode {mode!r}")


def setting_name(job: Job, name: str) -> Prose:
    """Return what a setting is called, for patient and clinician alike."""
    if name == "mode":
        # NOTE: Label of a setting of the unit.
        return job.gettext("Mode")
    if name == "pulse_width_us":
        # NOTE: Label of a setting: how long each pulse lasts, in µs.
        return job.gettext("Pulse width")
    if name == "pulse_rate_hz":
        # NOTE: Label of a setting: pulses a second, in Hz.
        return job.gettext("Pulse rate")
    if name == "session_minutes":
        # NOTE: Label of a setting: the unit's timer, in minutes.
        return job.gettext("Timer")
    if name == "channel":
        # NOTE: Label of a setting: which socket of the unit the lead goes into.
        return job.gettext("Channel")
    if name == "on_off_s":
        # NOTE: Label of a setting: seconds of current, then seconds of rest.
        return job.gettext("Work / rest")
    raise TemplateFault(f"no word for the setting {name!r}")


def value_fact(job: Job, setting: Setting, value: Quantity | str) -> Fact:
    """Return a setting's value as it prints in running text."""
    if isinstance(value, Quantity):
        return job.quantity(value)
    if setting.name == "mode":
        return job.store.fact(job.plain(mode_name(job, value)))
    if setting.name == "on_off_s":
        work, _, rest = value.partition("/")
        if rest:
            return job.store.fact(
                job.plain(
                    job.gettext(
                        "%(work)s on, %(rest)s off",
                        work=Quantity(Decimal(work), "s"),
                        rest=Quantity(Decimal(rest), "s"),
                    )
                )
            )
    return job.ltr(value)


def in_unit_order(job: Job) -> tuple[Setting, ...]:
    """Return the plan's settings in the order in which the unit asks for them."""
    order = [_BY_PARAMETER[item.parameter] for item in job.plan.unit.order]
    settings = job.plan.settings
    return tuple(
        sorted(
            settings,
            key=lambda item: order.index(item.name) if item.name in order else len(order),
        )
    )


def settings_panel(job: Job) -> Prose:
    """Return the panel of figures that the patient looks for each day."""
    entries = tuple(_entry(job, setting) for setting in in_unit_order(job))
    return job.store.block(SettingsPanel((), entries))


def _entry(job: Job, setting: Setting) -> SettingsEntry:
    label = job.plain(setting_name(job, setting.name))
    settable = setting.settable
    note = ""
    if setting.prescribed != settable:
        prescribed = value_fact(job, setting, setting.prescribed)
        # NOTE: Under a setting, where the unit cannot be set to the exact value.
        nearest = job.gettext("Prescribed: %(value)s. This is the nearest step.", value=prescribed)
        note = job.plain(nearest)
    if isinstance(settable, Quantity):
        number = job.words.device_number(settable.value)
        return SettingsEntry(label, number, job.words.unit(settable.unit), note)
    return SettingsEntry(label, value_fact(job, setting, settable).text, "", note)


def settings_line(job: Job) -> Fact:
    """Return the values alone in one line, in the unit's order, to compare at a glance."""
    shown = [
        value_fact(job, setting, setting.settable).text
        for setting in in_unit_order(job)
        if setting.name != "channel"
    ]
    return job.store.fact("\u00a0· ".join(shown))


def settings_list(job: Job) -> Prose:
    """Return the settings with their names as lines of a Markdown list."""
    lines = []
    for setting in in_unit_order(job):
        name = job.store.fact(job.plain(setting_name(job, setting.name)))
        value = value_fact(job, setting, setting.settable)
        # NOTE: One line of a list of settings, for example "Pulse rate: 20 Hz".
        lines.append(job.gettext("%(setting)s: %(value)s", setting=name, value=value))
    return Prose("\n".join(f"- {line}" for line in lines))


def unit_steps(job: Job, first: int = 1, last: int | None = None) -> Prose:
    """Return what to press on the unit, step by step, and what its display then shows.

    Args:
        job: The document being written.
        first: Number of the first step to print, from 1.
        last: Number of the last one; None: to the end.
    """
    steps, plan = [], job.plan.steps
    for index, step in enumerate(plan):
        following = plan[index + 1] if index + 1 < len(plan) else None
        ready = step.action == "select" and not (following and following.action == "change")
        steps.append(_unit_step(job, step, ready))
    return job.store.block(Steps(tuple(steps[first - 1 : last]), first))


def _unit_step(job: Job, step: SetupStep, ready: bool) -> Step:
    sentences = [_press(job, step)]
    if step.parameter is not None and ready:
        sentences.append(_is_right(job, step.parameter))
    elif step.parameter is not None and step.action == "change":
        sentences.append(_now_set(job, step.parameter))
    runs = job.runs(" ".join(sentences))
    return Step(runs, display=step.shows)


def _press(job: Job, step: SetupStep) -> Prose:
    key = job.ltr(step.key)
    if step.action == "strength":
        # NOTE: How the patient raises the current. Slowly and one step at a time.
        press = job.pgettext(
            "safety",
            "Press **%(key)s** one step at a time. Stop when it feels as it should.",
            key=key,
        )
        return Prose(f"{press} {which_leg(job, step.channel)}".strip())
    # NOTE: An instruction at the unit: press a key so many times.
    return job.ngettext(
        "Press **%(key)s** once.", "Press **%(key)s** %(num)s times.", step.presses, key=key
    )


def which_leg(job: Job, channel: int | None) -> Prose:
    """Say which leg a channel is for when both are treated: the first is the left leg's."""
    if job.rx.placement != "tibial" or job.rx.side != "both" or channel is None:
        return Prose("")
    if channel == channels(job)[0]:
        # NOTE: Behind an instruction to plug in a lead, or to press a key of one channel.
        return job.pgettext("safety", "This is for your **left** leg.")
    # NOTE: Behind an instruction to plug in a lead, or to press a key of one channel.
    return job.pgettext("safety", "This is for your **right** leg.")


def channels(job: Job) -> tuple[int, ...]:
    """Return the channels in use, the left leg's first when both legs are treated."""
    setting = job.plan.setting("channel")
    return tuple(map(int, str(setting.settable).split("+"))) if setting else (1,)


def _is_right(job: Job, parameter: str) -> Prose:
    sentences: dict[str, Callable[[], Prose]] = {
        "mode": lambda: job.gettext("The mode is right. Leave it."),
        "pulse_width_us": lambda: job.gettext("The pulse width is right. Leave it."),
        "pulse_rate_hz": lambda: job.gettext("The pulse rate is right. Leave it."),
        "timer_min": lambda: job.gettext("The timer is right. Leave it."),
        "on_off_s": lambda: job.gettext("Work and rest are right. Leave them."),
    }
    return sentences[parameter]()


def _now_set(job: Job, parameter: str) -> Prose:
    sentences: dict[str, Callable[[], Prose]] = {
        "mode": lambda: job.gettext("This sets the mode."),
        "pulse_width_us": lambda: job.gettext("This sets the pulse width."),
        "pulse_rate_hz": lambda: job.gettext("This sets the pulse rate."),
        "timer_min": lambda: job.gettext("This sets the timer."),
        "on_off_s": lambda: job.gettext("This sets work and rest."),
    }
    return sentences[parameter]()


def setting_words(job: Job) -> Prose:
    """Say in plain words what the unit's settings are, in its own order, a paragraph each."""
    names = [setting.name for setting in in_unit_order(job)]
    said = filter(None, (_meaning(job, name) for name in names))
    notes = (job.store.block(Paragraph(job.runs(words), "note")) for words in said)
    return Prose("\n\n".join(notes))


def _meaning(job: Job, name: str) -> str:
    sentences: dict[str, Callable[[], Prose]] = {
        # NOTE: Plain words for a setting's name; the bold word is the one on the settings panel.
        "pulse_width_us": lambda: job.gettext("**Pulse width** is how long each pulse lasts."),
        # NOTE: Plain words for a setting's name; the bold word is the one on the settings panel.
        "pulse_rate_hz": lambda: job.gettext("**Pulse rate** is how many pulses a second."),
        # NOTE: Plain words for a setting's name; the bold word is the one on the settings panel.
        "on_off_s": lambda: job.gettext(
            "**Work and rest** are times with pulses and times without."
        ),
        # NOTE: Plain words for a setting's name; the lead is the cable.
        "channel": lambda: job.gettext("A **channel** is a socket for a lead."),
    }
    if name == "mode":
        setting = job.plan.setting("mode")
        return _mode_meaning(job, str(setting.settable)) if setting is not None else ""
    return sentences[name]() if name in sentences else ""


def _mode_meaning(job: Job, mode: str) -> Prose:
    if mode == "continuous":
        # NOTE: Plain words for a mode of the unit; the bold word is the mode's name.
        return job.gettext("In **continuous** mode the pulses keep coming.")
    if mode == "burst":
        # NOTE: Plain words for a mode of the unit; the bold word is the mode's name.
        return job.gettext("In **burst** mode the pulses come in short groups.")
    if mode == "modulated":
        # NOTE: Plain words for a mode of the unit; the bold word is the mode's name.
        return job.gettext("In **modulated** mode the pulses keep changing a little.")
    raise TemplateFault(f"no words for the mode {mode!r}")


def session_length(job: Job) -> Fact:
    """Return how long a session lasts, as the unit's timer is set, in words."""
    setting = job.plan.setting("session_minutes")
    if setting is None or not isinstance(setting.settable, Quantity):
        raise TemplateFault("the plan has no session length")
    return job.minutes(int(setting.settable.value))


def ten_cm(job: Job) -> Fact:
    """Return the distance between the middles of the two pads along the shin."""
    return job.quantity(Quantity(TIBIAL_CENTRES_MM / 10, "cm"))


SETTINGS: dict[str, Callable[..., object]] = {
    "settings_panel": settings_panel,
    "settings_line": settings_line,
    "settings_list": settings_list,
    "unit_steps": unit_steps,
    "setting_words": setting_words,
    "session_length": session_length,
    "channels": channels,
    "which_leg": which_leg,
    "ten_cm": ten_cm,
}

"""The columns that a batch in CSV may have: the fields of a prescription by dotted name."""

from __future__ import annotations

from collections.abc import Collection, Mapping

__all__ = ["APPOINTMENT", "COLUMNS", "SCREENING", "csv_columns"]

APPOINTMENT = "appointment"
SCREENING = "screening."
_REASONS = 4

COLUMNS: Mapping[str, str] = {
    APPOINTMENT: "time of the appointment, as in 09:30; orders the cover list only",
    "prescribed_on": "date, year-month-day; needed",
    "patient.name": "as it shall print; needed",
    "patient.record_number": "needed; zeros at the front stay",
    "patient.language": "tag of the language that the patient reads, as in es; needed",
    "patient.born": "date, year-month-day",
    "patient.sex": "female, male or other",
    "patient.height_cm": "whole centimetres",
    "patient.large_print": "true or false",
    "patient.guardian_name": "parent, guardian or carer who co-signs",
    "patient.interpreter_name": "as it shall print",
    "indication": "one word, as in urge_leakage; needed",
    "placement": "lower_abdomen, sacral or tibial; needed",
    "side": "left, right or both; needed with tibial",
    "tibial_variant": "above_first or foot_arch",
    "device": "the unit's profile, as in demo-duo; needed",
    "settings.mode": "continuous, burst or modulated",
    "settings.pulse_width_us": "microseconds",
    "settings.pulse_rate_hz": "hertz",
    "settings.session_minutes": "whole minutes",
    "settings.channel": "number of the channel",
    "settings.on_s": "seconds of work",
    "settings.off_s": "seconds of rest",
    "settings.ramp_s": "seconds",
    "settings.expected_strength_ma": "milliamperes",
    "schedule.start": "date, year-month-day; needed",
    "schedule.weeks": "whole weeks",
    "schedule.sessions_per_week": "1 to 7",
    "schedule.weekdays": "several, with spaces or commas: mon wed fri",
    "schedule.skip": "dates, with spaces or commas",
    "schedule.reviews": "dates, with spaces or commas",
    "schedule.time_of_day": "as in 19:30, for the calendar file",
    "schedule.taper_sessions_per_week": "numbers with spaces: 2 1",
    "pads.shape": "rectangle, round or oval",
    "pads.width_mm": "millimetres",
    "pads.height_mm": "millimetres; not for round",
    "pads.uses_per_set": "whole number",
    "pads.replace_after_days": "whole days",
    "goal": "in the patient's own language, as it shall print",
    "documents": "several with spaces: handout consent diary checklist",
    "languages": "tags with spaces, for papers in these languages too",
    **{
        f"reasons.{number}.{key}": what
        for number in range(1, _REASONS + 1)
        for key, what in (
            ("about", "the check that the reason answers"),
            ("text", "why"),
            ("name", "who decides"),
        )
    },
    "clinician.name": "needed",
    "clinician.role": "needed",
    "clinician.registration": "as it shall print",
}
"""What each column holds; `screening.<code>` columns come on top (`csv_columns`)."""


def csv_columns(screening: Collection[str]) -> dict[str, str]:
    """Return every column that CSV may have, with what it holds.

    Args:
        screening: Codes of the screening questions.
    """
    asked = {f"{SCREENING}{code}": "yes, no or unknown" for code in screening}
    at = list(COLUMNS).index("goal")
    names = list(COLUMNS)
    return {
        **{name: COLUMNS[name] for name in names[:at]},
        **asked,
        **{name: COLUMNS[name] for name in names[at:]},
    }

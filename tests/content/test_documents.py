"""The four documents: every fact of the plan is in them, in order and in plain words."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from document_text import blocks_of, figure_labels, legible, outline, sentences_of, text_of
from example_plans import CONSENT, FOLLOW_UP, ISSUE, example_plan, example_unit, schedule

from docbuilder.content.assemble import assemble, initials, is_child
from docbuilder.content.figures_text import LABELS
from docbuilder.content.job import PackFile
from docbuilder.document.blocks import (
    CalendarGrid,
    CheckItem,
    SettingsPanel,
    SignatureLine,
    Step,
    Table,
    WriteLines,
)
from docbuilder.errors import Refused
from docbuilder.figures.placement import label_keys
from docbuilder.figures.true_size import LABEL_KEYS
from docbuilder.language.readability import measure_texts
from docbuilder.language.words import load_words
from docbuilder.model.plan import SetupStep

KINDS = ("handout", "consent", "diary", "checklist")
GOLDEN = Path(__file__).parent / "golden"
NBSP = " "
"""Tied or not: the reader of the blocks makes no difference."""
PHONE = "+44 20 7946 0958".replace(" ", NBSP)


@cache
def plain(kind):
    return made(kind, example_plan())


@cache
def plain_text(kind):
    return text_of(plain(kind))


def made(kind, plan=None, tag="en", territory="GB", issue=ISSUE, **changes):
    plan = plan or example_plan(**changes)
    return assemble(kind, plan, load_words(tag, territory), issue=issue)


def text(kind, **changes):
    return text_of(made(kind, **changes))


@pytest.mark.parametrize("kind", KINDS)
def test_the_wording_is_the_one_last_looked_at(kind):
    path = GOLDEN / f"{kind}.txt"
    lines = [f"{'#' * level} {words}" for level, words in outline(made(kind))]
    found = "\n".join([*lines, "", *sentences_of(made(kind))]) + "\n"
    if os.environ.get("UPDATE_GOLDEN") and not os.environ.get("CI"):
        path.parent.mkdir(exist_ok=True)
        path.write_text(found, encoding="utf-8")
    assert found == path.read_text(encoding="utf-8")


FACTS = {
    "handout": [
        "This treatment is to calm your bladder",
        "Reach the shop and back", "180", "µs", "23", "25",
        f"Prescribed: 175{NBSP}µs", "Turn it up until you feel a strong tingle",
        "Monday, Wednesday",
        "30 November 2026", "26 February 2027", "37 sessions", "left leg", f"10{NBSP}cm", "channel 2",  # noqa: E501
        "POWER", "READY", "Press SET once.", "Press UP 3 times.", "Press B+ one step",
        "Look at your skin with a mirror.", "Stop and call us if your skin burns.",
        "Never put a pad on your chest.", "Do not use the unit in the bath.", "cannot pass urine",
        "30 December 2026", "1 February 2027", "7 December 2026", "11 January 2027", "23 February 2027",  # noqa: E501
        "Example Clinic", PHONE, "Monday – Friday", "desk@example.org", "999",
        "bank card", "Trim hair that is in the way. Do not shave just before.",
    ],
    "consent": [
        "Ada Mae Example", "DEMO-0042", "You leak urine", "We hope that you will leak less.",
        "Pulse width: 180", "Pulse rate: 23", "Timer: 25", "Channel: 2", "Mode: continuous",
        "37 sessions", "11 January 2027", "68 in 100", "We cannot know now", "does not list this use",  # noqa: E501
        "National guidance does not advise this.", "Other ways did not help", "turn red",
        "A pad can burn", "Your numb skin", "no treatment", "train your bladder",
        "We stop if it harms you.", PHONE, "HAND-3X", "5f3c-a1", "REG-0001",
        "if the place of the pads changes", "25 May 2027", "Jordan Placeholder", "physiotherapist",
    ],
    "diary": ["Reach the shop and back", "Mon 30 Nov", "Fri 26 Feb", f"25{NBSP}min", "Week 13"],
    "checklist": [
        "Ada Mae Example", "DEMO-0042", "urgency urinary incontinence", "tibial, left leg",
        "Example Unit", "Is feeling reduced", "Yes", "A burn may go unnoticed.", "Test sharp",
        "Felt 10 g", "2 screening questions", f"175{NBSP}µs", f"180{NBSP}µs", f"5{NBSP}µs",
        f"160–220{NBSP}µs", "Example 2021", "Outside the range.", "Tried in clinic",
        f"60{NBSP}mA", f"25{NBSP}mA", f"2.41{NBSP}mA/cm²", f"0.48{NBSP}mA/cm²",
        "Attention: this is above",
        "Use larger pads.", f"500{NBSP}Ω", f"7.73{NBSP}mA", "The unit is not labelled",
        "English and Spanish",
        "Awaits review", "3 sets of pads", "Call on 7 December 2026", "25 December 2026", "5f3c-a1",
        "aa11", "bb22", "How does the skin look?", "Leaks in 24 hours", "REG-0001",
        "from 3 sessions a week",
    ],
}  # fmt: skip


@pytest.mark.parametrize(("kind", "fact"), [(kind, fact) for kind in KINDS for fact in FACTS[kind]])
def test_every_fact_of_the_plan_is_there(kind, fact):
    assert fact in plain_text(kind)


@pytest.mark.parametrize("kind", KINDS)
def test_headings_never_skip_a_level_and_one_title_leads(kind):
    levels = [level for level, _ in outline(made(kind))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))


def test_handout_headings_are_questions_or_instructions():
    instructions = {"Cut out and keep"}
    for _, heading in outline(made("handout")):
        assert heading.endswith("?") or heading in instructions


def test_page_one_of_the_handout_answers_what_how_strong_when_and_where_in_this_order():
    words = "\n".join(sentences_of(made("handout")))
    marks = ["This treatment is to", "How strong?", "When do I use it?", "Where do the pads go?"]
    assert sorted(marks, key=words.index) == marks
    assert words.index("Where do the pads go?") < words.index("before each session")


def test_the_settings_panel_follows_the_units_own_order():
    (panel,) = blocks_of(made("handout").blocks, SettingsPanel)
    labels = ["Mode", "Pulse width", "Pulse rate", "Timer", "Channel"]
    assert [entry.label for entry in panel.entries] == labels
    turned = replace(example_unit(), order=tuple(reversed(example_unit().order)))
    (panel,) = blocks_of(made("handout", unit=turned).blocks, SettingsPanel)
    labels = ["Timer", "Pulse rate", "Pulse width", "Mode", "Channel"]
    assert [entry.label for entry in panel.entries] == labels


def test_every_key_press_has_its_step_with_its_display():
    steps = [step for step in blocks_of(made("handout").blocks, Step) if "Press " in line(step)]
    key_steps = [step for step in steps if not step.picture]
    assert [step.display for step in key_steps] == ["READY", "CONT", "150 us", "180 us", ""]
    assert "The mode is right. Leave it." in line(key_steps[1])
    assert "right" not in line(key_steps[2])
    assert "This sets the pulse width." in line(key_steps[3])


def line(step):
    return "".join(run.text for run in step.runs)


def test_a_single_press_is_said_once_and_two_in_the_plural():
    steps = (SetupStep("power", "ON", 1, "0"), SetupStep("select", "SET", 2, "C", "mode"))
    words = text("handout", steps=steps)
    assert "Press ON once." in words
    assert "Press SET 2 times." in words


def test_the_calendar_marks_every_date_of_the_plan():
    plan = example_plan()
    (grid,) = blocks_of(made("handout", plan).blocks, CalendarGrid)
    cells = [day for month in grid.months for week in month.weeks for day in week if day]
    assert [day.session for day in cells if day.session] == [str(n) for n in range(1, 38)]
    marks = {mark: sum(day.mark == mark for day in cells) for mark, _ in grid.key}
    assert marks == {
        "session": 33, "rest": marks["rest"], "call": 1, "review": 2, "pads": 1, "battery": 1,
    }  # fmt: skip
    call = next(day for day in cells if day.mark == "call")
    assert (call.number, call.session, call.word) == ("7", "4", "Session and We call you")
    assert grid.months[0].title == "November 2026"
    assert grid.months[0].weekdays[0] == "Mon"
    assert sum(day.mark == "rest" for day in cells) == marks["rest"] > 30


def test_calendar_weeks_begin_as_the_territory_does():
    (grid,) = blocks_of(made("handout", territory="US").blocks, CalendarGrid)
    assert grid.months[0].weekdays[0] == "Sun"
    first_week = grid.months[0].weeks[0]
    # The plan begins on Monday, 30 November: weeks before that of the 29th are left out.
    assert [cell and cell.number for cell in first_week] == ["29", "30", *[None] * 5]
    assert date(2026, 11, 29).isoweekday() == 7


def test_the_diary_has_a_row_for_each_session_of_nine_millimetres_at_least():
    document = made("diary")
    tables = [table for table in blocks_of(document.blocks, Table) if len(table.columns) == 7]
    assert sum(len(table.rows) for table in tables) == 37
    assert len(tables) == 13
    assert all(table.min_row_mm >= 9 for table in blocks_of(document.blocks, Table))


def test_bladder_sheets_only_where_the_bladder_is_treated():
    assert "Three-day bladder diary" in text("diary")
    assert "Three-day bladder diary" not in text("diary", indication="pelvic_pain")
    sheets = [t for t in blocks_of(made("diary").blocks, Table) if len(t.columns) == 5]
    assert len(sheets) == 3


@pytest.mark.parametrize(("kind", "limit"), [("handout", 6.0), ("diary", 6.0), ("consent", 8.0)])
def test_reading_grade_and_sentence_length(kind, limit):
    reading = measure_texts(sentences_of(made(kind)), "en")
    grade = next(score for score in reading.scores if score.name == "Flesch-Kincaid grade")
    assert grade.value <= limit
    if kind != "consent":
        assert reading.long_sentences == ()


SITES = [
    ("lower_abdomen", "midline", "above_first"), ("sacral", "midline", "above_first"),
    *(("tibial", side, way) for side in ("left", "right", "both")
      for way in ("above_first", "foot_arch")),
]  # fmt: skip


@pytest.mark.parametrize(("site", "side", "variant"), SITES)
def test_every_site_is_told_and_drawn_with_every_label_worded(site, side, variant):
    changes = {"placement": site, "side": side, "tibial_variant": variant}
    document = made("handout", **changes)
    labels = dict(figure_labels(document))
    assert label_keys(site, side, variant) <= set(labels)
    assert all(labels.values())
    words = text_of(document)
    expected = {"left": "left", "right": "right", "both": "both", "midline": "on each side"}
    assert f"Use your {side} leg." in words or expected[side] in words
    other = {"left": "right leg", "right": "left leg"}.get(side)
    assert other is None or other not in words
    assert text("checklist", **changes)


def test_every_label_key_of_every_drawing_has_words():
    keys = set(LABEL_KEYS)
    for site, side, variant in SITES:
        keys |= label_keys(site, side, variant)
    assert keys == set(LABELS)


def test_both_legs_say_that_a_lead_stays_on_one_leg_and_which_key_is_for_which():
    plan = example_plan(side="both")
    settings = tuple(
        replace(item, settable="1+2") if item.name == "channel" else item for item in plan.settings
    )
    steps = (
        *(step for step in plan.steps if step.action != "strength"),
        SetupStep("strength", "A+", 0, "", channel=1),
        SetupStep("strength", "B+", 0, "", channel=2),
    )
    words = text_of(made("handout", replace(plan, settings=settings, steps=steps)))
    assert "Put both pads of a lead on the same leg." in words
    assert "Plug the lead into channel 1. This is for your left leg." in words
    assert "Plug the lead into channel 2. This is for your right leg." in words
    until = "one step at a time. Stop when it feels as it should."
    assert f"Press A+ {until} This is for your left leg." in words
    assert f"Press B+ {until} This is for your right leg." in words
    assert "This is for your" not in text("handout")
    assert "both leads, four pads" in words
    assert "its lead, two pads" not in words


def test_calendar_weeks_stand_beside_dates_where_people_number_weeks():
    """Weeks of ISO 8601; a course week over two of them names both."""
    plain_dates = text("checklist")
    assert "calendar week" not in plain_dates + text("diary")
    dates = replace(schedule(), week_numbers=tuple(
        (day, day.isocalendar().week)
        for day in (*(s.day for s in schedule().sessions), schedule().call_on, *schedule().reviews)
    ))  # fmt: skip
    words = text("checklist", schedule=dates)
    assert "Call on 7 December 2026 (calendar week 50)" in words
    assert "11 January 2027 (calendar week 2) and 23 February 2027 (calendar week 8)" in words
    assert "Week 1 · calendar week 49" in text("diary", schedule=dates)
    over_two = tuple((day, 49 if day < date(2026, 12, 3) else 50) for day, _ in dates.week_numbers)
    assert "Week 1 · calendar week 49 and 50" in text(
        "diary", schedule=replace(dates, week_numbers=over_two)
    )


CONSENT_POINTS = {
    "1 identifiers": ["Ada Mae Example", "Date of birth"],
    "2 condition and aim": ["You leak urine", "We hope"],
    "3 site, settings, sessions, review": [
        "left leg",
        "Pulse width: 180",
        "37 sessions",
        "reviews",
    ],
    "4 how, by whom, at home": ["yourself, at home", "Jordan Placeholder"],
    "5 benefit, uncertainty, guidance, label": ["68 in 100", "cannot know", "National", "maker"],
    "6 common and serious risks": ["Common", "Rare but serious"],
    "7 personal risks": ["Your numb skin", "Risks that matter most to me:"],
    "8 alternatives with none": ["no treatment", "train your bladder"],
    "9 screening confirmed, changes told": ["safety questions are true", "I will report pregnancy"],
    "10 whom to call": ["switch off and call"],
    "11 free to refuse and stop": ["I may say no, or stop at any time."],
    "12 shown and told back": ["I have placed the pads", "In my own words"],
    "13 interpreter": ["I have interpreted all of it"],
    "14 large print, read aloud": ["large print, or to have this read aloud"],
    "15 chaperone": ["chaperone"],
    "16 photographs": ["Photos of my skin"],
    "17 sharing": ["tell my own doctor"],
    "18 copies and handout": ["I have a copy of this form", "HAND-3X"],
    "19 signatures with date and time": ["Signature", "Date", "Time", "REG-0001", "Witness"],
    "20 capacity": ["understand it, remember it, weigh it, and tell us"],
    "21 withdrawal": ["I no longer agree"],
    "22 change of plan": ["If the plan changes", "initials"],
    "valid for, renew if": ["5f3c-a1", "We must ask you again if"],
    "what would make us stop": ["We stop if it harms you."],
    "questions": ["What I asked:"],
}


@cache
def interpreted_text():
    return text("consent", interpreter_name="Noor Sample")


@pytest.mark.parametrize("point", CONSENT_POINTS)
def test_the_consent_form_holds_every_point(point):
    words = interpreted_text()
    missing = [phrase for phrase in CONSENT_POINTS[point] if phrase not in words]
    assert missing == []


def roles(document):
    return [
        "".join(run.text for run in item.role) for item in blocks_of(document.blocks, SignatureLine)
    ]


def test_who_signs_depends_on_who_decides():
    plain = roles(made("consent", witness_line=False))
    assert plain[0] == "Patient"
    assert "Interpreter" not in " ".join(plain)
    child = roles(made("consent", born=date(2017, 9, 30), guardian_name="Pat Sample"))
    assert child[:2] == [
        "Parent, guardian or legal representative",
        "Child’s own agreement (assent)",
    ]
    assert "Patient" not in child
    helped = roles(made("consent", guardian_name="Pat Sample"))
    assert helped[:2] == ["Patient", "Parent, guardian or legal representative"]
    assert "Interpreter" in roles(made("consent", language="es"))
    assert "Witness" in roles(made("consent"))


def test_every_signature_has_room_for_date_and_time():
    for item in blocks_of(made("consent").blocks, SignatureLine):
        labels = [label for label, _ in item.fields]
        assert labels == ["Signature", "Name in print", "Date", "Time"]
        assert sum(share for _, share in item.fields) == pytest.approx(1.0)


def test_a_consent_form_is_never_a_draft():
    with pytest.raises(Refused):
        made("consent", issue=replace(ISSUE, draft=True))


def test_the_handout_tells_a_parent_who_you_is():
    child = {"born": date(2017, 9, 30)}
    assert "For the parent or carer" in text("handout", **child)
    assert "For the parent or carer" not in text("handout")
    assert is_child(example_plan(**child))
    assert not is_child(example_plan(born=date(2008, 11, 25)))
    assert is_child(example_plan(born=date(2008, 11, 26)))
    assert is_child(example_plan(born=None, indication="child_overactive_bladder"))


def test_pain_that_comes_and_goes_has_no_count_of_sessions():
    words = text("handout", schedule=replace(schedule(), as_needed=True))
    assert "when the pain comes" in words
    assert "37 sessions" not in words
    assert "number of your session" not in words
    handout, diary = (
        made(kind, schedule=replace(schedule(), as_needed=True)) for kind in ("handout", "diary")
    )
    (grid,) = blocks_of(handout, CalendarGrid)
    days = [day for month in grid.months for week in month.weeks for day in week if day]
    assert {day.mark for day in days} <= {"none", "call", "review", "pads", "battery"}
    assert not any(day.session for day in days)
    assert "Mon 30 Nov" not in text_of(diary), "the patient writes the day"
    assert "Sessions done" not in text_of(diary)


@pytest.mark.parametrize(
    ("pattern", "said"),
    [
        (tuple(range(7)), "Use the unit every day."),
        ((0, 2, 4), "Your days are: Monday, Wednesday and Friday."),
        ((6,), "Your days are: Sunday."),
    ],
)
def test_the_days_are_told_in_words(pattern, said):
    assert said in text("handout", schedule=schedule(2, pattern))


@pytest.mark.parametrize("count", [1, 2])
def test_sessions_are_counted_in_the_right_form(count):
    plan = schedule(1, (0,))
    plan = replace(plan, sessions=plan.sessions[:count])
    assert f"{count} session{'s' if count > 1 else ''} in all." in text("handout", schedule=plan)


def test_a_rechargeable_unit_is_charged_and_a_battery_replaced():
    assert "New battery" in text("handout")
    words = text("handout", unit=example_unit(rechargeable=True))
    assert "Charge the unit on about: 1 February 2027." in words
    assert "battery" not in words


def test_the_foot_of_a_page_never_holds_name_or_birth_date_unless_chosen():
    foot = made("handout").furniture
    assert legible(foot.patient) == "Patient A. M. E., record DEMO-0042"
    assert "1948" not in str(foot)
    record = made("handout", patient_identifier="record").furniture.patient
    assert legible(record) == "Record DEMO-0042"
    named = made("handout", patient_identifier="name_and_record").furniture.patient
    assert legible(named) == "Patient Ada Mae Example, record DEMO-0042"


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Ada Example", "A. E."),
        ("  ada   mae ", "a. m."),
        ("王小明", "王."),
        ("سالم المثالي", "س. ا."),
        ("हिमानी", "हि."),
        ("E\u0301va Ö", "E\u0301. Ö."),
    ],
)
def test_initials_of_any_script(name, short):
    assert initials(name) == short


def test_furniture_by_state_and_kind():
    waiting = made("handout", issue=replace(ISSUE, awaiting_review=True)).furniture
    assert "awaits review" in waiting.review_line
    assert made("handout").furniture.review_line == ""
    assert made("diary", issue=replace(ISSUE, draft=True)).furniture.draft_mark
    assert made("consent").furniture.initials_label == "Initials"
    assert made("handout").furniture.initials_label == ""
    assert made("handout").furniture.page_of == "Page {page} of {pages}"
    assert legible(made("handout").furniture.version) == "Version: 25 November 2026"


def test_type_size_by_kind_and_reading_aid():
    assert [made(kind).text_pt for kind in KINDS] == [14.0, 12.0, 12.0, 9.5]
    large = [made(kind, large_print=True).text_pt for kind in KINDS]
    assert large == [18.0, 18.0, 18.0, 9.5]
    assert made("consent").binding_mm > 0


def test_paper_is_the_clinics_choice_or_the_territorys():
    assert made("handout").paper == "A4"
    assert made("handout", territory="US").paper == "Letter"
    assert made("handout", territory="US", paper="A4").paper == "A4"


def test_pads_too_large_for_the_person_are_refused_with_their_place():
    pads = replace(example_plan().pads, width_mm=Decimal(150), height_mm=Decimal(150))
    with pytest.raises(Refused) as caught:
        made("handout", pads=pads)
    assert caught.value.issues[0].field == "placement"


def test_without_extras_the_documents_still_stand():
    bare = {
        "goal": None, "hours": (), "email": None, "witness_line": False, "notices": (),
        "handout_cautions": (), "height_cm": None,
        "consent": replace(CONSENT, off_label=None, personal_risks=()),
        "follow_up": replace(FOLLOW_UP, taper_rules=()),
    }  # fmt: skip
    for kind in KINDS:
        words = text(kind, **bare)
        assert "Your goal" not in words
        assert "guidance" not in words
        assert "For you" not in words


def test_checklist_has_boxes_for_demonstration_and_teach_back():
    document = made("checklist")
    boxes = [
        "".join(run.text for run in item.runs) for item in blocks_of(document.blocks, CheckItem)
    ]
    assert "Patient placed the pads without help" in boxes
    assert "“When do you stop and call us?”" in boxes
    assert "Both ankles seen: veins, swelling, skin" in boxes
    assert [*blocks_of(document.blocks, WriteLines)]
    other = made("checklist", placement="sacral", side="midline")
    assert "Both ankles" not in text_of(other)


@pytest.mark.parametrize(
    "changes", [{"born": date(2017, 9, 30)}, {"screening": {"cannot_use_alone": "yes"}}]
)
def test_where_a_carer_is_needed_the_carer_is_watched(changes):
    """The caution says: train a carer; no box may ask for the patient without help."""
    words = text("checklist", **changes)
    assert "Ask the carer, and watch the carer use the unit." in words
    for patients in ("without help", "Patient set the unit", "Patient found the strength"):
        assert patients not in words
        assert patients in plain_text("checklist")
    assert "watch the carer use" not in plain_text("checklist")


def test_a_childs_form_does_not_say_that_the_reader_uses_the_unit_alone():
    words = text("consent", born=date(2017, 9, 30))
    assert "You use a TENS unit yourself" not in words
    assert "TENS sends small electric pulses through pads on your skin." in words
    assert "You use a TENS unit yourself" in plain_text("consent")


@pytest.mark.parametrize(
    ("tag", "names"),
    [
        ("en", "English, Arabic and Simplified Chinese"),
        ("es", "Inglés, Árabe y Chino simplificado"),
    ],
)
def test_the_pack_names_languages_in_the_clinicians_own(tag, names):
    file = PackFile("handout", ("en", "ar", "zh-Hans"), 5, "H", "original")
    words = text_of(made("checklist", tag=tag, issue=replace(ISSUE, pack=(file,))))
    assert names in words
    assert "العربية" not in words


def test_passed_limits_are_marked_and_kept_ones_are_said_to_be_kept():
    plan = example_plan()
    (limit,) = plan.limits
    assert "Attention: this is above 2 mA/cm²" in text("checklist")
    kept = replace(limit, passed_at_maximum=False)
    words = text("checklist", limits=(kept,))
    assert "Attention above 2 mA/cm²" in words
    assert "Use larger pads." not in words
    hard = replace(limit, kind="limit")
    assert "Over the limit of 2 mA/cm²" in text("checklist", limits=(hard,))


def test_a_flagged_answer_that_no_finding_tells_stops_the_build():
    with pytest.raises(Refused) as caught:
        made("checklist", findings=())
    assert "reduced_sensation" in caught.value.issues[0].found


def test_large_print_diary_keeps_every_session_and_the_minutes():
    document = made("diary", large_print=True)
    tables = [table for table in blocks_of(document.blocks, Table) if len(table.columns) == 6]
    assert sum(len(table.rows) for table in tables) == 37
    heads = ["".join(run.text for run in table.columns[0].header) for table in tables]
    assert legible(heads[0]) == f"Week 1 · 25{NBSP}min"
    assert sum(column.share for column in tables[0].columns) == pytest.approx(1.0)


def test_column_shares_of_every_table_fill_the_width():
    for kind in KINDS:
        for table in blocks_of(plain(kind).blocks, Table):
            assert sum(column.share for column in table.columns) == pytest.approx(1.0)
            assert all(len(row) == len(table.columns) for row in table.rows)

"""Each rule finds the fault it is for, in a catalogue that has that fault and no other.

`bad/<rule>.<language>.po` holds the faulty translation and, in the context "right",
the same one put right.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from catalogue_files import po_text

from docbuilder.language.catalogue import read_catalogue
from docbuilder.language.checks import RULES, check_catalogue, check_file, check_pair
from docbuilder.language.extract import Extracted
from docbuilder.language.glossary import read_glossary
from docbuilder.language.lexicon import NEGATIVE, ONLY, contains_any
from docbuilder.language.marks import numbers_in, sentences_in, units_in
from docbuilder.language.merge import make_template
from docbuilder.language.pairs import Pair
from docbuilder.language.registry import find_language, known_languages

BAD = sorted((Path(__file__).parent / "bad").glob("*.po"))


def rules_found(tag, source, text, counts=()):
    pair = Pair(find_language(tag), "", source, text, counts)
    return {name for name, _ in check_pair(pair)}


def issues_in(tmp_path, tag, body, wanted=None, coverage=None):
    path = tmp_path / "docbuilder.po"
    path.write_text(po_text(tag, body), encoding="utf-8")
    return check_file(path, tag, wanted, coverage)


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_rule_finds_its_fault_and_only_that(tmp_path, path):
    rule, tag = path.stem.split(".")
    issues = issues_in(tmp_path, tag, path.read_text(encoding="utf-8"))
    assert [issue.field.split(":")[0] for issue in issues] == [rule]
    assert "right" not in issues[0].field


def test_every_rule_has_a_bad_catalogue():
    assert {path.stem.split(".")[0] for path in BAD} == set(RULES)


@pytest.mark.parametrize(
    ("body", "state"),
    [
        ('#, fuzzy\nmsgid "Sit."\nmsgstr "Siéntese."', "fuzzy"),
        ('msgid "Sit."\nmsgstr ""', "empty"),
        (
            'msgid "%(n)s day"\nmsgid_plural "%(n)s days"\nmsgstr[0] "%(n)s día"\nmsgstr[1] ""',
            "empty",
        ),
    ],
)
def test_what_is_not_translated_is_said(tmp_path, body, state):
    assert [issue.field.split(":")[0] for issue in issues_in(tmp_path, "es", body)] == [state]


def test_messages_that_the_file_lacks_are_said(tmp_path):
    wanted = make_template([Extracted("Sit.", "a.py", 1), Extracted("Rest.", "a.py", 2, "safety")])
    issues = issues_in(tmp_path, "es", 'msgid "Sit."\nmsgstr "Siéntese."', wanted)
    assert [issue.field for issue in issues] == ["missing: safety: Rest."]


def test_a_character_without_a_glyph_is_said(tmp_path):
    def coverage(tag, text):
        return {char for char in text if char == "é"}

    body = 'msgid "Sit."\nmsgstr "Siéntese."'
    issues = issues_in(tmp_path, "es", body, coverage=coverage)
    assert issues[0].field.startswith("coverage")
    assert "U+00E9" in issues[0].found


def test_a_reasoned_acceptance_silences_its_rule_alone(tmp_path):
    entry = 'msgid "Do not drive for 20 minutes."\nmsgstr "Deje el coche 30 minutos."'
    both = issues_in(tmp_path, "es", entry)
    assert {issue.field.split(":")[0] for issue in both} == {"negation", "numbers"}
    one = issues_in(tmp_path, "es", f"# accept negation: says it another way\n{entry}")
    assert {issue.field.split(":")[0] for issue in one} == {"numbers"}
    without_reason = issues_in(tmp_path, "es", f"# accept negation:\n{entry}")
    assert len(without_reason) == 2


def test_the_issue_names_file_and_line(tmp_path):
    issue = issues_in(tmp_path, "es", '\n\nmsgid "Sit down."\nmsgstr "Sit down."')[0]
    assert issue.place.line == 8
    assert issue.place.file.endswith("docbuilder.po")


# Negation: every language's own words, one sentence each, forbidding and limiting.

FORBIDDING = {
    "es": "No use el aparato.", "fr": "N'utilisez pas l'appareil.", "pt": "Não use o aparelho.",
    "pl": "Nie używaj aparatu.", "ro": "Nu folosiți aparatul.", "ru": "Не пользуйтесь прибором.",
    "vi": "Đừng dùng máy.", "fil": "Huwag gamitin ang aparato.", "ar": "لا تستخدم الجهاز.",
    "ur": "مشین استعمال نہ کریں۔", "hi": "मशीन का उपयोग न करें।", "bn": "যন্ত্রটি ব্যবহার করবেন না।",
    "pa": "ਮਸ਼ੀਨ ਨਾ ਵਰਤੋ।", "zh-Hans": "不要使用本机。", "ko": "기기를 사용하지 마세요.",
}  # fmt: skip
ALLOWING = {
    "es": "Use el aparato.", "fr": "Utilisez l'appareil.", "pt": "Use o aparelho.",
    "pl": "Używaj aparatu.", "ro": "Folosiți aparatul.", "ru": "Пользуйтесь прибором.",
    "vi": "Hãy dùng máy.", "fil": "Gamitin ang aparato.", "ar": "استخدم الجهاز.",
    "ur": "مشین استعمال کریں۔", "hi": "मशीन का उपयोग करें।", "bn": "যন্ত্রটি ব্যবহার করুন।",
    "pa": "ਮਸ਼ੀਨ ਵਰਤੋ।", "zh-Hans": "请使用本机。", "ko": "기기를 사용하세요.",
}  # fmt: skip


def test_every_language_has_word_lists():
    tags = {language.tag for language in known_languages()} - {"en"}
    assert set(NEGATIVE) == set(ONLY) == set(FORBIDDING) == set(ALLOWING) == tags


@pytest.mark.parametrize("tag", sorted(FORBIDDING))
def test_a_lost_negation_is_found_in_every_language(tag):
    assert "negation" not in rules_found(tag, "Do not use the unit.", FORBIDDING[tag])
    assert "negation" in rules_found(tag, "Do not use the unit.", ALLOWING[tag])


@pytest.mark.parametrize(("tag", "kept", "lost"), [
    ("ro", "Nu puneți niciodată electrozi pe gât.", "Puneți niciodată electrozi pe gât."),
    ("ro", "Nu folosiți nicio cremă.", "Folosiți nicio cremă."),
    ("pl", "Nigdy nie kładź elektrod na szyi.", "Nigdy kładź elektrody na szyi."),
    ("ru", "Никогда не ставьте на шею.", "Никогда ставьте на шею."),
])  # fmt: skip
def test_a_word_that_only_strengthens_does_not_stand_in_for_the_denial(tag, kept, lost):
    assert "negation" not in rules_found(tag, "Never put pads on your neck.", kept)
    assert "negation" in rules_found(tag, "Never put pads on your neck.", lost)


@pytest.mark.parametrize("source", [
    "Never drive.", "Use no cream.", "Walk without shoes.", "It isn't safe.", "It isn’t safe.",
    "You cannot feel it.", "Nothing hurts.",
])  # fmt: skip
def test_the_source_forbids_in_many_ways(source):
    assert "negation" in rules_found("es", source, "Camine.")


@pytest.mark.parametrize("source", ["Note the number.", "Notes.", "A knot."])
def test_words_that_only_look_like_a_denial(source):
    assert "negation" not in rules_found("es", source, "Camine.")


def test_each_denial_of_a_sentence_is_counted():
    source = "There was no test, so we cannot be sure."
    assert "negation" not in rules_found("es", source, "No hubo prueba; no lo sabemos con certeza.")
    assert "negation" in rules_found("es", source, "No hubo prueba; lo sabemos con certeza.")


@pytest.mark.parametrize(
    ("tag", "text"),
    [("pl", "Nigdy przyklejaj elektrody."), ("ru", "Никогда накладывайте электрод."),
     ("ar", "ضع اللاصقة أبدًا."), ("ko", "절대 패드를 붙이세요."), ("ur", "کبھی پیڈ لگائیں۔"),
     ("hi", "पैड कभी लगाएँ।"), ("bn", "আপনি কখনও প্যাড লাগাবেন।"),
     ("ro", "Puneți niciodată un electrod."),
     ("fil", "Kailanman maglagay ng pad."), ("vi", "Bao giờ đặt miếng dán.")],
)  # fmt: skip
def test_a_word_for_ever_does_not_stand_in_for_not(tag, text):
    assert "negation" in rules_found(tag, "Never put on a pad.", text)


def test_a_lost_sentence_is_found():
    source = "Wash your hands. Sit down. Rest."
    assert "sentences" in rules_found("es", source, "Lávese las manos. Siéntese.")
    assert "sentences" not in rules_found("es", source, "Lávese las manos. Siéntese. Descanse.")


def test_negation_is_looked_for_sentence_by_sentence():
    lost = rules_found("es", "Do not drive. Do not run.", "No conduzca. Corra.")
    kept = rules_found("es", "Do not drive. Do not run.", "No conduzca. No corra.")
    assert "negation" in lost
    assert "negation" not in kept


@pytest.mark.parametrize(
    ("tag", "text", "found"),
    [("ar", "ولا تقُد السيارة", True), ("ar", "خلال الليل", False), ("bn", "আপনি করেননি", True),
     ("es", "nota", False), ("pl", "Niedziela", False), ("bn", "আপনি", False),
     ("ko", "물을 마시세요", False), ("zh-Hans", "特别", False), ("ko", "사용하지 않습니다", True)],
)  # fmt: skip
def test_negative_words_are_found_as_words(tag, text, found):
    assert contains_any(text, NEGATIVE[tag].split()) is found


# Figures and units.


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("2.5", "2,5", True), ("2.5", "٢٫٥", True), ("20", "२०", True), ("1,000", "1.000", True),
        ("1,000", "1\u202f000", True), ("20", "2", False), ("2.5", "25", False),
        ("3 to 5", "5 a 3", True), ("3, 5", "3.5", False), ("%(n)s and 4", "4 y %(n)s", True),
    ],
)  # fmt: skip
def test_numbers_are_compared_by_value(one, other, same):
    assert (numbers_in(one) == numbers_in(other)) is same


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("200 µs", "200 \u03bcs", True), ("200 µs", "200 ms", False), ("20 min", "20 h", False),
        ("5 s", "5 min", False), ("30 mA", "30 A", False), ("2 mA/cm²", "2 mA", False),
        ("%(t)s min", "%(t)s h", False), ("the s in pads", "la s", True), ("10 Hz", "10Hz", True),
        ("5%%", "5 %%", True), ("20 min.", "20 min이다.", True), ("200 µs", "200 µs로", True),
        ("20 min.", "20 minä.", False),
    ],
)  # fmt: skip
def test_units_are_compared_by_symbol(one, other, same):
    assert (units_in(one) == units_in(other)) is same


def test_greek_mu_is_refused():
    assert "units" in rules_found("es", "Set 200 µs.", "Ponga 200 \u03bcs.")


def test_a_form_for_one_count_may_leave_its_number_out():
    source = "%(n)s sessions"
    assert rules_found("ar", source, "جلسة واحدة", (1,)) == set()
    assert "placeholders" in rules_found("ar", source, "جلسات", (3, 4, 5))
    assert "placeholders" in rules_found("ar", "%(n)s of %(m)s sessions", "جلسة", (1,))


@pytest.mark.parametrize("text", ["50% de luz", "%(n)d días", "%s días", "%(n) días"])
def test_a_broken_placeholder_is_found(text):
    assert "placeholders" in rules_found("es", "%(n)s days", text)


@pytest.mark.parametrize(
    ("tag", "source", "text"),
    [("ar", "Ready?", "جاهز؟"), ("zh-Hans", "Sit down.", "请坐下。"),
     ("hi", "Sit down.", "बैठ जाएँ।"), ("ur", "Sit down.", "بیٹھ جائیں۔"),
     ("fr", "**Note:**", "**Note\u00a0:**")],
)  # fmt: skip
def test_end_marks_of_other_scripts_are_the_same_kind(tag, source, text):
    assert "ending" not in rules_found(tag, source, text)


@pytest.mark.parametrize(
    ("tag", "text", "fault"),
    [
        ("pl", "Usiądź tеraz.", True),  # a Cyrillic е
        ("ur", "بيٹھ جائیں۔", True),  # an Arabic yeh
        ("ar", "اجلس ی.", True),  # a Farsi yeh
        ("hi", "বসুন।", True),  # Bengali in a Hindi file
        ("vi", "Ngo\u0302\u0300i xuống.", True),  # decomposed
        ("ko", "앉으세요.", False),
        ("ru", "Сядьте, 20 Hz.", False),
    ],
)
def test_letters_of_another_script_or_form_are_found(tag, text, fault):
    assert ("letters" in rules_found(tag, "Sit down.", text)) is fault


def test_unit_symbols_and_short_names_may_stay_latin():
    source = "TENS: 200 µs, 10 Hz, 30 mA."
    assert rules_found("zh-Hans", source, "TENS：200 µs、10 Hz、30 mA。") == set()


def test_a_unit_symbol_may_have_an_ending_joined_to_it():
    assert "leftovers" not in rules_found("ko", "Set 200 µs.", "200 µs로 맞추세요.")
    assert "leftovers" in rules_found("ko", "Set 200 µs.", "200 µs로 set하세요.")


def test_names_of_the_source_may_stay_but_its_words_may_not():
    source = "Houghton 2010 disagrees. See NICE NG123 and Cochrane reviews."
    assert "leftovers" not in rules_found("ar", source, "Houghton 2010 يخالف، وCochrane وNG123.")
    assert "leftovers" in rules_found("ar", source, "انظر reviews.")
    assert "leftovers" in rules_found("ar", "Sit down. See it.", "See it.")


def test_a_display_text_in_isolates_is_no_leftover():
    assert "leftovers" not in rules_found("ar", "Choose burst.", "اختر \u2066burst\u2069.")
    assert "leftovers" in rules_found("ar", "Choose burst.", "اختر burst.")


def test_sentences_end_at_the_marks_of_every_script():
    assert len(sentences_in("Sit. Rest! Ready? Yes")) == 4
    assert len(sentences_in("请坐。休息！好吗？好")) == 4
    assert len(sentences_in("बैठें। आराम करें।")) == 2
    assert len(sentences_in("اجلس. هل أنت جاهز؟")) == 2
    assert len(sentences_in("It is 2.5 cm wide.")) == 1
    assert len(sentences_in("**Sit.** Rest.")) == 2


def test_a_changed_glossary_is_read_anew(tmp_path):
    row = {"term": "pad", "english": ["pads?"]}
    row |= {item.tag: ["x"] for item in known_languages() if item.tag != "en"}
    path = tmp_path / "glossary.yaml"
    for term in ("pad", "pod"):  # the same size, perhaps within the same tick of the clock
        path.write_text(json.dumps({"terms": [row | {"term": term}]}), encoding="utf-8")
        assert [item.term for item in read_glossary(path)] == [term]


def test_the_glossary_has_every_term_in_every_language():
    terms = {term.term: term for term in read_glossary()}
    needed = {"pad", "pulse rate", "pulse width", "skin", "stop", "pelvic floor", "strength",
              "session", "inner ankle bone", "left", "right"}  # fmt: skip
    assert needed <= set(terms)
    for term in terms.values():
        for tag, stems in term.stems.items():
            assert term.stands_in(f"– {stems[0]} –", tag), (term.term, tag)


def test_an_arabic_stem_is_not_found_across_the_article():
    pain = {term.term: term for term in read_glossary()}["pain"]
    assert not pain.stands_in("المثانة والماء", "ar")
    assert pain.stands_in("إذا شعرت بألم.", "ar")
    assert pain.stands_in("يزداد الألمُ.", "ar")


@pytest.mark.parametrize(
    ("term", "source", "asked"),
    [("pad", "Press both pads flat.", True), ("pad", "Use no heating pads.", False),
     ("right", "Put it on your right.", True), ("right", "It is your right to refuse.", False),
     ("left", "Volume left after that", False), ("left", "the pad on the left", True),
     ("left", "Left", True),
     ("left", "Use your **left** leg.", True), ("left", "tibial, left leg", True),
     ("right", "The mode is right.", False), ("right", "It is your right leg.", True),
     ("right", "left or right", True), ("pad", "Pad weight gain", False),
     ("unit", "Turn the unit off.", True), ("unit", "In units of 5.", False)],
)  # fmt: skip
def test_the_glossary_asks_only_where_the_term_is_meant(term, source, asked):
    found = {one.term for one in read_glossary() if one.asked_by(source)}
    assert (term in found) is asked


def test_a_whole_catalogue_in_order_reports_nothing(tmp_path):
    body = (
        'msgctxt "safety"\nmsgid "Never put a pad on sore skin."\n'
        'msgstr "Nunca ponga un parche en la piel irritada."\n\n'
        'msgid "%(n)s session"\nmsgid_plural "%(n)s sessions"\n'
        'msgstr[0] "%(n)s sesión"\nmsgstr[1] "%(n)s sesiones"\n'
    )
    path = tmp_path / "docbuilder.po"
    path.write_text(po_text("es", body), encoding="utf-8")
    catalogue = read_catalogue(path, "es")
    assert check_catalogue(catalogue, find_language("es"), "x.po") == []


@pytest.mark.parametrize("tag", [one.tag for one in known_languages() if one.tag != "en"])
def test_no_rule_complains_of_a_fair_translation(tmp_path, tag):
    body = (Path(__file__).parent / "good" / f"{tag}.po").read_text(encoding="utf-8")
    assert [str(issue) for issue in issues_in(tmp_path, tag, body)] == []

import colorsys
import io
import zlib
from datetime import date, time
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from docbuilder.errors import InputFault
from docbuilder.inputs.clinic import OVERRIDES, demo_clinic_folder, override, read_clinic
from docbuilder.inputs.colour import contrast_on_white, darker_until
from docbuilder.inputs.logo import BadLogo, look_at_logo
from docbuilder.model.clinic import OpeningHours

GOOD = """\
name: Example Harbor Pelvic Health
phone: "+1 (555) 555-0142 ext 7"
territory: GB
language: en-gb
emergency_number: "999"
"""
colours = st.integers(0, 0xFFFFFF).map(lambda value: f"#{value:06X}")


def faults(folder: Path, text: str) -> list[str]:
    (folder / "clinic.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(InputFault) as caught:
        read_clinic(folder)
    return [str(issue) for issue in caught.value.issues]


def test_invented_clinic_is_the_default() -> None:
    clinic = read_clinic()
    assert clinic == read_clinic(demo_clinic_folder())
    assert clinic.folder == demo_clinic_folder()
    assert clinic.email is not None
    assert clinic.email.endswith(".example"), "a name that RFC 2606 keeps free"
    assert "555-01" in clinic.phone


def test_all_keys_arrive(tmp_path: Path) -> None:
    Image.new("RGB", (40, 20)).save(tmp_path / "mark.png")
    (tmp_path / "days.yaml").write_text("holidays:\n  - 2027-01-01\n  - 2026-12-25\n")
    (tmp_path / "clinic.yaml").write_text(
        GOOD + "address: [1 Sample Street, Example Harbor]\nemail: desk@clinic.example\n"
        "hours:\n  - {days: [fri, mon], from: '08:30', to: '17:00'}\n"
        "paper: Letter\naccent: '#005a70'\nlogo: mark.png\n"
        "patient_identifier: record\ndigits: {ar: native, es-us: latin}\n"
        "holidays: [2026-12-25, 2026-12-24]\nholidays_file: days.yaml\n"
        "witness_line: true\nconsent_valid_months: 12\nfillable_forms: true\n"
    )
    clinic = read_clinic(tmp_path)
    assert (clinic.language, clinic.paper, clinic.accent) == ("en-GB", "Letter", "#005A70")
    assert clinic.logo == tmp_path / "mark.png"
    assert clinic.hours == (OpeningHours((0, 4), time(8, 30), time(17)),)
    assert clinic.digits == {"ar": "native", "es-US": "latin"}
    assert clinic.holidays == (date(2026, 12, 24), date(2026, 12, 25), date(2027, 1, 1))
    assert (clinic.witness_line, clinic.consent_valid_months) == (True, 12)
    assert clinic.fillable_forms
    assert (clinic.phone, clinic.patient_identifier) == ("+1 (555) 555-0142 ext 7", "record")


@pytest.mark.parametrize(
    ("extra", "words"),
    [
        ("accent: '#777777'", "clinic.yaml:6: accent: found #777777, contrast 4.4:1"),
        ("accent: '#777777'", 'darker colour that passes is "#595959"'),
        ("accent: #005A70", "accent: found nothing"),
        ("accent: teal", "six of 0-9 and A-F"),
        ("paper: A5", "one of A4, Letter"),
        ("digits: {ar: arabic}", "digits.ar: found 'arabic'"),
        ("digits: {Arabic: native}", "digits.Arabic: found 'Arabic'"),
        ("digits: {ar-eg: native, ar-EG: latin}", "same key in other letters"),
        ("holidays: [2027-02-29]", "holidays.1: found 2027-02-29"),
        ("holidays_file: none.yaml", "none.yaml: file: found no such file"),
        ("holidays_file: ../clinic.yaml", "the name of a file in the clinic folder"),
        ("logo: /etc/hostname", "copy the file into the folder"),
        ("logo: clinic.yaml", "neither PNG nor JPEG"),
        ("logo: none.png", "no such file"),
        ("logo: .", "found a folder"),
        ("witness_line: yes", "write true"),
        ("consent_valid_months: 0", "from 1 to 60"),
        ("patient_identifier: records", "did you mean record?"),
        ("email: desk at clinic", "an e-mail address"),
        ("address: 1 Sample Street", "write it as a list"),
        ("logos: x.png", "did you mean logo?"),
        ("hours: [{days: [mon], from: '17:00', to: '08:30'}]", "a time after 17:00"),
        ("hours: [{days: [monday], from: '08:30', to: '17:00'}]", "did you mean mon?"),
        ("hours: [{days: [mon], to: '17:00'}]", "add the key from"),
        ("hours: {english: 8 to 5}", "hours.english: found 'english'"),
    ],
)
def test_fault_is_told_with_its_remedy(tmp_path: Path, extra: str, words: str) -> None:
    told = faults(tmp_path, f"{GOOD}{extra}\n")
    assert len(told) == 1
    assert words in told[0]


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("hours: Mondays", {"en-GB": "Mondays"}),
        ("hours: {es: Lunes, en: Mondays}", {"es": "Lunes", "en": "Mondays"}),
    ],
)
def test_hours_in_words_are_kept_by_language(tmp_path: Path, written: str, read: object) -> None:
    (tmp_path / "clinic.yaml").write_text(f"{GOOD}{written}\n")
    clinic = read_clinic(tmp_path)
    assert (clinic.hours, clinic.hours_in_words) == ((), read)


def test_phone_and_country_slips(tmp_path: Path) -> None:
    text = GOOD.replace("GB", "UK").replace("+1 (555) 555-0142 ext 7", "call us")
    told = faults(tmp_path, text.replace('"999"', "nine"))
    assert [one.split(": ")[1] for one in told] == ["phone", "territory", "emergency_number"]


def test_faults_of_clinic_and_holiday_file_come_together(tmp_path: Path) -> None:
    (tmp_path / "days.yaml").write_text("holidays: [2026-13-01]\nhoiday: x\n")
    told = faults(tmp_path, f"{GOOD}holidays_file: days.yaml\npaper: A5\n")
    assert len(told) == 3


def test_folder_that_nearly_has_a_name_that_wins_is_told(tmp_path: Path) -> None:
    """This test ensures that a clinic's own units in `unit/` are not silently passed over."""
    for name in ("unit", "Templates", "prescriptions", *OVERRIDES[:1]):
        (tmp_path / name).mkdir()
    told = faults(tmp_path, GOOD)
    assert sum("did you mean" in one for one in told) == len(told) == 2


def test_own_file_wins_and_missing_one_does_not(tmp_path: Path) -> None:
    (tmp_path / "units").mkdir()
    (tmp_path / "units" / "a.yaml").write_text("")
    assert override(tmp_path, "units", "a.yaml") == tmp_path / "units" / "a.yaml"
    assert override(tmp_path, "units", "b.yaml") is None
    assert override(None, "units", "a.yaml") is None


def test_missing_folder(tmp_path: Path) -> None:
    with pytest.raises(InputFault, match="no such file"):
        read_clinic(tmp_path / "none")


# Colour


@pytest.mark.parametrize(
    ("colour", "ratio"),
    # Ratios that are commonly quoted for WCAG's two levels; the ends follow from the formula.
    [("#FFFFFF", 1), ("#000000", 21), ("#767676", 4.54), ("#777777", 4.48), ("#595959", 7.0)],
)
def test_known_contrasts(colour: str, ratio: float) -> None:
    assert contrast_on_white(colour) == pytest.approx(ratio, abs=0.005)


@given(colours)
def test_contrast_by_numpy(colour: str) -> None:
    share = np.frombuffer(bytes.fromhex(colour[1:]), np.uint8) / 255
    linear = np.where(share <= 0.03928, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    expected = 1.05 / (float(linear @ [0.2126, 0.7152, 0.0722]) + 0.05)
    assert contrast_on_white(colour) == pytest.approx(expected, rel=1e-12)


@settings(max_examples=200)
@given(colours)
def test_darker_colour_passes_keeps_its_hue_and_is_the_nearest(colour: str) -> None:
    darker = darker_until(colour, 7)
    assert contrast_on_white(darker) >= 7
    before, after = (np.frombuffer(bytes.fromhex(c[1:]), np.uint8) / 255 for c in (colour, darker))
    assert (after <= before).all()
    if contrast_on_white(colour) >= 7:
        assert darker == colour
        return
    # One step lighter in every channel fails: nothing between was passed over.
    lighter = np.minimum(np.round(after * 255) + 1, np.round(before * 255)).astype(int)
    stepped = "#" + "".join(f"{part:02X}" for part in lighter)
    assert stepped == darker or contrast_on_white(stepped) < 7
    hue_before, strength, _ = colorsys.rgb_to_hsv(*before)
    hue_after = colorsys.rgb_to_hsv(*after)[0]
    if strength > 0.5:  # a pale colour has no steady hue in 8 bits
        assert min(abs(hue_before - hue_after), 1 - abs(hue_before - hue_after)) < 0.03


# Logo


def picture(mode: str, kind: str, **how: object) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((37, 23), 80).convert(mode).save(out, kind, **how)
    return out.getvalue()


PICTURES = {
    "png-1": picture("1", "PNG"),
    "png-grey": picture("L", "PNG"),
    "png-rgb": picture("RGB", "PNG"),
    "png-alpha": picture("RGBA", "PNG"),
    "png-palette": picture("P", "PNG"),
    "jpeg-grey": picture("L", "JPEG"),
    "jpeg-rgb": picture("RGB", "JPEG"),
    "jpeg-progressive": picture("RGB", "JPEG", progressive=True),
    "jpeg-comment": picture("RGB", "JPEG", comment=b"\xff\xd9 not the end"),
}


@pytest.mark.parametrize("name", PICTURES)
def test_picture_made_by_another_program(name: str) -> None:
    """This test ensures that what an independent writer saves is known, with its size."""
    logo = look_at_logo(PICTURES[name])
    assert (logo.kind, logo.width, logo.height) == (name.split("-")[0], 37, 23)


@pytest.mark.parametrize("name", PICTURES)
def test_picture_cut_short_anywhere_is_refused(name: str) -> None:
    data = PICTURES[name]
    for length in range(len(data) - 2):
        with pytest.raises(BadLogo):
            look_at_logo(data[:length])


@pytest.mark.parametrize("name", [name for name in PICTURES if name.startswith("png")])
def test_png_with_any_bit_turned_is_refused(name: str) -> None:
    data = PICTURES[name]
    for at in range(len(data)):
        with pytest.raises(BadLogo):
            look_at_logo(data[:at] + bytes([data[at] ^ 0x10]) + data[at + 1 :])


def test_what_is_no_printable_picture() -> None:
    for mode, kind in (("RGB", "GIF"), ("RGB", "BMP"), ("CMYK", "JPEG")):
        with pytest.raises(BadLogo):
            look_at_logo(picture(mode, kind))
    with pytest.raises(BadLogo, match="neither"):
        look_at_logo(b"<svg xmlns='http://www.w3.org/2000/svg'/>")


def test_picture_that_claims_a_gigapixel_is_refused() -> None:
    data = bytearray(PICTURES["png-rgb"])
    data[16:24] = (50_000).to_bytes(4, "big") * 2
    data[29:33] = zlib.crc32(bytes(data[12:29])).to_bytes(4, "big")
    with pytest.raises(BadLogo, match="50000 x 50000"):
        look_at_logo(bytes(data))


@given(st.binary(max_size=200), st.sampled_from([b"", b"\x89PNG\r\n\x1a\n", b"\xff\xd8"]))
def test_any_bytes_are_a_logo_or_a_bad_one(data: bytes, start: bytes) -> None:
    try:
        logo = look_at_logo(start + data)
    except BadLogo:
        return
    assert logo.width * logo.height > 0

"""The font files that text is set in, by package, with their digests.

Each file is a variable font with a `wght` axis and TrueType outlines, under the SIL Open
Font License. The digests pin what was tested; the test recomputes them from the installed
packages, and a file with other bytes is refused when it is opened.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

__all__ = ["FONT_FILES", "FontFile", "MissingFont"]


class MissingFont(Exception):
    """A font file is not installed, or is not the one that was tested.

    Args:
        package: The distribution that brings the file.
        remedy: The command that mends it.
    """

    def __init__(self, package: str, remedy: str) -> None:
        self.package, self.remedy = package, remedy
        super().__init__(f"no usable font files from {package}; run: {remedy}")


@dataclass(frozen=True, slots=True)
class FontFile:
    """One font file.

    *blocks* are the code point ranges that the file is asked for when it does not lead the
    chain; none means any.
    """

    package: str
    module: str
    path: str
    size: int
    sha256: str
    extra: str = ""
    blocks: tuple[tuple[int, int], ...] = ()

    def locate(self) -> Path:
        """Return where the file is.

        Raises:
            MissingFont: It is not installed, or has another size than the tested one.
        """
        try:
            place = Path(str(files(self.module).joinpath(self.path)))
            size = place.stat().st_size
        except (ModuleNotFoundError, FileNotFoundError):
            raise self._missing() from None
        except OSError:
            raise self._damaged() from None
        if size != self.size:
            raise self._damaged()
        return place

    def checked(self) -> Path:
        """Return where the file is, once its bytes were seen to be the tested ones.

        Raises:
            MissingFont: It is not installed, cannot be read, or holds other bytes.
        """
        place = self.locate()
        try:
            with place.open("rb") as stream:
                digest = hashlib.file_digest(stream, "sha256").hexdigest()
        except OSError:
            raise self._damaged() from None
        if digest != self.sha256:
            raise self._damaged()
        return place

    def _missing(self) -> MissingFont:
        wanted = f"docbuilder[{self.extra}]" if self.extra else "docbuilder"
        return MissingFont(self.package, f'pip install "{wanted}"')

    def _damaged(self) -> MissingFont:
        return MissingFont(self.package, f"pip install --force-reinstall --no-deps {self.package}")


def _noto(name: str, size: int, sha256: str, *blocks: tuple[int, int]) -> FontFile:
    path = f"NotoSans{name}[wght].ttf"
    return FontFile("manimgx-fonts", "manimgx_fonts", path, size, sha256, blocks=blocks)


def _cjk(name: str, size: int, sha256: str, *blocks: tuple[int, int]) -> FontFile:
    path = f"fonts/ofl/notosans{name.lower()}/NotoSans{name}[wght].ttf"
    package = "justmytype-intl-cjk"
    return FontFile(package, "justmytype_intl_cjk", path, size, sha256, "cjk", blocks)


_HAN = ((0x2E80, 0x303F), (0x3100, 0x312F), (0x3190, 0x9FFF), (0xF900, 0xFAFF),
        (0xFE30, 0xFE4F), (0xFF00, 0xFFEF), (0x20000, 0x323AF))  # fmt: skip
_KANA = ((0x3040, 0x30FF), (0x31F0, 0x31FF))
_HANGUL = ((0x1100, 0x11FF), (0x3130, 0x318F), (0xA960, 0xA97F), (0xAC00, 0xD7FF))
_INDIC_MARKS = (0x1CD0, 0x1CFF)

FONT_FILES = {
    "latin": _noto(
        "", 712460, "fb53504de62e767a54695416123d68d67f71c9b69722175184ad56e7dd13547b"
    ),
    "arabic": _noto(
        "Arabic", 239324, "3fae4d7239d1faa55b234bda8091019a5251ff79df40d5e29367d84bed2a8138",
        (0x600, 0x6FF), (0x750, 0x77F), (0x870, 0x8FF), (0xFB50, 0xFDFF), (0xFE70, 0xFEFC),
    ),
    "devanagari": _noto(
        "Devanagari", 275904, "bf99bf762743ff3259e73196852520ab0ffe8d384238bff3e4806a84b981e972",
        (0x900, 0x97F), (0xA8E0, 0xA8FF), _INDIC_MARKS, (0x20B9, 0x20B9),
    ),
    "bengali": _noto(
        "Bengali", 168884, "dc9defe97bb041876b6609e9029d9e1e228a686259acde2fe2a9f99d793ee17d",
        (0x980, 0x9FF),
    ),
    "gurmukhi": _noto(
        "Gurmukhi", 47780, "8a3096ee2166f6383501e2df7b368fce88cfa4068c8d75bcb6af07da353a00ea",
        (0xA00, 0xA7F),
    ),
    "hebrew": _noto(
        "Hebrew", 25296, "9d81d81ad592644487b03843da73a87b99cd28a2c4da4a096e1db8fbd14fda61",
        (0x590, 0x5FF), (0xFB1D, 0xFB4F), (0x20AA, 0x20AA),
    ),
    "thai": _noto(
        "Thai", 31912, "13f52f79b04f01f2751a81052a5dee2df639fd4e13f4ac30821ab45c8dd5f7e7",
        (0xE00, 0xE7F),
    ),
    "tamil": _noto(
        "Tamil", 78424, "37e151cdec4a8cfb15c432f7bb164a83b98df69419d47e50b35aa7073963716b",
        (0xB80, 0xBFF),
    ),
    "gujarati": _noto(
        "Gujarati", 200416, "83d1bde74d64fb389f97a5e27b2699d8ee8bad4c15a02be347228e6c10011248",
        (0xA80, 0xAFF),
    ),
    "telugu": _noto(
        "Telugu", 233352, "6c06de88b2d420d899543724a13765994191cd29860c6226efca098b51fec64b",
        (0xC00, 0xC7F),
    ),
    "kannada": _noto(
        "Kannada", 183432, "b6b11505d76eddf916667d73adfec19095ec777742444dc662dae81471461f4e",
        (0xC80, 0xCFF),
    ),
    "malayalam": _noto(
        "Malayalam", 131216, "94cddc94a03fa9a5e8d1784090ba97b267def6933d60762081eaa003751142c5",
        (0xD00, 0xD7F),
    ),
    "odia": _noto(
        "Oriya", 228748, "37f482d0179d0a50e3128d004f007ff1c1741ad5f6b0b2bcc7238b257ef1caa0",
        (0xB00, 0xB7F),
    ),
    "sinhala": _noto(
        "Sinhala", 168048, "3fd7c6a61cb6dfb8a2ca7af5b4078bd24e9c8ad9b55839a0177277db6e4d1326",
        (0xD80, 0xDFF),
    ),
    "khmer": _noto(
        "Khmer", 119460, "56f89948a84cc0b01962ed6af573ac4ac885bd7bb6e7e40f9afc72a435728b70",
        (0x1780, 0x17FF), (0x19E0, 0x19FF),
    ),
    "lao": _noto(
        "Lao", 33976, "fc138d605aa998d8407789ee6a7f5554aae8b54f5cd98d66dd2c33e79d15b67e",
        (0xE80, 0xEFF),
    ),
    "myanmar": _noto(
        "Myanmar", 232548, "e0b280aa3080aab922800c88fa9a2015a4bec3103bb8b70491a92e4a04f3a3a3",
        (0x1000, 0x109F), (0xA9E0, 0xA9FF), (0xAA60, 0xAA7F),
    ),
    "ethiopic": _noto(
        "Ethiopic", 514676, "93f223089e300b983dbfd693c7be619e0e76565a70d639e71a4fe0bfd72cf66f",
        (0x1200, 0x139F), (0x2D80, 0x2DDF), (0xAB00, 0xAB2F),
    ),
    "armenian": _noto(
        "Armenian", 32800, "e979dfaed56ddb4bfd05121958b25425eb7593253d64b6b3654c77c11c5cda94",
        (0x530, 0x58F), (0xFB13, 0xFB17),
    ),
    "georgian": _noto(
        "Georgian", 56768, "42f4a8bf4fe0af8afd91ee3c19e81e14f1bc74ddbd9b6a59a4182f67a596adb4",
        (0x10A0, 0x10FF), (0x1C90, 0x1CBF), (0x2D00, 0x2D2F),
    ),
    "han_simplified": _cjk(
        "SC", 17772300, "a3041811a78c361b1de50f953c805e0244951c21c5bd412f7232ef0d899af0da",
        *_HAN, *_KANA,
    ),
    "han_traditional": _cjk(
        "TC", 11941968, "864727d210d54f2537bbe23b3a839436c3992af72de9322af5270897246bd44f",
        *_HAN, *_KANA,
    ),
    "japanese": _cjk(
        "JP", 9589900, "c2f3b4d463500a2ddcd3849cded1fceeb9fd6d1c32e6cbecd568453ba50fc68f",
        *_HAN, *_KANA,
    ),
    "korean": _cjk(
        "KR", 10414588, "194018e6b2b293a7964f037b25c0249ce1418bc9ab3c971060a03aa57861e252",
        *_HANGUL, *_HAN,
    ),
    "signs": FontFile(
        "fontpkg-source-sans-3", "fontpkg_source_sans_3", "files/SourceSans3[wght].ttf",
        646340, "042fe2cc0b933e328410d7acbd0aa6a1873dca5aef81875f4bc214b08825c7b9",
    ),
    "symbols": _noto(
        "Symbols", 239720, "63724daeff6755a45933b9a5e3a3b41df5df8fe925c0f4c991f2f68c08a4182d",
        (0x2100, 0x27FF), (0x2900, 0x2BFF), (0x1F000, 0x1FAFF),
    ),
}  # fmt: skip
"""Every file by the name that the chains use."""

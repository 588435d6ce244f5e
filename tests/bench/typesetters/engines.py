"""Typst and WeasyPrint as they are called: in process, and as a small command.

    python engines.py typst|typst-tagged|weasyprint SOURCES OUT

compiles every source of the folder SOURCES to a PDF in OUT; this is what is timed cold.
"""

from __future__ import annotations

import atexit
import shutil
import sys
import tempfile
from collections.abc import Callable
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

__all__ = ["SUFFIX", "compiler", "font_files", "laid_out_text", "make_folder"]

SUFFIX = {"typst": ".typ", "typst-tagged": ".typ", "weasyprint": ".html"}
_FONTS = {
    "Noto Sans": ("manimgx_fonts", "NotoSans[wght].ttf"),
    "Noto Sans Arabic": ("manimgx_fonts", "NotoSansArabic[wght].ttf"),
    "Source Sans 3": ("fontpkg_source_sans_3", "files/SourceSans3[wght].ttf"),
    "Noto Sans Symbols": ("manimgx_fonts", "NotoSansSymbols[wght].ttf"),
}


def font_files() -> dict[str, Path]:
    """Return the font files that docbuilder's chain takes for English and Arabic, by family."""
    return {family: Path(str(files(module) / name)) for family, (module, name) in _FONTS.items()}


@lru_cache
def font_folder() -> str:
    """Return a folder with just these files: Typst reads every font of the folders it is given."""
    folder = Path(tempfile.mkdtemp(prefix="bench-fonts-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    for path in font_files().values():
        (folder / path.name).symlink_to(path)
    return str(folder)


@lru_cache
def compiler(engine: str) -> Callable[[str], bytes]:
    """Return what makes a PDF of a source, with all that can be kept between two of them."""
    if engine == "weasyprint":
        from weasyprint import HTML
        from weasyprint.text.fonts import FontConfiguration

        fonts = FontConfiguration()
        return lambda source: HTML(string=source).write_pdf(font_config=fonts)
    import typst

    known = typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[font_folder()],
    )
    kept = typst.Compiler(font_paths=known, ignore_system_fonts=True)
    how = {"pdf_tags": False} if engine == "typst" else {"pdf_standards": "ua-1"}
    return lambda source: kept.compile(source.encode(), format="pdf", **how)


def laid_out_text(source: str) -> str:
    """Return the text of WeasyPrint's line boxes, page by page."""
    from weasyprint import HTML
    from weasyprint.formatting_structure.boxes import LineBox, TextBox

    lines = []
    for page in HTML(string=source).render().pages:
        for box in page._page_box.descendants():
            if isinstance(box, LineBox):
                lines.append("".join(b.text for b in box.descendants() if isinstance(b, TextBox)))
    return "\n".join(lines)


def make_folder(engine: str, sources: Path, out: Path) -> int:
    """Compile every source of a folder; return how many."""
    make = compiler(engine)
    out.mkdir(parents=True, exist_ok=True)
    found = sorted(sources.glob("*" + SUFFIX[engine]))
    for path in found:
        (out / f"{path.stem}.pdf").write_bytes(make(path.read_text(encoding="utf-8")))
    return len(found)


if __name__ == "__main__":
    sys.exit(0 if make_folder(sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])) else 1)

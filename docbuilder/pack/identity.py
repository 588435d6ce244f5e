"""Ids of packs and documents: opaque, short, the same for the same inputs.

An id holds no patient data. It is a digest of everything that shapes the pack, so
the same inputs and versions give the same id, and any change gives another.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from functools import cache
from importlib.metadata import version
from pathlib import Path
from unicodedata import unidata_version
from zlib import ZLIB_RUNTIME_VERSION

from docbuilder.model.prescription import DocumentKind

__all__ = [
    "document_id", "file_digest", "file_name", "folder_digest", "folder_name", "libraries",
    "pack_id",
]  # fmt: skip

_CROCKFORD = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_ID_LENGTH = 10
_SHAPING = (
    "babel", "fontpkg-source-sans-3", "jinja2", "manimgx-fonts", "markdown", "pillow",
    "reportlab", "segno", "uharfbuzz",
)  # fmt: skip
_LETTER: dict[DocumentKind, str] = {
    "handout": "H",
    "consent": "C",
    "diary": "D",
    "checklist": "K",
}


def pack_id(parts: Iterable[str]) -> str:
    """Return the pack's id: ten characters of Crockford's base 32, 50 bits of SHA-256.

    Args:
        parts: Everything that shapes the pack: digests and version strings.

    >>> pack_id(["a", "b"]) == pack_id(["a", "b"])
    True
    >>> pack_id(["ab"]) == pack_id(["a", "b"])
    False
    """
    digest = hashlib.sha256()
    for part in parts:
        data = part.encode()
        digest.update(len(data).to_bytes(4, "big") + data)  # length first: no two lists collide
    number = int.from_bytes(digest.digest()[:8], "big") >> (64 - 5 * _ID_LENGTH)
    return "".join(_CROCKFORD[number >> (5 * place) & 31] for place in reversed(range(_ID_LENGTH)))


def document_id(pack: str, kind: DocumentKind, languages: tuple[str, ...]) -> str:
    """Return the id printed on each page, in the QR code's alphanumeric set.

    >>> document_id("7QX4M2KD9P", "consent", ("ar", "en"))
    'C-7QX4M-2KD9P-AR.EN'
    """
    tags = ".".join(tag.upper() for tag in languages)
    return f"{_LETTER[kind]}-{pack[:5]}-{pack[5:]}-{tags}"


def file_name(pack: str, kind: DocumentKind, languages: tuple[str, ...]) -> str:
    """Return the PDF's file name: kind, languages and pack id, never a name.

    >>> file_name("7QX4M2KD9P", "consent", ("ar", "en"))
    'consent_ar+en_7QX4M2KD9P.pdf'
    """
    return f"{kind}_{'+'.join(languages)}_{pack}.pdf"


def folder_name(pack: str) -> str:
    """Return the name of the pack's folder.

    >>> folder_name("7QX4M2KD9P")
    'pack_7QX4M2KD9P'
    """
    return f"pack_{pack}"


def file_digest(path: Path) -> str:
    """Return the SHA-256 of a file, in hex."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


@cache
def libraries() -> str:
    """Return the libraries that shape the bytes of a pack, with their versions.

    After an upgrade a pack gets another id, so that `batch` does not keep the old one.
    The Chinese and Korean fonts are left out, for an extra that is there or not changes no
    other pack; a font file that is not the one we know is refused anyway.
    """
    found = [f"{name} {version(name)}" for name in _SHAPING]
    # Unicode's tables decide on directions, and deflate on every stream.
    found += [f"unicode {unidata_version}", f"zlib {ZLIB_RUNTIME_VERSION}"]
    return ", ".join(found)


def folder_digest(folder: Path, suffixes: tuple[str, ...]) -> str:
    """Return a digest of all files below *folder* that end in one of *suffixes*."""
    digest = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.name.endswith(suffixes):
            digest.update(path.relative_to(folder).as_posix().encode() + b"\0")
            digest.update(bytes.fromhex(file_digest(path)))
    return digest.hexdigest()

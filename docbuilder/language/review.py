"""Signed review of translations: who read which words, and whether they still stand.

A translation is a draft until a named reviewer signs it. A signature covers the
digest of each message with its translation, so it lapses by itself, for just the
messages concerned, when either is changed. Signatures are kept beside the catalogue
in ``locales/<tag>/reviewed.yaml``, in the project or in the clinic's folder.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Literal, get_args

import yaml

from docbuilder.caching import kept, version_of
from docbuilder.errors import InputFault, Issue, Place
from docbuilder.language.catalogue import Entry, Key
from docbuilder.paths import shipped

__all__ = [
    "MessageSet", "ReviewCount", "Signature", "State", "in_set", "key_digest",
    "read_signatures", "review_files", "review_state", "sign", "standing_signatures",
    "text_digest", "write_signatures",
]  # fmt: skip

State = Literal["draft", "human translated", "revised", "back-translated"]
"""Rising: each state includes the one before it (ISO 17100 asks for "revised")."""
MessageSet = Literal["safety", "consent", "all"]
ReviewKind = Literal["linguistic", "clinical"]

_STATES: tuple[State, ...] = get_args(State)


@dataclass(frozen=True, slots=True)
class Signature:
    """One reviewer's sign-off for a set of messages."""

    message_set: MessageSet
    state: State
    kind: ReviewKind
    by: str
    role: str
    on: date
    digests: Mapping[str, str] = field(default_factory=dict)
    """Digest of the key to digest of the whole, at the time of signing."""


@dataclass(frozen=True, slots=True)
class ReviewCount:
    """How far the messages that a document used have been reviewed."""

    total: int
    reviewed: int
    lapsed: int
    """Signed once, changed since; they count as unreviewed."""
    lowest: State
    """State of the least reviewed message."""

    @property
    def unreviewed(self) -> int:
        """Messages without a standing signature, lapsed ones included."""
        return self.total - self.reviewed

    @property
    def complete(self) -> bool:
        """Every message is signed as it stands."""
        return self.unreviewed == 0


def _digest(parts: Iterable[str]) -> str:
    digest = hashlib.sha256()
    for part in parts:
        data = unicodedata.normalize("NFC", part).encode()
        digest.update(len(data).to_bytes(4, "big") + data)
    return digest.hexdigest()[:32]


def key_digest(key: Key) -> str:
    """Return the digest of (context, msgid): 128 bits of SHA-256, in hex."""
    return _digest(key)


def text_digest(entry: Entry) -> str:
    """Return the digest of a message with its translation; any change changes it."""
    return _digest((entry.context, entry.msgid, entry.plural, *entry.texts))


def in_set(key: Key, message_set: MessageSet) -> bool:
    """Tell whether a message belongs to a set, by its context."""
    return message_set == "all" or key[0] == message_set


def sign(
    entries: Mapping[Key, Entry],
    message_set: MessageSet,
    state: State,
    by: str,
    role: str,
    on: date,
    kind: ReviewKind = "linguistic",
) -> Signature:
    """Return a signature over every translation of a set as it stands.

    Raises:
        ValueError: No name, or "draft": a signature says that somebody reviewed.
    """
    if not by.strip() or state == "draft":
        raise ValueError("a signature needs a name and a state above draft")
    digests = {
        key_digest(key): text_digest(entry)
        for key, entry in entries.items()
        if in_set(key, message_set)
    }
    return Signature(message_set, state, kind, by, role, on, dict(sorted(digests.items())))


def review_state(
    entries: Mapping[Key, Entry], signatures: Iterable[Signature], used: Iterable[Key]
) -> ReviewCount:
    """Return how far the *used* messages have been reviewed.

    Only linguistic signatures count: a clinical reader vouches for the sense of the
    text, not for the translation. A message without a translation is a draft.
    """
    standing = [signature for signature in signatures if signature.kind == "linguistic"]
    total = reviewed = lapsed = 0
    lowest = len(_STATES) - 1
    for key in used:
        total += 1
        digest, entry = key_digest(key), entries.get(key)
        now = text_digest(entry) if entry else ""
        ranks = [_STATES.index(one.state) for one in standing if one.digests.get(digest) == now]
        rank = max(ranks, default=0)
        reviewed += rank > 0
        lapsed += rank == 0 and any(digest in one.digests for one in standing)
        lowest = min(lowest, rank)
    return ReviewCount(total, reviewed, lapsed, _STATES[lowest if total else 0])


def review_files(tag: str, clinic_folder: Path | None = None) -> tuple[Path, ...]:
    """Return where the signatures of a language are kept: ours, then the clinic's."""
    folders = [shipped("locales")]
    if clinic_folder is not None:
        folders.append(clinic_folder / "locales")
    return tuple(folder / tag / "reviewed.yaml" for folder in folders)


def read_signatures(path: Path) -> tuple[Signature, ...]:
    """Read the signatures of one file; none if it does not exist.

    Raises:
        InputFault: The file is damaged; a signature is never read half.
    """
    return _signatures(path, version_of(path)) if path.is_file() else ()


@kept(64)
def _signatures(path: Path, _version: str) -> tuple[Signature, ...]:
    try:
        rows = yaml.safe_load(path.read_text(encoding="utf-8"))["signatures"]
        return tuple(_signature(row) for row in rows)
    except (yaml.YAMLError, KeyError, TypeError, ValueError, AttributeError) as fault:
        issue = Issue(
            Place(str(path)), "signatures", type(fault).__name__, "as `translations sign` writes it"
        )
        raise InputFault([issue]) from fault


def standing_signatures(tag: str, clinic_folder: Path | None = None) -> tuple[Signature, ...]:
    """Return the signatures of a language, ours and the clinic's.

    Raises:
        InputFault: A file of signatures is damaged.
    """
    return tuple(one for path in review_files(tag, clinic_folder) for one in read_signatures(path))


def _signature(row: Mapping[str, object]) -> Signature:
    one = Signature(
        message_set=row["set"],  # type: ignore[arg-type]
        state=row["state"],  # type: ignore[arg-type]
        kind=row["kind"],  # type: ignore[arg-type]
        by=str(row["by"]),
        role=str(row["role"]),
        on=row["date"],  # type: ignore[arg-type]
        digests=dict(row["digests"]),  # type: ignore[call-overload]
    )
    known = (get_args(MessageSet), _STATES[1:], get_args(ReviewKind))
    given = (one.message_set, one.state, one.kind)
    if not isinstance(one.on, date) or any(a not in b for a, b in zip(given, known, strict=True)):
        raise ValueError("unknown word or date in a signature")
    return one


def write_signatures(path: Path, signatures: Iterable[Signature]) -> None:
    """Write all signatures of one file, oldest first, in a form that diffs well."""
    rows = [
        {
            "set": one.message_set, "state": one.state, "kind": one.kind, "by": one.by,
            "role": one.role, "date": one.on, "digests": dict(one.digests),
        }
        for one in signatures
    ]  # fmt: skip
    path.parent.mkdir(parents=True, exist_ok=True)
    text = yaml.safe_dump({"signatures": rows}, allow_unicode=True, sort_keys=False)
    path.write_text("# Written by `docbuilder translations sign`.\n" + text, encoding="utf-8")

"""One translated text beside its English source, as the checks see it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from gettext import c2py

from docbuilder.caching import kept
from docbuilder.language.registry import Language

__all__ = ["Fault", "Pair", "Rule", "counts_of_form"]


@dataclass(frozen=True, slots=True)
class Pair:
    """A translation, or one plural form of it, and the English that it must say."""

    language: Language
    context: str
    source: str
    """The English text that this form is measured against."""
    text: str
    counts: tuple[int, ...] = ()
    """For a plural form: the counts up to 200 that it prints for; else empty."""

    @property
    def single_count(self) -> bool:
        """The form prints for one count only, so it may spell the number or leave it out."""
        return len(self.counts) == 1


@dataclass(frozen=True, slots=True)
class Fault:
    """What a rule found in a pair, what it allows, and how to mend it."""

    found: str
    allowed: str
    hint: str = ""


Rule = Callable[[Pair], Iterator[Fault]]


@kept(256)
def counts_of_form(plural_rule: str, form: int) -> tuple[int, ...]:
    """Return the counts from 0 to 200 for which a Plural-Forms rule picks *form*.

    >>> counts_of_form("(n != 1)", 0)
    (1,)
    """
    rule = c2py(plural_rule)
    return tuple(count for count in range(201) if rule(count) == form)

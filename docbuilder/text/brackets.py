"""Paired brackets of Unicode 15.0 (BidiBrackets.txt), as rule N0 of Annex #9 needs them.

The test compares these tables with the file itself.
"""

from __future__ import annotations

__all__ = ["CANONICAL", "CLOSING", "OPENING"]

_PAIRS = (
    "()[]{}༺༻༼༽᚛᚜⁅⁆⁽⁾₍₎⌈⌉⌊⌋\u2329\u232a❨❩❪❫❬❭❮❯❰❱❲❳❴❵⟅⟆⟦⟧⟨⟩⟪⟫⟬⟭⟮⟯"
    "⦃⦄⦅⦆⦇⦈⦉⦊⦋⦌⦍⦐⦏⦎⦑⦒⦓⦔⦕⦖⦗⦘⧘⧙⧚⧛⧼⧽⸢⸣⸤⸥⸦⸧⸨⸩⹕⹖⹗⹘⹙⹚⹛⹜"
    "〈〉《》「」『』【】〔〕〖〗〘〙〚〛﹙﹚﹛﹜﹝﹞（）［］｛｝｟｠｢｣"
)
OPENING = dict(zip(_PAIRS[::2], _PAIRS[1::2], strict=True))
"""Each opening bracket and its closing one."""
CLOSING = frozenset(OPENING.values())
CANONICAL = {"\u2329": "\u3008", "\u232a": "\u3009"}
"""Brackets that pair with their canonical equivalent."""

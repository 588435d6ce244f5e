"""Reads a PDF's structure tree and marked content back, by pikepdf alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from io import BytesIO

import pikepdf


@dataclass
class Node:
    tag: str
    text: str = ""
    alt: str = ""
    language: str = ""
    scope: str = ""
    kids: list[Node] = field(default_factory=list)
    pages: set[int] = field(default_factory=set)

    def walk(self) -> Iterator[Node]:
        yield self
        for kid in self.kids:
            yield from kid.walk()

    def of(self, tag: str) -> list[Node]:
        return [node for node in self.walk() if node.tag == tag]

    @property
    def all_text(self) -> str:
        return self.text


def _to_unicode(font: pikepdf.Dictionary) -> dict[int, str]:
    codes: dict[int, str] = {}
    if "/ToUnicode" not in font:
        return codes
    for line in font.ToUnicode.read_bytes().decode("ascii").splitlines():
        parts = line.split()
        if len(parts) == 2 and parts[0].startswith("<") and parts[1].startswith("<"):
            code = int(parts[0][1:-1], 16)
            codes[code] = bytes.fromhex(parts[1][1:-1]).decode("utf-16-be")
    return codes


def marked_text(page: pikepdf.Page) -> dict[int, str]:
    """Return the text of each marked-content id, by the fonts' ToUnicode maps."""
    fonts = {name: _to_unicode(font) for name, font in page.resources.Font.items()}
    texts: dict[int, str] = {}
    mcid, codes, actual = None, {}, None
    for operands, operator in pikepdf.parse_content_stream(page):
        match str(operator):
            case "BDC" if operands[0] != "/Artifact":
                mcid = int(operands[1].MCID)
                actual = operands[1].get("/ActualText")
                texts[mcid] = str(actual) if actual is not None else ""
            case "EMC":
                mcid = None
            case "Tf":
                codes = fonts[str(operands[0])]
            case "Tj" | "TJ" if mcid is not None and actual is None:
                shown = operands[0] if str(operator) == "TJ" else operands
                for part in shown:
                    if isinstance(part, pikepdf.String):
                        raw = bytes(part)
                        texts[mcid] += "".join(
                            codes.get(int.from_bytes(raw[i : i + 2], "big"), "\ufffd")
                            for i in range(0, len(raw), 2)
                        )
    return texts


def read_structure(pdf: bytes) -> Node:
    """Return the tree below StructTreeRoot; text stands where its marks are."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        pages = {page.objgen: number for number, page in enumerate(opened.pages)}
        texts = [marked_text(page) for page in opened.pages]

        def read(element: pikepdf.Dictionary) -> Node:
            node = Node(
                str(element.S)[1:],
                alt=str(element.get("/Alt", "")),
                language=str(element.get("/Lang", "")),
            )
            attributes = element.get("/A", {})
            if "/Scope" in attributes:
                node.scope = str(attributes.Scope)[1:]
            home = element.get("/Pg")
            kids = element.get("/K", pikepdf.Array())
            for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
                if isinstance(kid, int):
                    number = pages[home.objgen]
                    node.text += texts[number][kid]
                    node.pages.add(number)
                elif "/MCID" in kid:
                    number = pages[kid.Pg.objgen]
                    node.text += texts[number][int(kid.MCID)]
                    node.pages.add(number)
                elif "/S" in kid:
                    below = read(kid)
                    node.kids.append(below)
                    node.text += below.text
                    node.pages |= below.pages
            return node

        tree = opened.Root.get("/StructTreeRoot")
        return read(tree.K) if tree is not None else Node("")


def reading_order(pdf: bytes) -> list[list[int]]:
    """Return each page's marked-content ids in the order in which the tree lists them."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        pages = {page.objgen: number for number, page in enumerate(opened.pages)}
        listed: list[list[int]] = [[] for _ in pages]

        def walk(element: pikepdf.Dictionary) -> None:
            home = element.get("/Pg")
            kids = element.get("/K", pikepdf.Array())
            for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
                if isinstance(kid, int):
                    listed[pages[home.objgen]].append(kid)
                elif "/MCID" in kid:
                    listed[pages[kid.Pg.objgen]].append(int(kid.MCID))
                elif "/S" in kid:
                    walk(kid)

        walk(opened.Root.StructTreeRoot.K)
        return listed


def painting_order(pdf: bytes) -> list[list[int]]:
    """Return each page's marked-content ids in the order in which they are painted."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        return [
            [
                int(operands[1].MCID)
                for operands, operator in pikepdf.parse_content_stream(page, "BDC")
                if operands[0] != "/Artifact"
            ]
            for page in opened.pages
        ]

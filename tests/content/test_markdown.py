from __future__ import annotations

from docbuilder.content.markdown import parse_blocks
from docbuilder.content.tokens import TokenStore
from docbuilder.document.blocks import Paragraph


def test_no_space_follows_a_full_width_mark() -> None:
    """Templates put a space between sentences; Chinese marks bring their own."""
    (block,) = parse_blocks("请停用。 **请拨打** （急诊）： 120。 好", TokenStore())
    assert isinstance(block, Paragraph)
    assert "".join(run.text for run in block.runs) == "请停用。请拨打 （急诊）：120。好"
    assert [run.text for run in block.runs if run.bold] == ["请拨打"]

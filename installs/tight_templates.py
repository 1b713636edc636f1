"""Templates are set for who reads them, one element a line; what is rendered is set tight.

A line break and the indent behind it draw nothing beside a block, and one space elsewhere. They are taken out
as a template is read, for three reasons: the paper engine counts a break at a block's edge into the width of
a column, so that a paper's words would stand elsewhere; ``td:empty`` of the style sheets holds no break; and
the indent would go over a phone's line too. Inside ``pre`` nothing is touched, nor in what is put in.
"""

from __future__ import annotations

import re

from django.template import Origin
from django.template.loaders import filesystem

BLOCKS = (
    "article|aside|blockquote|body|br|caption|dd|details|div|dl|dt|fieldset|figcaption|figure|footer|form|h[1-6]"
    "|head|header|hr|html|legend|li|link|main|meta|nav|ol|p|section|summary|table|tbody|td|template|tfoot|th"
    "|thead|title|tr|ul"
)
TAG = rf'</?(?:{BLOCKS})\b(?:\{{%.*?%\}}|\{{\{{.*?\}}\}}|"[^"]*"|[^">])*>'
BEFORE_A_BLOCK = re.compile(rf"\s*\n\s*(?=</?(?:{BLOCKS})\b)")
AFTER_A_BLOCK = re.compile(rf"({TAG})\n\s*")
BEFORE_THE_END_OF_A_TAG = re.compile(r"\s*\n\s*(?=/?>)")
BREAK = re.compile(r"\s*\n\s*")
PREFORMATTED = re.compile(r"(<pre\b.*?</pre>)", re.DOTALL)


def tight(source: str) -> str:
    parts = PREFORMATTED.split(source)
    return "".join(part if place % 2 else _tight(part) for place, part in enumerate(parts))


def _tight(source: str) -> str:
    tight = BEFORE_A_BLOCK.sub("", BEFORE_THE_END_OF_A_TAG.sub("", source))
    return BREAK.sub(" ", AFTER_A_BLOCK.sub(r"\1", tight))


class Loader(filesystem.Loader):
    def get_contents(self, origin: Origin) -> str:
        return tight(super().get_contents(origin))

"""A mail's plain text as a small page, for programs that show one. It says the same and no more.

Nothing is loaded from anywhere: no picture, no script, no sign to whoever sent it that it was read.
"""

import re
from html import escape

_LINK = re.compile(r"https?://[^\s<>\"']+")
_PAGE = """<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>{title}</title></head>
<body style="margin:0;padding:24px;background:#f1f3ee;color:#14201c;font:17px/1.5 system-ui,sans-serif">
<div style="max-width:560px;margin:0 auto;padding:24px;background:#ffffff;border:1px solid #d3d9d3">
{paragraphs}
</div>{foot}
</body>
</html>
"""
_FOOT = "max-width:560px;margin:16px auto 0;font-size:14px;color:#4a5752;overflow-wrap:anywhere"
_BUTTON = "display:inline-block;padding:12px 18px;background:#0b4a6f;color:#ffffff;font-weight:600"


def page_of(subject: str, body: str, foot: str = "") -> str:
    """The page of a mail. Blank lines part paragraphs; a link that stands alone becomes a button.

    Every address is shown in full as well: a reader sees where it leads before they follow it. ``foot`` stands
    below, smaller: how to stop such mails, or why that cannot be.
    """
    paragraphs = [part.strip() for part in re.split(r"\n\s*\n", body.strip())]
    shown = "\n".join(_paragraph(part) for part in paragraphs if part)
    below = f'\n<div style="{_FOOT}">{_with_links(foot)}</div>' if foot else ""
    return _PAGE.format(title=escape(subject), paragraphs=shown, foot=below)


def _paragraph(text: str) -> str:
    if _LINK.fullmatch(text):
        address = escape(text)
        return (
            f'<p><a href="{address}" style="{_BUTTON}">Open the link</a></p>'
            f'<p style="font-size:14px;overflow-wrap:anywhere">{address}</p>'
        )
    return f'<p dir="auto">{_with_links(text)}</p>'


def _with_links(text: str) -> str:
    shown, last = "", 0
    for found in _LINK.finditer(text):
        address = escape(found.group())
        shown += _lines(text[last : found.start()]) + f'<a href="{address}">{address}</a>'
        last = found.end()
    return shown + _lines(text[last:])


def _lines(text: str) -> str:
    return escape(text).replace("\n", "<br>")

"""Languages people read: tags of BCP 47 (RFC 5646) in one written form."""

import re

from api.domain.errors import Invalid

DEFAULT_LANGUAGE = "en-GB"
MAX_LANGUAGE = 35
"""Characters. RFC 5646, section 4.4.1, asks for room for that many."""

# What the pages' number and date formats take: a language of two or three letters, then perhaps
# script, region, variants and the "u" extension (digits, hour cycle). No private use, no extended
# languages, no whole tags registered before RFC 4646: a browser refuses those.
_TAG = re.compile(
    r"(?P<language>[a-z]{2,3})"
    r"(?:-(?P<script>[a-z]{4}))?"
    r"(?:-(?P<region>[a-z]{2}|[0-9]{3}))?"
    r"(?P<variants>(?:-(?:[a-z0-9]{5,8}|[0-9][a-z0-9]{3}))*)"
    r"(?P<extension>-u(?:-[a-z0-9]{3,8})*(?:-[a-z0-9][a-z](?:-[a-z0-9]{3,8})*)*)?"
)
_KEY = re.compile(r"-([a-z0-9][a-z])(?=-|$)")
_NOT_ONE = "This is no language tag. Examples: en-GB, de, pt-BR, ar-EG, ar-EG-u-nu-latn."


def normal_language(written: str) -> str:
    """``written`` in its one form: ``DE-at`` becomes ``de-AT``. Raises ``Invalid`` for what is no tag.

    Well-formed is enough, as RFC 5646, section 2.2.9, has it: no list of all languages is kept here.
    """
    tag = written.strip()
    found = _TAG.fullmatch(tag.lower()) if tag.isascii() and len(tag) <= MAX_LANGUAGE else None
    if found is None:
        raise Invalid(_NOT_ONE, code="invalid")
    variants = found["variants"].split("-")[1:]
    extension = found["extension"] or ""
    if extension == "-u" or len(set(variants)) != len(variants) or _says_twice(extension):
        raise Invalid(_NOT_ONE, code="invalid")
    parts = [found["language"], found["script"] and found["script"].title()]
    parts += [found["region"] and found["region"].upper(), *variants]
    return "-".join(part for part in parts if part) + extension


def _says_twice(extension: str) -> bool:
    keys = _KEY.findall(extension)
    return len(set(keys)) != len(keys)


def reads_english(language: str) -> bool:
    """Whether pictures with English words and numbers written on them suit this reader."""
    return language.partition("-")[0] == "en"

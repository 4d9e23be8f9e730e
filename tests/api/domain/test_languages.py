"""Language tags: well-formed by RFC 5646, in one written form, and such that a browser takes them."""

import pytest

from api.domain.errors import Invalid
from api.domain.languages import normal_language, reads_english


@pytest.mark.parametrize(
    ("written", "normal"),
    [
        ("de", "de"),
        (" EN-gb ", "en-GB"),
        ("pt-br", "pt-BR"),
        ("ZH-hant-tw", "zh-Hant-TW"),
        ("es-419", "es-419"),
        ("sl-Rozaj-1994", "sl-rozaj-1994"),
        ("ar-EG-u-nu-latn", "ar-EG-u-nu-latn"),
        ("de-u-co-phonebk-hc-h23", "de-u-co-phonebk-hc-h23"),
    ],
)
def test_a_tag_has_one_written_form(written: str, normal: str) -> None:
    assert normal_language(written) == normal
    assert normal_language(normal) == normal


@pytest.mark.parametrize(
    "written",
    [
        "",
        "d",
        "german",
        "de_AT",
        "de-",
        "de--AT",
        "de-AT-AT",
        "de-AUT",
        "de-u",
        "de-u-nu-latn-nu-arab",
        "sl-rozaj-rozaj",
        "x-private",
        "de-x-private",
        "i-klingon",
        "zh-cmn-CN",
        "dé",
        "de-AT\n-u",
        "en-" + "abcde-" * 8 + "abcde",
    ],
)
def test_what_is_no_tag_is_refused_in_words(written: str) -> None:
    with pytest.raises(Invalid, match="Examples: en-GB"):
        normal_language(written)


@pytest.mark.parametrize(
    ("language", "english"), [("en", True), ("en-IE", True), ("enm", False), ("de", False)]
)
def test_who_reads_english(language: str, english: bool) -> None:  # noqa: FBT001 - a column of cases
    assert reads_english(language) is english

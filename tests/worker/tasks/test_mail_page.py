"""A mail's page says what its text says, loads nothing, and takes no markup from anybody's name."""

from html.parser import HTMLParser

from worker.tasks.mail_page import page_of

BODY = (
    "Hello Ana,\n\n"
    "open this link and press the button on the page:\n\n"
    "https://fairlead.test/sign-in#token=a-b_c\n\n"
    "It works once. See https://fairlead.test/help?a=1&b=2 too.\nThank you.\n"
)


class Reader(HTMLParser):
    """Collects the words, the links and everything that would be loaded."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.links: list[str] = []
        self.tags: list[str] = []
        self.loaded: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        found = dict(attrs)
        if tag == "a":
            self.links.append(found["href"] or "")
        self.loaded += [name for name in found if name in {"src", "srcset", "background", "onload"}]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_the_page_has_every_word_and_every_link_of_the_text() -> None:
    read = Reader(page_of("Your link", BODY))
    words = " ".join(" ".join(read.words).split())
    for line in filter(None, BODY.splitlines()):
        assert " ".join(line.split()) in words.replace(" .", ".")
    assert read.links == [
        "https://fairlead.test/sign-in#token=a-b_c",
        "https://fairlead.test/help?a=1&b=2",
    ]


def test_nothing_is_loaded_from_anywhere() -> None:
    read = Reader(page_of("Your link", BODY))
    assert read.loaded == []
    assert not set(read.tags) & {"img", "script", "link", "iframe", "style", "form"}


def test_a_name_is_words_and_never_markup() -> None:
    hostile = '<script>alert(1)</script> & "Söhne" <img src=x>'
    read = Reader(page_of(hostile, f"Hello {hostile},\n\nwelcome.\n"))
    assert not set(read.tags) & {"script", "img"}
    assert hostile in " ".join(read.words)


def test_a_link_that_only_looks_like_one_is_left_as_words() -> None:
    read = Reader(page_of("x", "javascript:alert(1)\n\ndata:text/html,x\n"))
    assert read.links == []

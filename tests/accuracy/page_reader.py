"""Reads a report's page as a machine would, and refuses one that is not whole."""

from html.parser import HTMLParser

VOID = {"meta", "img", "br", "hr", "link", "input"}


class PageReader(HTMLParser):
    """Refuses tags that do not close in order and pictures without words; keeps the rest."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.text: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.sources: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in VOID:
            self.open.append(tag)
        named = dict(attrs)
        assert tag != "img" or named.get("alt"), "a picture without words"
        self.ids.extend(value for key, value in attrs if key == "id" and value)
        self.links.extend(value for key, value in attrs if key == "href" and value)
        self.sources.extend(value for key, value in attrs if key == "src" and value)

    def handle_endtag(self, tag: str) -> None:
        opened = self.open.pop()
        assert opened == tag, f"<{opened}> is closed by </{tag}>"

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def read_page(page: str) -> PageReader:
    """The page, read. Raises ``AssertionError`` where it is not whole."""
    reader = PageReader()
    reader.feed(page)
    reader.close()
    assert reader.open == []
    return reader

"""What can be read on the pages of a PDF, and how they look."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np
import numpy.typing as npt
import pypdfium2


@contextmanager
def opened(document: bytes) -> Iterator[Any]:
    """A PDF, open for the block."""
    papers = pypdfium2.PdfDocument(document)
    try:
        yield papers
    finally:
        papers.close()


def pages_of(document: bytes) -> list[str]:
    """The text of each page, in reading order."""
    with opened(document) as papers:
        return [page.get_textpage().get_text_bounded() for page in papers]


def lines_of(document: bytes) -> list[tuple[float, float]]:
    """Where each piece of text ends at the right, beside the page's width; points."""
    found = []
    with opened(document) as papers:
        for page in papers:
            text = page.get_textpage()
            ends = (text.get_rect(index)[2] for index in range(text.count_rects()))
            found += [(end, page.get_width()) for end in ends]
    return found


def pixels_of(document: bytes, page: int = 0) -> npt.NDArray[np.uint8]:
    """A page as a picture, 72 dots to the inch."""
    with opened(document) as papers:
        drawn: npt.NDArray[np.uint8] = papers[page].render(scale=1).to_numpy().copy()
        return drawn


def images_on(document: bytes) -> int:
    """How many of its objects are pictures made of pixels, those inside others counted too."""
    with opened(document) as papers:
        return sum(
            one.type == pypdfium2.raw.FPDF_PAGEOBJ_IMAGE
            for page in papers
            for one in page.get_objects(max_depth=15)
        )

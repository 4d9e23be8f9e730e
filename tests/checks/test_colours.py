"""The pages' colours keep their contrast, on a light ground and on a dark one."""

import re
from pathlib import Path

import pytest

STYLES = (Path(__file__).resolve().parents[2] / "web" / "src" / "look" / "styles.css").read_text()
LEAST = 7.0
"""For key texts, which are read in sunlight: level AAA of WCAG 2.2, success criterion 1.4.6."""
TEXTS = ("ink", "ink-soft", "accent", "good", "watch", "outside", "unsure")
PAIRS = [(text, ground) for text in TEXTS for ground in ("paper", "ground")]
PAIRS += [("on-accent", "accent")]
PAIRS += [("ink", f"{name}-wash") for name in ("accent", "good", "watch", "outside", "unsure")]


def luminance(colour: str) -> float:
    """WCAG 2.2, "relative luminance"."""
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in shares
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, "contrast ratio"."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def colours(rule: str) -> dict[str, str]:
    """Those of the first rule that begins with ``rule``."""
    body = STYLES[STYLES.index(rule) :].split("{", 1)[1].split("}", 1)[0]
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", body))


LIGHT = colours(":root,\n.light-ground {")
DARK = LIGHT | colours("  :root {\n    --ink: #eef2ee;")


def test_the_formula_gives_the_guidelines_own_numbers() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    # Understanding success criterion 1.4.3: #777777 on white is 4.47 (rounded down), which does not pass 4.5.
    assert 4.47 <= contrast("#777777", "#ffffff") < 4.5


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_key_texts_are_read_in_sunlight(scheme: dict[str, str], text: str, ground: str) -> None:
    assert contrast(scheme[text], scheme[ground]) >= LEAST


def test_the_dark_has_a_colour_of_its_own_for_all_but_the_stage() -> None:
    assert set(LIGHT) - set(colours("  :root {\n    --ink: #eef2ee;")) == {"stage"}

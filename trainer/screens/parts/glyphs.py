"""Shapes of digits made of half blocks: small ones for coming throws, and ones as large as the room they get."""

from __future__ import annotations

from functools import lru_cache

SMALL: dict[str, tuple[str, ...]] = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", " ##", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", " # ", " # "),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    "a": ("###", "# #", "###", "# #", "# #"),
    "b": ("## ", "# #", "## ", "# #", "## "),
    "c": ("###", "#  ", "#  ", "#  ", "###"),
    "d": ("## ", "# #", "# #", "# #", "## "),
    "e": ("###", "#  ", "## ", "#  ", "###"),
    "f": ("###", "#  ", "## ", "#  ", "#  "),
    "g": ("###", "#  ", "# #", "# #", "###"),
    "h": ("# #", "# #", "###", "# #", "# #"),
    "x": ("   ", "# #", " # ", "# #", "   "),
    "p": ("   ", "## ", "# #", "## ", "#  "),
    "[": ("## ", "#  ", "#  ", "#  ", "## "),
    "]": (" ##", "  #", "  #", "  #", " ##"),
    "╲": ("#  ", "#  ", " # ", "  #", "  #"),
    "╱": ("  #", "  #", " # ", "#  ", "#  "),
    "∩": (" # ", "# #", "# #", "# #", "# #"),
    "▁": ("   ", "   ", "   ", "   ", "###"),
    "»": ("#  ", " # ", "  #", " # ", "#  "),
    "·": ("   ", "   ", " # ", "   ", "   "),
    "-": ("   ", "   ", "###", "   ", "   "),
}
"""Three pixels wide, five high. A character that is not here is shown as it is, in the middle row."""

SMALL_ROWS = 3

CAPITALS: dict[str, tuple[str, ...]] = {
    "A": (" ## ", "#  #", "####", "#  #", "#  #"),
    "B": ("### ", "#  #", "### ", "#  #", "### "),
    "C": (" ###", "#   ", "#   ", "#   ", " ###"),
    "D": ("### ", "#  #", "#  #", "#  #", "### "),
    "E": ("###", "#  ", "## ", "#  ", "###"),
    "F": ("###", "#  ", "## ", "#  ", "#  "),
    "G": (" ###", "#   ", "# ##", "#  #", " ###"),
    "H": ("#  #", "#  #", "####", "#  #", "#  #"),
    "I": ("#", "#", "#", "#", "#"),
    "J": ("  #", "  #", "  #", "# #", " # "),
    "K": ("#  #", "# # ", "##  ", "# # ", "#  #"),
    "L": ("#  ", "#  ", "#  ", "#  ", "###"),
    "M": ("#   #", "## ##", "# # #", "#   #", "#   #"),
    "N": ("#   #", "##  #", "# # #", "#  ##", "#   #"),
    "O": (" ## ", "#  #", "#  #", "#  #", " ## "),
    "P": ("### ", "#  #", "### ", "#   ", "#   "),
    "Q": (" ## ", "#  #", "#  #", "# ##", " ###"),
    "R": ("### ", "#  #", "### ", "# # ", "#  #"),
    "S": (" ###", "#   ", " ## ", "   #", "### "),
    "T": ("###", " # ", " # ", " # ", " # "),
    "U": ("#  #", "#  #", "#  #", "#  #", " ## "),
    "V": ("# #", "# #", "# #", "# #", " # "),
    "W": ("#   #", "#   #", "# # #", "## ##", "#   #"),
    "X": ("# #", "# #", " # ", "# #", "# #"),
    "Y": ("# #", "# #", " # ", " # ", " # "),
    "Z": ("####", "   #", " ## ", "#   ", "####"),
    "-": ("  ", "  ", "##", "  ", "  "),
    " ": ("  ", "  ", "  ", "  ", "  "),
}
"""Letters for words to be read from afar: five high, as wide as each needs."""

CAPITAL_PIXELS = 5

SEGMENTS = {
    "0": "abcdef", "1": "bc", "2": "abdeg", "3": "abcdg", "4": "bcfg",
    "5": "acdfg", "6": "acdefg", "7": "abc", "8": "abcdefg", "9": "abcdfg", "-": "g",
}  # fmt: skip
"""The strokes of a digit: a top, b and c right, d bottom, e and f left, g middle."""

HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


@lru_cache(maxsize=256)
def small_rows(text: str) -> tuple[str, str, str]:
    """A text in small shapes: three rows of characters, alike in length."""
    rows = ["", "", ""]
    for place, char in enumerate(text):
        gap = " " if place else ""
        shape = SMALL.get(char.lower())
        if shape is None:
            cells = ["   ", f" {char} ", "   "]
        else:
            pixels = [[mark == "#" for mark in line] for line in (*shape, "   ")]
            cells = [
                "".join(HALVES[up, down] for up, down in zip(pixels[y], pixels[y + 1], strict=True)) for y in (0, 2, 4)
            ]
        rows = [row + gap + cell for row, cell in zip(rows, cells, strict=True)]
    return rows[0], rows[1], rows[2]


def large_rows(text: str, columns: int, rows: int) -> list[str]:
    """A number in strokes, as large as fits into so many columns and rows: the rows, each `columns` wide.

    Half a row is as high as a column is wide, near enough, so a digit is drawn about three wide to five high.
    """
    if rows <= 0:
        return []
    height = rows * 2
    count = max(1, len(text))
    width = max(3, min(round(height * 0.55), (columns - (count - 1) * 2) // count))
    gap = max(1, width // 5)
    height = min(height, max(5, round(width / 0.5)))
    stroke = max(1, min(round(height / 7), width // 3))
    lines = ["" for _ in range(rows)]
    top = (rows * 2 - height) // 2
    for place, char in enumerate(text):
        pixels = [[False] * width for _ in range(rows * 2)]
        for segment in SEGMENTS.get(char, ""):
            _stroke(pixels, segment, width, height, stroke, top)
        if char == ":":
            _dots(pixels, width, height, stroke, top)
        for y in range(rows):
            cells = "".join(HALVES[pixels[2 * y][x], pixels[2 * y + 1][x]] for x in range(width))
            lines[y] += (" " * gap if place else "") + cells
    return [line[:columns].center(columns) for line in lines]


def word_rows(text: str, columns: int, rows: int) -> list[str]:
    """A word in capitals, as large as fits into so many columns and rows: the rows, each `columns` wide.

    Where not even the smallest capitals fit the word stands there as it is.
    """
    if rows <= 0:
        return []
    shapes = [CAPITALS.get(char, CAPITALS[" "]) for char in text.upper()]
    lines = [" ".join(shape[y] for shape in shapes) for y in range(CAPITAL_PIXELS)]
    size = min(columns // max(1, len(lines[0])), rows * 2 // CAPITAL_PIXELS)
    if size < 1:
        return [(text if row == rows // 2 else "")[:columns].center(columns) for row in range(rows)]
    pixels = [[mark == "#" for mark in line for _ in range(size)] for line in lines for _ in range(size)]
    blank = [False] * len(pixels[0])
    above = (rows * 2 - len(pixels)) // 4 * 2
    pixels = [*[blank] * above, *pixels, *[blank] * (rows * 2 - above - len(pixels))]
    drawn = ("".join(map(HALVES.__getitem__, zip(*pixels[2 * y : 2 * y + 2], strict=True))) for y in range(rows))
    return [line.center(columns) for line in drawn]


def _stroke(pixels: list[list[bool]], segment: str, width: int, height: int, stroke: int, top: int) -> None:
    middle = (height - stroke) // 2
    left, right = (0, stroke), (width - stroke, width)
    upper, lower = (0, middle + stroke), (middle, height)
    spans = {
        "a": ((0, width), (0, stroke)),
        "d": ((0, width), (height - stroke, height)),
        "g": ((0, width), (middle, middle + stroke)),
        "f": (left, upper),
        "b": (right, upper),
        "e": (left, lower),
        "c": (right, lower),
    }
    (x_from, x_to), (y_from, y_to) = spans[segment]
    for y in range(y_from, y_to):
        for x in range(x_from, x_to):
            pixels[top + y][x] = True


def _dots(pixels: list[list[bool]], width: int, height: int, stroke: int, top: int) -> None:
    """Two dots one above the other, between the minutes and the seconds."""
    left = (width - stroke) // 2
    for middle in (height // 4, height - height // 4 - stroke):
        for y in range(middle, middle + stroke):
            for x in range(left, left + stroke):
                pixels[top + y][x] = True

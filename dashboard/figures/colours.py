"""The palette of every picture, and what each colour means here.

Okabe M, Ito K (2008), "Color Universal Design: how to make figures and presentations that are friendly
to colorblind people": eight colours that stay apart for all common kinds of colour vision. Colour never
stands alone: hatching, place and words say the same.
"""

from typing import Final, Literal

ORANGE: Final = "#E69F00"
SKY_BLUE: Final = "#56B4E9"
BLUISH_GREEN: Final = "#009E73"
YELLOW: Final = "#F0E442"
BLUE: Final = "#0072B2"
VERMILLION: Final = "#D55E00"
REDDISH_PURPLE: Final = "#CC79A7"
BLACK: Final = "#000000"

Condition = Literal["thin", "on target", "over"]
CONDITIONS: Final[tuple[Condition, ...]] = ("thin", "on target", "over")
CONDITION_COLOUR: Final[dict[Condition, str]] = {
    "thin": VERMILLION,
    "on target": BLUISH_GREEN,
    "over": SKY_BLUE,
}
CONDITION_HATCH: Final[dict[Condition, str]] = {"thin": "/", "on target": "", "over": "."}

SYSTEM_COLOUR: Final = {"hill": REDDISH_PURPLE, "upland": ORANGE, "lowland": BLUE}
SYSTEM_SYMBOL: Final = {"hill": "triangle-up", "upland": "square", "lowland": "circle"}

INK: Final = "#1d2420"
SOFT_INK: Final = "#55605a"
LINE: Final = "#d9ddd6"
PAPER: Final = "#ffffff"

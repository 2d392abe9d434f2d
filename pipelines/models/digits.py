"""How finely figures are published."""

DIGITS = 9  # far finer than any use of them, far coarser than what the order of a sum may change

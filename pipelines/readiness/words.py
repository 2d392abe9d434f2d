"""Shares in words, rounded alike wherever a reason is given: `31 %`, `under 1 %`, `at most 4 %`."""

from __future__ import annotations

NEARLY_NOTHING = 0.005


def percent(share: float) -> str:
    """`0.314` → `31 %`; a share that is nearly nothing or nearly all is not rounded to it."""
    if 0 < share < NEARLY_NOTHING:
        return "under 1 %"
    if 1 - NEARLY_NOTHING < share < 1:
        return "over 99 %"
    return f"{100 * share:.0f} %"


def between(low: float, high: float) -> str:
    """`between 61 % and 78 %`; one figure when both ends read the same or one end is nothing or all."""
    if percent(low) == percent(high):
        return percent(low)
    if low < NEARLY_NOTHING and high <= 1 - NEARLY_NOTHING:
        return f"at most {percent(high)}"
    if high > 1 - NEARLY_NOTHING and low >= NEARLY_NOTHING:
        return f"at least {percent(low)}"
    return f"between {percent(low)} and {percent(high)}"

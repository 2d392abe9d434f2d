"""What a release would hold, worked out beforehand for the practice's own eyes; nothing is recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipelines import queries
from pipelines.queries import Reader
from pipelines.release import ReleaseError, practice
from pipelines.release.practice import GivenOut
from pipelines.settings import Settings


@dataclass(frozen=True, slots=True)
class Prospect:
    """Whether a group could be given a comparison now: how many farms in it, names of those left out with the
    reason, or `refused`, the reason why there can be none."""

    group: str
    season: int
    farms: int
    left_out: Mapping[str, str]
    refused: str = ""


@dataclass(frozen=True, slots=True)
class GroupPage:
    """Discussion groups of the season in hand; of the one chosen its prospect, and what was `made` for it."""

    groups: Sequence[str]
    chosen: Prospect | None
    made: Sequence[GivenOut] = ()


def group_page(
    reader: Reader, settings: Settings, season: int, groups: Sequence[str], asked: str | None
) -> GroupPage:
    """The page of `groups` with the one asked for, else the first."""
    if not groups:
        return GroupPage((), None)
    group = asked if asked and asked in groups else groups[0]
    return GroupPage(groups, _prospect(reader, settings, season, group), _made(settings, group))


def _made(settings: Settings, group: str) -> list[GivenOut]:
    try:
        return [one for one in practice.given_out(settings.home, None) if one.group == group]
    except ReleaseError:
        return []  # the prospect says what is wrong with the ledger


def _prospect(reader: Reader, settings: Settings, season: int, group: str) -> Prospect:
    try:
        found = practice.prepare(reader, settings, group, season)
    except ReleaseError as error:
        return Prospect(group, season, 0, {}, str(error))
    names = queries.farms(reader).set_index("code")["name"].to_dict()
    left_out = {str(names.get(farm, farm)): reason for farm, reason in found.left_out.items()}
    return Prospect(group, season, len(found.letter_of), left_out)

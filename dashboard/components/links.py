"""Addresses within the dashboard; a farm's code is the practice's own and may hold any character."""

from urllib.parse import quote


def farm(code: str, season: int | None = None) -> str:
    """Address of a farm's page."""
    return f"/farm/{quote(code, safe='')}" + (f"?season={season}" if season else "")


def table(name: str, search: str, code: str | None = None) -> str:
    """Address where a table is kept as CSV; `search` is the query of the view that shows it."""
    return f"/save/{name}{'' if code is None else '/' + quote(code, safe='')}.csv{search}"

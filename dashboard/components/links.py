"""Addresses within the dashboard; a farm's code is the practice's own and may hold any character."""

from urllib.parse import quote, urlencode


def farm(code: str, season: int | None = None) -> str:
    """Address of a farm's page."""
    return f"/farm/{quote(code, safe='')}" + (f"?season={season}" if season else "")


def visit(code: str, search: str = "") -> str:
    """Address of the page that plans a visit to a farm."""
    return f"/visit/{quote(code, safe='')}{search}"


def printed(name: str, search: str = "", code: str | None = None) -> str:
    """Address of something to print or take along, of a farm or (without a code) of the practice."""
    return f"/print/{'' if code is None else quote(code, safe='') + '/'}{name}{search}"


def entry(code: str, group: str = "", low: float | None = None) -> str:
    """Address of the phone's page to score ewes, filled in as far as known; `low`: thin means below."""
    known = {"farm": code, "group": group, "low": "" if low is None else f"{low:g}"}
    return f"/enter/?{urlencode({name: value for name, value in known.items() if value})}"


def table(name: str, search: str, code: str | None = None) -> str:
    """Address where a table is kept as CSV; `search` is the query of the view that shows it."""
    return f"/save/{name}{'' if code is None else '/' + quote(code, safe='')}.csv{search}"

"""Asking everything a server answers: each route with crafted parts, each callback with crafted inputs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import dash
from dash import Dash
from pypdf import PdfReader

from dashboard.brief.serving import NAMES

OFFSITE = "/_dash-component-suites/"  # program code: the same for everybody


@dataclass(frozen=True)
class Answer:
    """What came back, `asked` saying to what."""

    asked: str
    status: int
    text: str


def everything(app: Dash, visitor: Any, codes: Sequence[str], names: Sequence[str]) -> Iterator[Answer]:
    """Answers of every route and callback of `app`; `codes` and `names` are put wherever they fit."""
    yield from routes(app, visitor, codes)
    yield from callbacks(visitor, codes, names)


def readable(answer: Any) -> str:
    """The words of an answer; of a printed page too, where they are compressed."""
    if answer.mimetype == "application/pdf":
        return "\n".join(page.extract_text() for page in PdfReader(BytesIO(answer.data)).pages)
    return str(answer.data.decode(errors="replace"))


def routes(app: Dash, visitor: Any, words: Sequence[str]) -> Iterator[Answer]:
    """Every rule with every method, each of its parts filled with each of `words`."""
    for address, methods in addresses(app, words):
        for method in methods:
            send = visitor.get if method == "GET" else visitor.post
            answer = send(address)
            yield Answer(f"{method} {address}", answer.status_code, readable(answer))


def addresses(app: Dash, words: Sequence[str]) -> Iterator[tuple[str, set[str]]]:
    tables = ("call-list", "funnel", "compare-shares", "compare-scores", "files", "problems", "readiness",
              "scores", "shares", "seasons", "ewes", "what-if", "best-grazing", "last-dates",
              "backtest")  # fmt: skip
    for rule in app.server.url_map.iter_rules():
        if rule.rule.startswith((OFFSITE, "/assets", "/static")):
            continue
        methods = (rule.methods or set()) & {"GET", "POST"}
        for word in words if rule.arguments - {"table", "name"} else words[-1:]:
            named = {"table": tables, "name": tuple(NAMES)}
            asked = next((named[part] for part in named if part in rule.arguments), ("",))
            for one in asked:
                parts = {part: one if part in named else word for part in rule.arguments}
                with app.server.test_request_context():
                    adapter = app.server.url_map.bind("localhost")
                    address = adapter.build(rule.endpoint, parts, method=None, force_external=False)
                if rule.endpoint != "sign_out":
                    yield f"{address}?farm={word}&group={word}&next=/farm/{word}", methods


def callbacks(visitor: Any, codes: Sequence[str], names: Sequence[str]) -> Iterator[Answer]:
    """Every callback that the server tells of, with its inputs set to each address, and to each word as what
    is searched for."""
    told = visitor.get("/_dash-dependencies").get_json()
    for callback in told if isinstance(told, list) else []:
        if callback["clientside_function"]:
            continue
        for path, search in [*((path, "") for path in _paths(codes)), *(("/", f"?find={w}") for w in names)]:
            answer = visitor.post("/_dash-update-component", json=_body(callback, path, search))
            yield Answer(f"callback {path}{search}", answer.status_code, readable(answer))


def _paths(codes: Sequence[str]) -> Iterator[str]:
    for page in dash.page_registry.values():
        template = page["path_template"]
        if template is None:
            yield page["path"]
        else:
            yield from (template.replace("<code>", code).replace("<farm>", code) for code in codes)


def _body(callback: dict[str, Any], value: str, search: str) -> dict[str, Any]:
    """The body that a browser would send for `callback`: `search` where a query string goes, `value` for
    every other input."""

    def filled(parts: list[dict[str, Any]]) -> list[dict[str, Any]]:
        return [part | {"value": search if part["property"] == "search" else value} for part in parts]

    output = callback["output"]
    outputs = [
        dict(zip(("id", "property"), one.rsplit(".", 1), strict=True))
        for one in output.strip(".").split("...")
    ]
    return {
        "output": output,
        "outputs": outputs if output.startswith("..") else outputs[0],
        "inputs": filled(callback["inputs"]),
        "state": filled(callback["state"]),
        "changedPropIds": [f"{part['id']}.{part['property']}" for part in callback["inputs"]],
    }

"""Plain HTML sent to the browser as one component.

Dash lets every component, each cell of a table and each word set off in a sentence, listen to every change of
the whole page, so that the time to draw a page grows with the square of what stands on it. What nothing
listens to is therefore sent as a tree of tags, which `assets/plain.js` draws at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from dash.development.base_component import Component

HTML = "dash_html_components"
ADDRESSES = ("href", "src", "action", "formAction", "data")
SAFE = ("/", "#", "?", "https://", "http://", "mailto:", "tel:", "data:image/")
NOWHERE = "about:blank"  # for an address that would run a script
LISTENING = ("children", "n_clicks", "n_clicks_timestamp", "disable_n_clicks")

Node = str | int | list[Any]
"""A text; the number of a Dash component; or a tag, its attributes, and the nodes in it."""


class Plain(Component):
    """Tags, and Dash's own components among them.

    `tree` is a list of nodes; a number in it stands for the child of that number.
    """

    _children_props: list[str] = []  # noqa: RUF012 (Dash reads them from the class)
    _base_nodes = ["children"]  # noqa: RUF012
    _namespace = "tupping"
    _type = "Plain"

    def __init__(self, children: Sequence[Component], tree: Sequence[Node]) -> None:
        self._prop_names = self.available_properties = ["children", "tree"]
        self._valid_wildcard_attributes: list[str] = []
        self.available_wildcard_properties: list[str] = []
        super().__init__(children=list(children), tree=list(tree))  # type: ignore[no-untyped-call]


def drawn(page: Sequence[Component]) -> Plain:
    """`page` with all of its HTML in one component; its links, fields and pictures stay Dash's own."""
    kept: list[Component] = []
    tree = _nodes(page, kept)
    return Plain(kept, tree)


def _nodes(children: Any, kept: list[Component]) -> list[Node]:
    if children is None:
        return []
    if isinstance(children, list | tuple):
        return [node for child in children for node in _nodes(child, kept)]
    if not isinstance(children, Component):
        return [str(children)]
    if children._namespace != HTML:
        kept.append(children)
        return [len(kept) - 1]
    props = children.to_plotly_json()["props"]  # type: ignore[no-untyped-call]
    return [[children._type.lower(), _attributes(props), *_nodes(props.get("children"), kept)]]


def _attributes(props: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _safe(name, value) for name, value in props.items() if name not in LISTENING}


def _safe(name: str, value: Any) -> Any:
    if name in ADDRESSES and not str(value).lower().startswith(SAFE):
        return NOWHERE
    return value

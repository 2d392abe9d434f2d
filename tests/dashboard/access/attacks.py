"""Attacks on the served dashboard, each with the answer it must get.

`python -m tests.dashboard.access.attacks` carries them out on an invented practice and prints the table.
"""

import json
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dash import Dash
from flask.sessions import SecureCookieSessionInterface

from dashboard.accounts import store
from dashboard.app import create_app
from dashboard.guard.doors import Doors
from dashboard.guard.gate import LARGEST_UPLOAD
from pipelines.settings import Settings
from tests.dashboard.access.practice import ACCOUNTS, AS_OF, OTHERS, Visitor, furnish

CALLBACK = "/_dash-update-component"
GUESSES = 10_000


@dataclass(frozen=True)
class Scene:
    """Where attacks happen: the practice's folder and its server, which asks everybody to sign in."""

    home: Path
    app: Dash

    def stranger(self, address: str = "198.51.100.7") -> Visitor:
        visitor = Visitor(self.app.server.test_client())
        visitor.client.environ_base["REMOTE_ADDR"] = address
        return visitor

    def signed_in(self, role: str) -> Visitor:
        visitor = Visitor(self.app.server.test_client())
        assert visitor.sign_in(ACCOUNTS[role].name).status_code == 303
        visitor.get("/")
        return visitor


@dataclass(frozen=True)
class Attack:
    """`name` for the table; `act` carries it out; the answer has `status` and contains `says`."""

    name: str
    act: Callable[[Scene], Any]
    status: int
    says: str


def page_body(path: str) -> dict[str, Any]:
    """What a browser sends to see the page at `path`."""
    output = ".._pages_content.children..._pages_store.data.."
    outputs = [{"id": "_pages_content", "property": "children"}, {"id": "_pages_store", "property": "data"}]
    inputs = [
        {"id": "_pages_location", "property": "pathname", "value": path},
        {"id": "_pages_location", "property": "search", "value": ""},
    ]
    return {"output": output, "outputs": outputs, "inputs": inputs, "changedPropIds": []}


def _other_farm(scene: Scene) -> Any:
    answer = scene.signed_in("adviser").post(CALLBACK, json=page_body(f"/farm/{OTHERS[0].code}"))
    assert OTHERS[0].name not in answer.text and OTHERS[0].region not in answer.text
    return answer


def _no_secret(answer: Any, scene: Scene) -> Any:
    assert (scene.home / "secret.key").read_bytes() not in answer.data
    assert b"SQLite format" not in answer.data and b"[build-system]" not in answer.data
    return answer


def _out_of(address: str) -> Callable[[Scene], Any]:
    return lambda scene: _no_secret(scene.signed_in("practice").get(address), scene)


def many_guesses(stranger: Visitor, name: str, guesses: int) -> list[Any]:
    """The answers to that many wrong passwords, typed as fast as they are answered."""
    stranger.get("/sign-in")
    form = {"csrf_token": stranger.token(), "name": name}
    return [
        stranger.client.post(
            "/sign-in", data=form | {"password": f"wrong password {number}"}, headers=stranger.headers
        )
        for number in range(guesses)
    ]


def _forged_session(scene: Scene) -> Any:
    copy = create_app(Settings(scene.home), Doors(scene.home, others=True)).server
    copy.secret_key = b"what an attacker guesses the key to be"
    signer = SecureCookieSessionInterface().get_signing_serializer(copy)
    assert signer is not None
    found = store.find(scene.home, "morag")
    assert found is not None
    stolen = {"name": "morag", "stamp": found[0].stamp, "seen": 9e9, "began": 9e9}
    stranger = scene.stranger()
    stranger.client.set_cookie("tupping", str(signer.dumps(stolen)))
    return stranger.get(f"/save/ewes/{OTHERS[0].code}.csv", headers={"Accept": "text/csv"})


def _kept_cookie(scene: Scene) -> Any:
    left = scene.signed_in("practice")
    cookie = left.client.get_cookie("tupping")
    assert cookie is not None and left.post("/sign-out").status_code == 303
    left.client.set_cookie("tupping", cookie.value)
    return left.get("/save/call-list.csv", headers={"Accept": "text/csv"})


def _from_elsewhere(scene: Scene, **headers: str) -> Any:
    practice = scene.signed_in("practice")
    brought = {"X-CSRFToken": practice.token(), **headers}
    return practice.client.post(CALLBACK, json=page_body("/"), headers=brought)


def _without_token(scene: Scene) -> Any:
    practice = scene.signed_in("practice")
    return practice.client.post(CALLBACK, json=page_body("/"), headers=practice.headers)


def _led_astray(scene: Scene) -> Any:
    answer = scene.stranger().sign_in("morag", next="//elsewhere.example/")
    assert answer.headers["Location"] == "/"
    return answer


def _other_name(scene: Scene) -> Any:
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        machine = create_app(Settings(home), Doors(home)).server.test_client()
        return machine.get("/", headers={"Host": "rebound.example"})


def _huge(address: str, size: int) -> Callable[[Scene], Any]:
    def act(scene: Scene) -> Any:
        visitor = scene.signed_in("practice")
        return visitor.post(address, data=b"x" * size, content_type="application/json")

    return act


def _huge_sign_in(scene: Scene) -> Any:
    stranger = scene.stranger()
    stranger.get("/sign-in")
    return stranger.client.post("/sign-in", data={"password": "x" * 100_000}, headers=stranger.headers)


def _crafted(body: object) -> Callable[[Scene], Any]:
    text = body if isinstance(body, str) else json.dumps(body)
    return lambda scene: scene.signed_in("adviser").post(CALLBACK, data=text, content_type="application/json")


ATTACKS = (
    Attack("callback of an adviser naming another farm", _other_farm, 200, "No such farm"),
    Attack("callback of a member naming a farm",
           lambda s: s.signed_in("member").post(CALLBACK, json=page_body("/farm/NORTHFOLD")),
           403, "does not include this"),
    Attack("callback of somebody signed out", lambda s: s.stranger().post(CALLBACK, json=page_body("/")),
           401, "You are signed out"),
    Attack("table of another farm", lambda s: s.signed_in("adviser").get("/save/ewes/EASTHOLM.csv"),
           404, "nothing at this address"),
    Attack("table of a farm, by a member", lambda s: s.signed_in("member").get("/save/ewes/NORTHFOLD.csv"),
           403, "does not include this"),
    Attack("path out of the downloads", _out_of("/save/ewes/../../secret.key.csv"), 404, "nothing at this"),
    Attack("path out of the downloads, encoded", _out_of("/save/..%2f..%2fsecret.key%00.csv"),
           404, "nothing at this"),
    Attack("path out of the styles", _out_of("/assets/../../accounts.sqlite"), 404, "nothing at this"),
    Attack("path out of the styles, encoded", _out_of("/assets/%2e%2e/%2e%2e/pyproject.toml"),
           404, "nothing at this"),
    Attack("path out of the program's code", _out_of("/_dash-component-suites/dash/../../secret.key"),
           404, "nothing at this"),
    Attack("request sent by another site's page",
           lambda s: _from_elsewhere(s, **{"Sec-Fetch-Site": "cross-site"}),
           403, "did not come from a page"),
    Attack("the same, from a neighbouring site",
           lambda s: _from_elsewhere(s, **{"Sec-Fetch-Site": "same-site"}),
           403, "did not come from a page"),
    Attack("the same, in an older browser", lambda s: _from_elsewhere(s, Origin="https://elsewhere.example"),
           403, "did not come from a page"),
    Attack("request that hides where it comes from", _from_elsewhere, 403, "did not come from a page"),
    Attack("request without the session's token", _without_token, 403, "Reload it"),
    Attack("session signed with a guessed key", _forged_session, 401, "You are signed out"),
    Attack("cookie kept from before signing out", _kept_cookie, 401, "You are signed out"),
    Attack("link that leads elsewhere after signing in", _led_astray, 303, ""),
    Attack("another site taking this machine's address", _other_name, 400, "localhost and 127.0.0.1 only"),
    Attack(f"upload of {LARGEST_UPLOAD // 1_000_000 + 1} MB", _huge(CALLBACK, LARGEST_UPLOAD + 1_000_000),
           413, "too large"),
    Attack("sign-in of 100 kB", _huge_sign_in, 413, "too large"),
    Attack("callback body that is no JSON", _crafted("{not json"), 400, "could not be read"),
    Attack("callback body nested 100,000 deep", _crafted("[" * 100_000 + "]" * 100_000),
           400, "could not be read"),
    Attack("callback that does not exist", _crafted({"output": "secrets.children"}),
           400, "could not be read"),
    Attack("callback whose inputs are no inputs", _crafted(page_body("/") | {"inputs": [7]}),
           400, "could not be read"),
    Attack(f"{GUESSES:,} wrong passwords",
           lambda s: many_guesses(s.stranger("203.0.113.9"), "isla", GUESSES)[-1], 429, "Too many attempts"),
)  # fmt: skip


def main() -> None:
    """Print each attack with the answer it got."""
    with tempfile.TemporaryDirectory() as folder:
        home = furnish(Path(folder) / "practice")
        scene = Scene(home, create_app(Settings(home, AS_OF), Doors(home, others=True)))
        for attack in ATTACKS:
            answer = attack.act(scene)
            right = answer.status_code == attack.status and attack.says in answer.text
            said = attack.says or "→ " + answer.headers["Location"] if right else f"UNEXPECTED {answer.text}"
            print(f"{attack.name:52} {answer.status_code}  {said}")


if __name__ == "__main__":
    main()

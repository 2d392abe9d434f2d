"""An invented practice of four farms, its accounts, and a browser on its dashboard."""

import re
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from flask.testing import FlaskClient

from dashboard.accounts import store
from dashboard.accounts.account import Account
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths

AS_OF = date(2026, 9, 1)
PASSWORD = "ninety wet ewes at dusk"
HEADING = "farm,name,system,ewes,weaned_on,rams_in,region,breed,discussion_group,contact\n"


@dataclass(frozen=True)
class Invented:
    """A farm and every word by which it could be recognised in an answer."""

    code: str
    name: str
    region: str
    contact: str
    scorer: str
    tag: str
    group: str

    @property
    def words(self) -> tuple[str, ...]:
        return (self.code, self.name, self.region, self.contact, self.scorer, self.tag)

    def register(self) -> str:
        return (
            f"{self.code},{self.name},hill,180,2026-07-20,2026-11-05,{self.region},Cheviot,{self.group},"
            f"{self.contact}\n"
        )

    def sessions(self) -> dict[str, str]:
        """Two sessions: one ewe by ewe before tupping, one counted at weaning."""
        start = f"{self.code},2026-08-20,Shearlings,{self.tag}"
        ewes = "".join(
            f"{start}{number:03d},{2 if number % 3 else 1.5},{self.scorer}\n" for number in range(40)
        )
        return {
            f"{self.code}-ewes.csv": f"farm,scored_on,group,ewe,score,scorer\n{ewes}",
            # seven weeks before weaning: of no stage, so it waits
            f"{self.code}-early.csv": "farm,scored_on,group,score,count\n"
            f"{self.code},2026-06-01,Older ewes,2,30\n",
            f"{self.code}-weaning.csv": "farm,scored_on,group,score,count\n"
            f"{self.code},2026-07-25,Older ewes,2,30\n{self.code},2026-07-25,Older ewes,2.5,50\n",
        }


OWN = (
    Invented(
        "NORTHFOLD", "Upper Northfold", "Silverdene", "ann@nf.example", "Zebedee", "826012311000", "Ravens"
    ),
    Invented(
        "WESTBECK", "Westbeck Intake", "Copperdene", "bob@wb.example", "Quentin", "826012322000", "Ravens"
    ),
)
OTHERS = (
    Invented(
        "EASTHOLM", "Nether Eastholm", "Leadendene", "cat@eh.example", "Marmaduke", "826012333000", "Herons"
    ),
    Invented(
        "SOUTHRIGG", "Southrigg Barns", "Tindene", "dan@sr.example", "Peregrine", "826012344000", "Herons"
    ),
)
FARMS = OWN + OTHERS
ACCOUNTS = {
    "practice": Account("morag", "practice"),
    "adviser": Account("rhys", "adviser", farms=frozenset(farm.code for farm in OWN)),
    "member": Account("isla", "member", groups=frozenset({"Ravens"})),
}


@dataclass
class Visitor:
    """A browser on the dashboard: it keeps cookies, says where it comes from and brings the token along."""

    client: FlaskClient
    headers: dict[str, str] = field(default_factory=lambda: {"Sec-Fetch-Site": "same-origin"})

    def get(self, address: str, **more: Any) -> Any:
        return self.client.get(address, **more)

    def post(self, address: str, **more: Any) -> Any:
        return self.client.post(address, headers=self.headers | {"X-CSRFToken": self.token()}, **more)

    def token(self) -> str:
        cookie = self.client.get_cookie("_csrf_token")
        return cookie.value if cookie else ""

    def sign_in(self, name: str, password: str = PASSWORD, **more: str) -> Any:
        page = self.get("/sign-in").get_data(as_text=True)
        form = {"csrf_token": token_in(page), "name": name, "password": password, **more}
        return self.client.post("/sign-in", data=form, headers=self.headers)


def token_in(page: str) -> str:
    found = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert found, page
    return found[1]


def load(home: Path, files: dict[str, str]) -> Any:
    folder = home.parent / f"{home.name}-offered"
    folder.mkdir()
    for name, content in files.items():
        (folder / name).write_text(content, encoding="utf-8")
    return import_paths([folder], Settings(home, as_of=AS_OF))


def furnish(home: Path) -> Path:
    """Fill `home` with the practice's files, broken ones too, and an account of each role."""
    files = {"register.csv": HEADING + "".join(farm.register() for farm in FARMS)}
    for farm in FARMS:
        files |= farm.sessions() | {f"{farm.code}-broken.csv": f"farm,scored_on\n{farm.code},2026-08-20\n"}
    load(home, files)
    for account in ACCOUNTS.values():
        store.add(home, account, PASSWORD)
    return home

"""Releases on the practice's server: made there, and shown to members of the group that each was made for.

What a member is shown is worked out from the release's own file, as the files of `tupping release` are, and
is the same to the byte: no table of the practice is asked. Which releases are whose is decided here for every
request, by the ledger and the visitor's account.
"""

from __future__ import annotations

import base64
import io
import zipfile
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final
from urllib.parse import urlencode

import flask

from dashboard import access, data
from dashboard.guard import answers
from dashboard.guard.answers import RefusedError
from dashboard.guard.stopped import WAIT_SECONDS, in_words
from dashboard.meeting import page, paper
from dashboard.meeting.content import Meeting, meeting
from dashboard.meeting.handing import Asked, HandedOut, file_stem, hand_out
from dashboard.meeting.serving import HEADERS
from pipelines.release.practice import GivenOut, given_out, withdraw
from pipelines.warehouse.errors import WarehouseError
from pipelines.warehouse.released import read_release

LISTED: Final = """
<h1>Comparisons</h1>
<p class="lead">Flocks of a discussion group side by side, by letter and without a name. Your own letter
  stands on the card that the practice gave you.</p>
{% for one in given %}
<section>
  <h2>{{ one.group }}, {{ one.season }}</h2>
  <p>{{ "The latest comparison" if loop.first else "Comparison" }} {{ one.release[:8] }}
    {{- ", withdrawn: members do not see it" if one.withdrawn }}</p>
  {% if one.kept %}
  <p><a href="/release/{{ one.release }}">Open it</a> ·
    <a href="/release/{{ one.release }}/paper.pdf">Print it (PDF)</a></p>
  {% else %}
  <p>{{ not_kept }}</p>
  {% endif %}
</section>
{% else %}
<p>There is no comparison for you yet. Once the practice has made one for your group, it stands here.</p>
{% endfor %}
<p><a href="/account">Your account</a></p>
"""


NOT_KEPT: Final = (
    "It was made by an earlier version of the program and cannot be shown here. The page and the paper that "
    "the practice handed out hold as before; ask the practice for a new comparison."
)


def blueprint() -> flask.Blueprint:
    """The addresses under `/release`; the gate lets members come to endpoints of this name."""
    pages = flask.Blueprint("release", __name__, url_prefix="/release")
    pages.add_url_rule("", "listed", in_words(_listed), methods=["GET"])
    pages.add_url_rule("", "make", in_words(_make), methods=["POST"])
    pages.add_url_rule("/<release>", "page", in_words(_page), methods=["GET"])
    pages.add_url_rule("/<release>/withdraw", "withdraw", in_words(_withdraw), methods=["POST"])
    pages.add_url_rule("/<release>/paper.pdf", "paper", in_words(_paper), methods=["GET"])
    return pages


def _theirs() -> list[GivenOut]:
    """Releases that the visitor now asking may see, the newest first."""
    return given_out(data.settings().home, access.groups())


def _listed() -> flask.Response:
    body = flask.render_template_string(LISTED, given=_theirs(), not_kept=NOT_KEPT)
    return flask.Response(answers.page("Comparisons", body))


def _page(release: str) -> flask.Response:
    shown, _ = _opened(release, "page")
    response = flask.Response(page.render(shown))
    response.headers.update(HEADERS)
    return response


def _paper(release: str) -> flask.Response:
    shown, stem = _opened(release, "paper")
    response = flask.Response(paper.render(shown), mimetype="application/pdf")
    response.headers["Content-Disposition"] = f'attachment; filename="{stem}.pdf"'
    return response


def _opened(release: str, form: str) -> tuple[Meeting, str]:
    """What a release says and how its files are called; its opening is on record.

    Raises `RefusedError` for one whose file is not there or not of the present form.
    """
    found = next((one for one in _theirs() if one.release == release), None)
    if found is None:
        flask.abort(404)
    access.begin("open release", release=release, group=found.group, form=form)
    try:
        read = read_release(found.file)
    except WarehouseError as error:
        raise RefusedError(410, NOT_KEPT) from error
    return meeting(read), file_stem(read)


def _make() -> flask.Response:
    """Make a release and give all its files to the practice, the cards too: they are kept nowhere else."""
    group = flask.request.form.get("group", "")
    access.begin("release", group=group)
    with TemporaryDirectory() as folder:
        asked = Asked(group, None, Path(folder) / "release", WAIT_SECONDS)
        done = hand_out(data.reader(), data.settings(), asked)
        packed = _packed(asked.folder)
    return flask.jsonify(
        said=_sentence(done, group),
        keep={"name": f"{done.files[0].stem}.zip", "content": base64.b64encode(packed).decode()},
    )


def _withdraw(release: str) -> flask.Response:
    """Take a release from the members' eyes, or give it back to them."""
    shown = flask.request.form.get("shown") == "yes"
    access.begin("withdraw release", release=release, shown="yes" if shown else "no")
    group = withdraw(data.settings().home, release, WAIT_SECONDS, withdrawn=not shown)
    return flask.jsonify(at=f"/group?{urlencode({'group': group})}")


def _packed(folder: Path) -> bytes:
    """All files of a folder in one."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for path in sorted(folder.rglob("*")):
            packed.write(path, path.relative_to(folder))
    return held.getvalue()


def _sentence(done: HandedOut, group: str) -> str:
    return (
        f"Made and saved as one file. In it: a page and a paper for {group}, and {done.letters} private "
        "cards. Hand each card to its farm and keep them from everybody else: they cannot be made a second "
        "time. Members who sign in see the comparison from now on."
    )

"""Where files are sent to: each address changes something, so each passes the gate's token and role checks.

What is done is recorded before it is done (`access.begin`), and done by the warehouse as `tupping import`
does it. Answers are JSON: `at`, the page to go to next, or `error`, a sentence.
"""

from __future__ import annotations

import flask

from dashboard import access, data
from dashboard.guard.answers import SENTENCES, RefusedError
from dashboard.guard.stopped import WAIT_SECONDS, in_words
from dashboard.intake import counter, looking, reports
from dashboard.intake.counter import LARGEST_BYTES, Offered
from dashboard.views.offer_state import OfferState
from pipelines.warehouse import commands
from pipelines.warehouse.importing import Given, import_paths
from pipelines.warehouse.looking import Look, look_at_held

SESSIONS = "/intake/session"
LARGEST_SESSION = 1_000_000
TOO_LARGE = (
    f"This file has more than {LARGEST_BYTES // 1_000_000} MB. Import it on the practice’s machine: "
    "tupping import FILE."
)
MOVED_ON = "The tables have changed since this was shown. Look at it again, then confirm."


def blueprint() -> flask.Blueprint:
    """The addresses under `/intake`."""
    pages = flask.Blueprint("intake", __name__, url_prefix="/intake")
    pages.add_url_rule("/offer", "offer", in_words(_offer), methods=["POST"])
    pages.add_url_rule("/offer/<token>", "take", in_words(_take), methods=["POST"])
    pages.add_url_rule("/change/<record>/<what>", "change", in_words(_change), methods=["POST"])
    pages.add_url_rule("/retag/<path:farm>", "retag", in_words(_retag), methods=["POST"])
    pages.add_url_rule("/session", "ready", _ready, methods=["GET"])
    pages.add_url_rule("/session", "send", in_words(_send), methods=["POST"])
    return pages


def _offer() -> flask.Response:
    """Put one file on the counter."""
    if not access.may("import"):
        raise RefusedError(403, SENTENCES[403])
    name, content = _brought(LARGEST_BYTES)
    token = counter.keep(data.settings().home, looking.who(), name, content)
    return flask.jsonify(at=f"/offer/{token}")


def _brought(largest: int) -> tuple[str, bytes]:
    """Name and bytes of the one file of the request."""
    files = flask.request.files.getlist("file")
    if len(files) != 1:
        raise RefusedError(400, "One file at a time, please. For a folder: tupping import FOLDER.")
    content = files[0].stream.read(largest + 1)
    if len(content) > largest:
        raise RefusedError(413, TOO_LARGE)
    return files[0].filename or "", content


def _take(token: str) -> flask.Response:
    """Import what lies on the counter, with what the page's link says of it."""
    offered = counter.find(data.settings().home, looking.who(), token)
    if offered is None or offered.report is not None:
        raise RefusedError(409, "This file was imported already, or thrown away. Choose it again on Files.")
    state = OfferState.from_query(flask.request.args.to_dict())
    seen = looking.look(offered, state)
    if seen.rivals and not state.replaces:
        raise RefusedError(409, "Say first whether this file replaces the one that is like it.")
    if flask.request.form.get("seen") != str(seen.generation):
        raise RefusedError(409, MOVED_ON)
    _import(offered, looking.to_import(state, seen), seen)
    return flask.jsonify(at=f"/offer/{token}")


def _import(offered: Offered, given: Given, seen: Look) -> reports.Report:
    farms = ", ".join(sorted(seen.farms))
    access.begin(
        "import", file=offered.name, sha256=seen.sha256, farms=farms, supersede=given.supersede or ""
    )
    done = import_paths([offered.path], data.settings(), given, wait_seconds=WAIT_SECONDS)
    report = reports.report(data.reader(), done, seen)
    counter.finish(offered, report)
    return report


def _change(record: str, what: str) -> flask.Response:
    """Withdraw a file, bring it back, or let another replace it: as it was shown, or not at all."""
    if what not in ("withdraw", "reinstate", "replace"):
        flask.abort(404)
    settings, by = data.settings(), flask.request.form.get("by", "")
    if not access.may("withdraw"):
        raise RefusedError(403, SENTENCES[403])
    held, _ = look_at_held(settings, record)
    if flask.request.form.get("seen") != str(held.generation):
        raise RefusedError(409, MOVED_ON)
    access.begin("withdraw", what=what, file=held.file, sha256=held.sha256, record=held.record, by=by)
    if what == "replace":
        commands.replace_file(settings, record, by, WAIT_SECONDS)
    else:
        act = commands.withdraw_file if what == "withdraw" else commands.reinstate_file
        act(settings, record, WAIT_SECONDS)
    return flask.jsonify(at=f"/change/{record}?done={what}")


def _retag(farm: str) -> flask.Response:
    """Record that a ewe wears a new tag."""
    scope = access.scope()
    if scope is not None and farm not in scope:
        flask.abort(404)
    old, new = (flask.request.form.get(name, "").strip()[:40] for name in ("old", "new"))
    if not old or not new:
        raise RefusedError(400, "Write both tags: the one she had and the one she has now.")
    access.begin("retag", farm=farm, old=old, new=new)
    done = commands.retag_ewe(data.settings(), farm, old, new, WAIT_SECONDS)
    return flask.jsonify(said=done.sentence())


def _ready() -> flask.Response:
    """Whether the phone may send, asked first so that it has the session's token."""
    return flask.jsonify(ready=access.may("import"))


def _send() -> flask.Response:
    """A session that was entered on a phone: imported at once.

    One that was sent before in a shorter form is refused with what would change, until `replaces` says so.
    """
    if not access.may("import"):
        raise RefusedError(403, SENTENCES[403])
    name, content = _brought(LARGEST_SESSION)
    home, form = data.settings().home, flask.request.form
    offered = counter.find(home, looking.who(), counter.keep(home, looking.who(), name, content))
    assert offered is not None  # just put there
    state = OfferState.from_query({"replaces": form.get("replaces", "")})
    seen = looking.look(offered, state)
    if seen.rivals and not state.replaces:
        return _sent_before(offered, seen)
    return flask.jsonify(said=reports.in_a_line(_import(offered, looking.to_import(state, seen), seen)))


def _sent_before(offered: Offered, seen: Look) -> flask.Response:
    first = seen.rivals[0]
    changes = looking.look(offered, OfferState(replaces=first.record)).difference
    said = changes.sentence() if changes else ""
    sentence = f"The practice has {first.file} already, for the same group and day. Replacing it: {said}."
    answer = flask.jsonify(error=sentence, replaces=first.record)
    answer.status_code = 409
    return answer

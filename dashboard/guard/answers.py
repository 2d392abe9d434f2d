"""How a refusal reads: a plain page for people, the same sentence as JSON for scripts."""

from __future__ import annotations

from http import HTTPStatus

import flask
from dash.exceptions import DependencyException
from markupsafe import Markup
from werkzeug.exceptions import HTTPException

PAGE = """<!DOCTYPE html>
<html lang="en-GB">
  <head>
    <meta charset="utf-8">
    <meta name="viewport" content="width=device-width, initial-scale=1">
    <meta name="color-scheme" content="light dark">
    <title>{{ title }} · Tupping readiness</title>
    <link rel="icon" type="image/svg+xml" href="/assets/mark.svg">
    <link rel="stylesheet" href="/bootstrap.min.css">
    <link rel="stylesheet" href="/assets/tupping.css">
  </head>
  <body>
    <div class="frame">
      <header class="top"><a class="name" href="/">Tupping readiness</a></header>
      <main id="main" class="door">{{ body }}</main>
    </div>
  </body>
</html>"""
BODY = "<h1>{{ title }}</h1><p>{{ sentence }}</p><p><a href='/'>Back to the first page</a></p>"

SENTENCES = {
    400: "The request could not be read, so nothing was done. Go back, reload the page and try again.",
    403: "Your account does not include this.",
    404: "There is nothing at this address for you. The link may be old or cut short.",
    405: "This address does not take that kind of request.",
    413: "What was sent is too large. Send fewer or smaller files, or import them on the practice’s machine "
    "with tupping import.",
    415: "What was sent is not in a form this address takes.",
    500: "Something went wrong here. Nothing was half-done; try again, and tell whoever looks after this "
    "machine if it happens twice.",
    503: "This cannot be done just now. Try again in a moment.",
}


class RefusedError(Exception):
    """A request that is not carried out; `sentence` says why and what to do."""

    def __init__(self, status: int, sentence: str, wait: int = 0) -> None:
        super().__init__(sentence)
        self.status, self.sentence, self.wait = status, sentence, wait


def attach(server: flask.Flask) -> None:
    """Make every refusal and failure of `server` a clear answer."""
    server.register_error_handler(RefusedError, _refused)
    server.register_error_handler(HTTPException, _http)
    server.register_error_handler(DependencyException, _no_such_file)
    server.register_error_handler(Exception, _failed)


def page(title: str, body: str) -> str:
    """A page outside the application proper; `body` is markup whose values are escaped already."""
    return flask.render_template_string(PAGE, title=title, body=Markup(body))


def answer(status: int, sentence: str, wait: int = 0) -> flask.Response:
    """The sentence as a page, or as JSON where a script asks."""
    if for_script():
        response = flask.jsonify(error=sentence)
    else:
        title = HTTPStatus(status).phrase if status != HTTPStatus.INTERNAL_SERVER_ERROR else "Not done"
        body = flask.render_template_string(BODY, title=title, sentence=sentence)
        response = flask.Response(page(title, body))
    response.status_code = status
    if wait:
        response.headers["Retry-After"] = str(wait)
    return response


def for_script() -> bool:
    """Whether the request now handled was made by a script rather than by following a link."""
    request = flask.request
    own = request.path.startswith("/_") or request.is_json
    return own or bool(request.accept_mimetypes and not request.accept_mimetypes.accept_html)


def _refused(error: RefusedError) -> flask.Response:
    return answer(error.status, error.sentence, error.wait)


def _http(error: HTTPException) -> flask.Response:
    if error.response is not None or error.code is None or error.code < HTTPStatus.BAD_REQUEST:
        return flask.make_response(error.get_response())
    return answer(error.code, SENTENCES.get(error.code, SENTENCES[400]))


def _no_such_file(_error: DependencyException) -> flask.Response:
    return answer(404, SENTENCES[404])


def _failed(error: Exception) -> flask.Response:
    flask.current_app.logger.error("%s %s", flask.request.method, flask.request.path, exc_info=error)
    return answer(500, SENTENCES[500])

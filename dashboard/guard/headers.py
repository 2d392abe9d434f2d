"""Headers that tell the browser what our pages may do: next to nothing beyond this server.

Scripts come from files of this server, or have a hash that is named (dash starts itself with a line inside
the page). Styles are the exception: the charts and the grid write style into elements as they draw, and a
policy cannot name such text in advance. Styles can neither run code nor, with `connect-src` and `img-src` as
they are, carry anything to another host.
"""

from __future__ import annotations

import flask

# 'data:' and 'blob:' pictures: a chart saved as a picture is drawn through them; the grid's signs are a font.
_POLICY = (
    "default-src 'none'",
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data: blob:",
    "font-src 'self' data:",
    "connect-src 'self'",
    "manifest-src 'self'",
    "worker-src 'self'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
)
_ALWAYS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}
_TWO_YEARS = 63_072_000
_CODE = ("/assets/", "/_dash-component-suites/", "/bootstrap.min.css", "/enter/")  # no figures in these


def fenced(response: flask.Response) -> flask.Response:
    """`response` with the headers it lacks; one that has a stricter policy of its own keeps it."""
    hashes = flask.g.get("script_hashes", ())
    policy = (*_POLICY, " ".join(["script-src 'self'", *hashes]))
    response.headers.setdefault("Content-Security-Policy", "; ".join(policy))
    for name, value in _ALWAYS.items():
        response.headers.setdefault(name, value)
    if not flask.request.path.startswith(_CODE):
        # clients' figures must not stay behind on a shared machine once somebody has signed out
        response.headers["Cache-Control"] = "no-store"
    if flask.request.is_secure:
        response.headers["Strict-Transport-Security"] = f"max-age={_TWO_YEARS}"
    return response

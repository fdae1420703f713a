"""Headers of every answer, errors too (OWASP ASVS 5.0, 3.4 and 14.3.2)."""

from flask import Response

POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; object-src 'none'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # none at all would break the forgery check over TLS
    "Cross-Origin-Opener-Policy": "same-origin",
    "Strict-Transport-Security": "max-age=31536000",
}


def add_headers(response: Response) -> Response:
    """Return the answer with the headers; only what names its own content may be cached."""
    response.headers.update(HEADERS)
    response.headers.setdefault("Cache-Control", "no-store")
    return response

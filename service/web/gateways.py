"""Where gateways call us: receipts, texts and USSD steps that come as requests of their own.

No page: nobody signs in here. The gateway's adapter checks the signature before it reads anything,
and says how to answer; the answer goes out only once what came is stored.
"""

from flask import Blueprint, Response, abort, request

from gateway_adapters.contract import WebhookRequest, WebhookResult
from service.web.here import office

page = Blueprint("gateways", __name__)


@page.route("/gateways/<name>/<path:rest>", methods=["GET", "POST"])
def take(name: str, rest: str) -> Response:
    """Take what a route's gateway sends to one of the addresses that its settings name."""
    services = office().services
    lane = next((lane for lane in services.lanes() if lane.name == name), None)
    if lane is None:
        abort(404)
    result = lane.gateway.parse_webhook(
        WebhookRequest(
            method=request.method,
            path=f"/{rest}",
            headers=dict(request.headers),
            body=request.get_data(cache=False),
            source=request.remote_addr or "",
        )
    )
    receiver = services.receiver(lane)
    for event in result.events:
        shown = receiver.take(event)
        if shown is not None and shown.response is not None:
            result = shown.response
    return _answer(result)


def _answer(result: WebhookResult) -> Response:
    return Response(result.body, status=result.status, content_type=result.content_type)

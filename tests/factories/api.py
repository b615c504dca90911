"""Talking to the API as somebody."""

import json
from uuid import uuid4

from rest_framework.test import APIClient

from tests.factories.inventory import KG, SourceFactory


def client_of(person) -> APIClient:
    """Return a client that is let in as the person."""
    client = APIClient()
    client.force_authenticate(person)
    return client


def send(client, address: str, **body):
    """Post an act with a fresh client id, unless the body brings its own."""
    text = json.dumps({"uuid": str(uuid4())} | body)
    return client.post(f"/api/{address}", text, content_type="application/json")


def repeated(client, address: str, **body):
    """Post the same act twice and return both answers."""
    body = {"uuid": str(uuid4())} | body
    return send(client, address, **body), send(client, address, **body)


def receipt_body(**changes) -> dict:
    """Return the body of 10 kg of blue PE-HD flake, but for what is changed."""
    body = {
        "source": changes.pop("source", None) or SourceFactory().name,
        "delivered_on": "2026-03-02",
        "net_mg": 10 * KG,
        "polymer": "PE-HD",
        "identified_by": "mark",
        "colour": "blue",
        "form": "flake",
        "origin_class": "post-consumer",
    }
    return body | changes

"""Who may ask, tried with an ordinary client of web applications."""

import asyncio

import httpx
import pytest

from cradle.page.guard import HERE, Guard

PORT = 4321
TOKEN = "a-long_token"


async def application(scope, receive, send):
    await send({"type": "http.response.start", "status": 200, "headers": [(b"x-own", b"1")]})
    await send({"type": "http.response.body", "body": b"inside"})


def ask(host, *, origin=None, token=TOKEN, method="GET"):
    async def get():
        transport = httpx.ASGITransport(app=Guard(application, port=PORT, token=TOKEN))
        headers = {"host": host} | ({} if origin is None else {"origin": origin})
        headers |= {} if token is None else {"cookie": f"cradle-{PORT}={token}"}
        async with httpx.AsyncClient(transport=transport, base_url=f"http://{HERE}") as client:
            return await client.request(method, "/", headers=headers)

    return asyncio.run(get())


@pytest.mark.parametrize("name", [HERE, "localhost"])
def test_this_machine_is_let_in_with_and_without_an_origin(name):
    here = f"{name}:{PORT}"
    for origin in (None, f"http://{here}"):
        answer = ask(here, origin=origin)
        assert (answer.status_code, answer.text) == (200, "inside")
        assert answer.headers["x-own"] == "1"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "same-origin"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self';" in policy
        assert "frame-ancestors 'none'" in policy


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE"])
def test_what_changes_something_must_name_this_page_as_its_origin(method):
    here = f"{HERE}:{PORT}"
    assert ask(here, origin=f"http://{here}", method=method).status_code == 200
    assert ask(here, method=method).status_code == 403
    assert ask(here, origin="null", method=method).status_code == 403


@pytest.mark.parametrize(
    ("host", "origin"),
    [
        ("elsewhere.example", None),
        (f"elsewhere.example:{PORT}", None),
        (HERE, None),
        (f"{HERE}:{PORT + 1}", None),
        (f"{HERE}:{PORT}", "http://elsewhere.example"),
        (f"{HERE}:{PORT}", f"https://{HERE}:{PORT}"),
        (f"{HERE}:{PORT}", "null"),
        ("", None),
    ],
)
def test_others_are_turned_away_before_the_application_is_asked(host, origin):
    answer = ask(host, origin=origin)
    assert answer.status_code == 403
    assert "inside" not in answer.text


def test_starting_and_stopping_pass_through_and_nothing_else_does():
    seen = []

    async def line(scope, receive, send):
        seen.append(scope["type"])

    async def send(message):
        pass

    guard = Guard(line, port=PORT, token=TOKEN)
    asyncio.run(guard({"type": "lifespan"}, None, None))
    asyncio.run(guard({"type": "websocket", "headers": []}, None, send))
    assert seen == ["lifespan"]


@pytest.mark.parametrize("token", [None, "", "another", TOKEN + "x"])
def test_nobody_comes_in_without_the_token(token):
    answer = ask(f"{HERE}:{PORT}", token=token)
    assert answer.status_code == 403
    assert "inside" not in answer.text

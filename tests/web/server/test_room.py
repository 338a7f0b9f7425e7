"""What a worker holds at once: bounded, given back, and no hindrance to small requests."""

from collections.abc import Callable
from typing import Any

import pytest
from flask import Response

from borewright.web.app import create_app
from borewright.web.problems import Problem
from borewright.web.server.room import FREE, RETRY_AFTER, Room
from borewright.web.settings import Settings

MOST = 1_000_000
BODY = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}


def answer(size: int) -> Callable[[Any], Response]:
    return lambda take: Response(b"x" * size)


def test_an_answer_is_held_until_it_was_sent() -> None:
    room = Room(MOST)
    response = room.answered(answer(FREE + 1000))
    assert room.held == 1000
    response.close()
    assert room.held == 0


def test_a_body_is_held_until_its_answer_is_there() -> None:
    room, seen = Room(MOST), []

    def make(take: Callable[[int], None]) -> Response:
        for _ in range(3):
            take(FREE)
            seen.append(room.held)
        return Response(b"small")

    room.answered(make)
    assert seen == [0, FREE, 2 * FREE]
    assert room.held == 0


def test_beyond_it_is_unavailable_and_given_back() -> None:
    room = Room(MOST)
    sent = [room.answered(answer(FREE + MOST // 2)), room.answered(answer(FREE + MOST // 2))]
    for make in (answer(FREE + 1), lambda take: take(FREE + 1) or Response()):
        with pytest.raises(Problem) as refused:
            room.answered(make)
        assert (refused.value.kind.status, refused.value.headers["Retry-After"]) == (503, str(RETRY_AFTER))
    assert room.answered(answer(FREE)).status_code == 200, "small ones are answered however full it is"
    assert room.held == MOST
    sent.pop().close()
    room.answered(answer(FREE + 1)).close()


def test_an_error_gives_it_back() -> None:
    room = Room(MOST)

    def fail(take: Callable[[int], None]) -> Response:
        take(MOST)
        raise ValueError("the body is not what it should be")

    with pytest.raises(ValueError, match="the body"):
        room.answered(fail)
    assert room.held == 0


def test_an_answer_that_nobody_closed_is_given_back() -> None:
    room = Room(MOST)
    room.answered(answer(2 * FREE))
    assert room.held == 0


def test_the_service_has_room_for_a_few_of_the_largest() -> None:
    settings = Settings(batch_body_bytes=300_000, body_bytes=100_000)
    assert settings.held_bytes == 1_200_000
    client = create_app(settings).test_client()
    for _ in range(6):
        assert client.post("/v1/displacement/batch", data=b" " * 290_000, content_type="application/json").status_code == 400
        assert client.post("/v1/displacement", json=BODY).status_code == 200

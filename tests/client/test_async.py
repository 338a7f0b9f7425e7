"""What the client for asyncio does beside what both do: tasks, cancellation, event loops, and living without httpx."""

import asyncio
import subprocess
import sys
import threading
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import httpx
import pytest
import requests

import borewright_client as bw
from borewright.web.app import create_app

BUILD = {"bore": "94 mm", "stroke": "88 mm", "cylinders": 4}
COMMON = {"stroke": "88 mm", "cylinders": 4}
ALIVE = {"status": "live"}
KEY = "kept-to-myself-0123456789"


@pytest.fixture
def in_process(wsgi_adapter: Any) -> Callable[[], bw.AsyncClient]:
    """Make a client whose service is in this process."""
    app = create_app()

    def make() -> bw.AsyncClient:
        session = httpx.AsyncClient(transport=wsgi_adapter.AsyncWsgiTransport(app))
        return bw.AsyncClient("http://service", session=session)

    return make


def opened(client: bw.AsyncClient) -> list[Any]:
    """The connections that a client holds."""
    (session,) = client._sessions._opened.values()
    transport: Any = session._transport
    return list(transport._pool.connections)


def hang(handler: Any) -> None:
    handler.server.released.wait(5)


def test_answers_are_typed_and_those_of_the_other_client(in_process: Any, wsgi_session: Callable[..., requests.Session]) -> None:
    async def ask() -> tuple[bw.answers.DisplacementAnswer, bw.BuildSheet, bytes]:
        client = in_process()
        sheet = await client.build_sheet(order={"id": "A-1"}, build=BUILD)
        pdf = await client.build_sheet_document(order={"id": "A-1"}, build=BUILD, form="pdf")
        return await client.displacement(**BUILD), sheet, pdf

    answer, sheet, pdf = asyncio.run(ask())
    with wsgi_session(create_app()) as session:
        other = bw.Client("http://service", session=session)
        assert answer == other.displacement(**BUILD)
        assert sheet.input_digest == other.build_sheet(order={"id": "A-1"}, build=BUILD).input_digest
    assert type(answer) is bw.answers.DisplacementAnswer
    assert (type(sheet), pdf[:5]) == (bw.BuildSheet, b"%PDF-")
    assert answer.request_id is not None
    assert answer.headers["content-type"] == "application/json"


def test_every_public_method_of_the_client_is_there_and_awaited() -> None:
    names = {name for name in dir(bw.Client) if not name.startswith("_")} - {"close"}
    assert names == {name for name in dir(bw.AsyncClient) if not name.startswith("_")} - {"aclose"}
    plain = {name for name in names if not asyncio.iscoroutinefunction(getattr(bw.AsyncClient, name))}
    assert plain == {"with_options", "last_request_id"}


def test_a_hundred_calls_at_once_share_one_pool(serve: Any, say: Any, direct: None) -> None:
    server = serve(say(200, ALIVE))

    async def ask() -> list[dict[str, Any]]:
        async with bw.AsyncClient(server.url, connections=8) as client:
            return await asyncio.gather(*(client.health() for _ in range(100)))

    assert asyncio.run(ask()) == [ALIVE] * 100
    assert len({seen.headers["x-request-id"] for seen in server.seen}) == 100
    assert len({seen.connection for seen in server.seen}) <= 8


def test_connections_are_kept_and_closed_with_the_client(serve: Any, say: Any, direct: None) -> None:
    server = serve(say(200, ALIVE))

    async def ask() -> None:
        async with bw.AsyncClient(server.url) as client:
            for _ in range(3):
                await client.health()
            async with client.with_options(retries=0) as other:
                await other.health()
            (connection,) = opened(client)
            assert not connection.is_closed()
        assert connection.is_closed()
        assert client._sessions._opened == {}

    asyncio.run(ask())
    assert len({seen.connection for seen in server.seen}) == 1


def test_a_session_that_was_brought_is_left_open_and_one_that_is_closed_is_said(serve: Any, say: Any, direct: None) -> None:
    server = serve(say(200, ALIVE))

    async def ask() -> None:
        async with httpx.AsyncClient() as session:
            async with bw.AsyncClient(server.url, api_key=KEY, session=session) as client:
                await client.health()
            assert not session.is_closed
            assert "authorization" not in session.headers
        with pytest.raises(bw.WrongSetting, match="has been closed"):
            await client.health()

    asyncio.run(ask())
    other: Any = requests.Session()
    with pytest.raises(bw.WrongSetting, match=r"must be an httpx\.AsyncClient, not Session"):
        bw.AsyncClient(server.url, session=other)


def test_a_canceled_call_leaves_no_connection_behind(serve: Any, say: Any, direct: None) -> None:
    server = serve(hang, say(200, ALIVE))
    seen: list[bw.Attempt] = []

    async def ask() -> None:
        async with bw.AsyncClient(server.url, after=seen.append) as client:
            task = asyncio.create_task(client.health())
            while not server.seen:
                await asyncio.sleep(0.01)
            task.cancel()
            with pytest.raises(asyncio.CancelledError):
                await task
            assert opened(client) == []
            assert await client.health() == ALIVE

    asyncio.run(ask())
    assert [(attempt.status, attempt.error) for attempt in seen] == [(None, None), (200, None)], "the hook hears of both"


def test_a_canceled_wait_between_tries_ends_the_call(serve: Any, say: Any, direct: None) -> None:
    server = serve(say(503, Retry_After="20"))
    tried: list[bw.Attempt] = []

    async def ask() -> None:
        async with bw.AsyncClient(server.url, after=tried.append) as client:
            task = asyncio.create_task(client.health())
            while not tried:
                await asyncio.sleep(0.01)
            task.cancel()
            with pytest.raises(asyncio.CancelledError):
                await task

    asyncio.run(ask())
    assert len(server.seen) == 1


@pytest.mark.parametrize("begun", [b"", b"HTTP/1.1 200 OK\r\nContent-Length: 100\r\n\r\n{"], ids=["no answer", "half an answer"])
def test_the_deadline_ends_what_the_service_does_not(
    begun: bytes, serve: Any, direct: None, no_hang: Callable[[], AbstractContextManager[None]]
) -> None:
    def step(handler: Any) -> None:
        handler.send(begun)
        hang(handler)

    server = serve(step)

    async def ask() -> None:
        async with bw.AsyncClient(server.url, deadline=0.2, timeout=30.0) as client:
            with pytest.raises(bw.TimedOut):
                await client.health()

    with no_hang():
        asyncio.run(ask())


@pytest.mark.parametrize("brought", [False, True], ids=["its own", "brought"])
def test_waiting_for_a_free_connection_counts_toward_the_deadline(brought: bool, serve: Any, direct: None) -> None:
    server = serve(hang)

    async def ask() -> None:
        limits = httpx.Limits(max_connections=1)  # of the client's own, or of the pool of a session
        async with (
            httpx.AsyncClient(limits=limits) as session,
            bw.AsyncClient(server.url, retries=0, **({"session": session} if brought else {"connections": 1})) as client,
        ):
            first = asyncio.create_task(client.health())
            while not server.seen:
                await asyncio.sleep(0.01)
            others = (client.health(options={"deadline": 0.2}) for _ in range(5))
            outcomes = await asyncio.gather(*others, return_exceptions=True)
            assert {type(outcome) for outcome in outcomes} == {bw.TimedOut}
            assert brought or {"waited for a free connection" in str(outcome) for outcome in outcomes} == {True}
            first.cancel()
            await asyncio.wait([first])

    asyncio.run(ask())
    assert len(server.seen) == 1


class Recorder(httpx.AsyncBaseTransport):
    """Uses up time and notes what each try was given."""

    def __init__(self, clock: Any, takes: float) -> None:
        self.clock, self.takes, self.timeouts = clock, takes, list[tuple[float, float]]()

    async def handle_async_request(self, request: httpx.Request) -> httpx.Response:
        given = request.extensions["timeout"]
        self.timeouts.append((given["connect"], given["read"]))
        self.clock.now += self.takes
        raise httpx.ConnectTimeout("")


def test_deadline_shortens_the_last_try(serve: Any, connect_httpx: Any, say: Any, clock: Any) -> None:
    client = connect_httpx(serve(say(200)), timeout=10.0, deadline=24.0, retries=9)
    recorder = Recorder(clock, takes=10.0)
    client._sessions.brought._mounts = {}
    client._sessions.brought._transport = recorder
    with pytest.raises(bw.TimedOut, match="no connection in time"):
        client.health()
    # 24 s: a try of 10, a pause of 0.25, a try of 10, a pause of 0.5, and what is left.
    assert recorder.timeouts == [(5.0, 10.0), (5.0, 10.0), (3.25, 3.25)]


def test_a_client_serves_one_event_loop_after_another(serve: Any, say: Any, direct: None) -> None:
    server = serve(say(200, ALIVE))
    client = bw.AsyncClient(server.url)

    async def ask() -> None:
        assert await client.health() == ALIVE
        await client.aclose()

    asyncio.run(ask())
    asyncio.run(ask())


def test_the_connections_of_event_loops_that_ended_are_not_kept(serve: Any, say: Any, direct: None) -> None:
    async def ask() -> None:
        assert await client.health() == ALIVE

    client = bw.AsyncClient(serve(say(200, ALIVE, Connection="close")).url)
    for _ in range(5):
        asyncio.run(ask())
    assert len(client._sessions._opened) == 1


@pytest.mark.parametrize("ask", [bw.AsyncClient.health, bw.AsyncClient.aclose])
def test_outside_of_asyncio_it_is_said(ask: Any) -> None:
    asked = ask(bw.AsyncClient("http://127.0.0.1:1"))
    with pytest.raises(bw.WrongSetting, match="event loop of asyncio"):
        asked.send(None)


def test_event_loops_of_several_threads_share_a_client(serve: Any, say: Any, direct: None) -> None:
    server, answers = serve(say(200, ALIVE)), list[Any]()
    client = bw.AsyncClient(server.url)

    async def ask() -> None:
        answers.append(await client.health())
        await client.aclose()

    threads = [threading.Thread(target=lambda: [asyncio.run(ask()) for _ in range(5)]) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [ALIVE] * 40


@pytest.mark.parametrize("connections", [0, -1, 1.5, True, None])
def test_connections_are_counted(connections: Any) -> None:
    with pytest.raises(bw.WrongSetting, match="connections must be a whole number"):
        bw.AsyncClient("http://127.0.0.1:1", connections=connections)


@pytest.mark.parametrize(
    ("url", "said"),
    [("http://127.0.0.1:9", "^Connection refused"), ("http://no-such-host.invalid", "(?i)name|address"), ("{tls}", "(?i)ssl")],
)
def test_why_there_is_no_connection_is_said(url: str, said: str, serve: Any, say: Any, direct: None) -> None:
    server = serve(say(200))

    async def ask() -> None:
        async with bw.AsyncClient(url.format(tls=server.url.replace("http:", "https:")), retries=0) as client:
            with pytest.raises(bw.ConnectionFailed, match=said):
                await client.health()

    asyncio.run(ask())


def test_each_task_hears_of_its_own_last_request(serve: Any, say: Any, direct: None) -> None:
    server = serve(say(200, ALIVE))

    async def ask() -> None:
        async with bw.AsyncClient(server.url) as client:

            async def one(number: int) -> str | None:
                await client.health(options={"request_id": f"task-{number}"})
                await asyncio.sleep(0)
                return client.last_request_id

            assert client.last_request_id is None
            assert await asyncio.gather(*map(one, range(9))) == [f"task-{number}" for number in range(9)]
        assert client.last_request_id is None, "this task asked nothing"

    asyncio.run(ask())
    assert bw.AsyncClient(server.url).last_request_id is None


def batches(most: list[int]) -> Callable[[httpx.Request], Any]:
    """A service that notes how many requests are under way, and answers them in any order."""
    under_way = 0

    async def answer(request: httpx.Request) -> httpx.Response:
        nonlocal under_way
        under_way += 1
        most.append(under_way)
        (bore,) = httpx.Response(200, content=request.content).json()["columns"]["bore"]
        await asyncio.sleep(0.001 * (10 - bore % 10))
        under_way -= 1
        whole = {
            "rows": 1,
            "columns": {"displacement": [bore]},
            "units": {},
            "failures": [],
            "checks": {},
            "cautions": [],
            "assumptions": [],
        }
        if bore == 13:
            whole |= {"columns": {"displacement": [None]}, "failures": [{"row": 0, "errors": [{"pointer": "#/bore", "detail": "no"}]}]}
        return httpx.Response(200, json=whole) if bore != 99 else httpx.Response(422, json={})

    return answer


async def tabled(data: Any, most: list[int], **settings: Any) -> bw.Table:
    async with httpx.AsyncClient(transport=httpx.MockTransport(batches(most))) as session:
        return await bw.AsyncClient("http://bench", session=session).table("displacement", data, chunk=1, **settings)


def test_a_table_has_some_requests_in_flight_and_keeps_its_order() -> None:
    most: list[int] = []
    table = asyncio.run(tabled({"bore": list(range(30))}, most, in_flight=4))
    assert max(most) == 4
    assert table.columns["displacement"] == [*range(13), None, *range(14, 30)]
    assert list(table.failures) == [13]


async def rows(count: int, closed: list[bool]) -> AsyncIterator[dict[str, int]]:
    try:
        for bore in range(count):
            yield {"bore": bore}
    finally:
        closed.append(True)


def test_rows_may_come_from_an_asynchronous_iterable() -> None:
    closed: list[bool] = []
    assert asyncio.run(tabled(rows(5, closed), [])).columns["displacement"] == list(range(5))
    assert closed == [True]


def test_a_refused_chunk_ends_the_table_and_no_task_is_left() -> None:
    async def ask() -> None:
        with pytest.raises(bw.InvalidRequest):
            await tabled({"bore": [1, 99, 3, 4]}, [], in_flight=3)
        assert asyncio.all_tasks() == {asyncio.current_task()}

    asyncio.run(ask())


def test_a_canceled_table_leaves_no_task_behind() -> None:
    async def ask() -> None:
        most: list[int] = []
        task = asyncio.create_task(tabled({"bore": list(range(10_000))}, most, in_flight=3))
        while len(most) < 5:
            await asyncio.sleep(0.001)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task
        assert asyncio.all_tasks() == {asyncio.current_task()}

    asyncio.run(ask())


def test_a_canceled_csv_goes_on_where_it_stood(in_process: Any, tmp_path: Path) -> None:
    source, whole, broken = tmp_path / "rows.csv", tmp_path / "whole.csv", tmp_path / "broken.csv"
    source.write_text("bore [mm],cylinders\n" + "".join(f"{80 + row % 200 / 10},4\n" for row in range(200)), encoding="utf-8")

    async def ask() -> None:
        client, note = in_process(), broken.with_name("broken.csv.progress")
        await client.csv("displacement", source, whole, common={"stroke": "88 mm"})
        task = asyncio.create_task(client.csv("displacement", source, broken, common={"stroke": "88 mm"}, chunk=2))
        while not note.exists():
            await asyncio.sleep(0)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task
        assert note.exists()
        assert len(broken.read_text(encoding="utf-8").splitlines()) < 200
        await client.csv("displacement", source, broken, common={"stroke": "88 mm"}, chunk=2)

    asyncio.run(ask())
    assert broken.read_text(encoding="utf-8") == whole.read_text(encoding="utf-8")


WITHOUT = """
import sys
sys.modules["httpx"] = None
import borewright_client as bw
assert bw.Client("http://127.0.0.1:1").base_url
try:
    bw.AsyncClient("http://127.0.0.1:1")
except bw.MissingExtra as missing:
    print(missing)
"""


def test_without_httpx_the_other_client_works_and_this_one_says_what_to_install() -> None:
    done = subprocess.run([sys.executable, "-W", "error", "-c", WITHOUT], capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr) == ("httpx is not installed: pip install 'borewright-client[async]'\n", "")


@pytest.fixture
def imported() -> set[str]:
    program = "import sys, borewright_client; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_who_does_not_make_one_does_not_import_httpx(imported: set[str]) -> None:
    assert imported.isdisjoint({"httpx", "pandas", "polars", "rich", "click", "numpy"})

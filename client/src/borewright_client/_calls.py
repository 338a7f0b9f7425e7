"""One call, from its body to its answer."""

from collections.abc import Mapping
from typing import TypeVar

from borewright_client._core import of_kind
from borewright_client._transport import Transport
from borewright_client._types import BatchAnswer, Options, SheetDocument
from borewright_client._types import Reply as TypedReply
from borewright_client._wire import JSON, Reply, encode

Kind = TypeVar("Kind", bound=TypedReply)


class Calls(Transport):
    """What every operation is made of."""

    def _calculate(self, kind: type[Kind], path: str, body: Mapping[str, object], options: Options | None = None) -> Kind:
        reply = self._post(path, body, options=options)
        return kind(reply.json_object(), reply.request_id, reply.headers)

    def _batch(self, name: str, body: Mapping[str, object], options: Options | None = None) -> BatchAnswer:
        return self._calculate(BatchAnswer, f"/v1/{name}/batch", body, options)

    def _document(self, path: str, body: Mapping[str, object], accept: str, options: Options | None = None) -> SheetDocument:
        reply = self._post(path, body, accept, options)
        return SheetDocument(of_kind(reply, accept), reply.request_id, reply.headers)

    def _post(self, path: str, body: Mapping[str, object], accept: str = JSON, options: Options | None = None) -> Reply:
        return self._send("POST", path, accept, encode(body), options)

    def _get(self, path: str, options: Options | None = None) -> Reply:
        return self._send("GET", path, JSON, None, options)

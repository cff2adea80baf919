"""How the server takes connections and requests: no idle one holds a thread, and none is longer than it says."""

from __future__ import annotations

from cheroot.server import HTTPConnection, HTTPRequest
from cheroot.wsgi import Server

LARGEST_HEAD = 64 * 1024  # bytes of a request before its form; a browser sends a few thousand


class _Request(HTTPRequest):
    """A request whose length is known before it is read.

    One sent in chunks is held in memory as a whole, each chunk as large as the sender says it is; no browser sends a
    form so.
    """

    def read_request_headers(self) -> bool:
        """Read the head; False where the request is refused."""
        if not super().read_request_headers():  # type: ignore[no-untyped-call]
            return False
        if self.chunked_read:
            self.simple_response("411 Length Required", "A request says how long it is.")
            return False
        return True


class _Connection(HTTPConnection):
    RequestHandlerClass = _Request


class PageServer(Server):
    """The threaded server, which gives a connection to a thread once there is something to read on it.

    Browsers open connections ahead of need; each would keep a thread waiting until its time is over.
    """

    ConnectionClass = _Connection
    max_request_header_size = LARGEST_HEAD

    def process_conn(self, conn: HTTPConnection) -> None:
        """Hand a connection on to a thread, or have it watched where it is new."""
        if conn.last_used is None:
            self.put_conn(conn)
        else:
            super().process_conn(conn)

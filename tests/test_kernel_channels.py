"""Moves of a slider go out at once: a real WebSocket of a real server has TCP_NODELAY set.

RFC 896 (Nagle's algorithm) and RFC 9293, section 3.7.4, which has an application turn it off.
"""

from __future__ import annotations

import asyncio
import json
import socket
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
from tornado.httpserver import HTTPServer
from tornado.testing import bind_unused_port
from tornado.web import Application
from tornado.websocket import WebSocketHandler, websocket_connect
from traitlets.utils.importstring import import_item

import tapertrig.classroom

SETTINGS = Path(tapertrig.classroom.__file__).parent / "jupyter/jupyter_server_config.json"


def nodelay_after(connect) -> int:
    """TCP_NODELAY of the server's end of a WebSocket, once `connect` has seen its handler."""
    found = []
    opened: asyncio.Event | None = None

    class Handler(WebSocketHandler):
        def open(self):
            connect(self)
            end = self.ws_connection.stream.socket
            found.append(end.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            opened.set()

    async def run():
        nonlocal opened
        opened = asyncio.Event()
        listener, port = bind_unused_port()
        server = HTTPServer(Application([("/", Handler)]))
        server.add_socket(listener)
        client = await websocket_connect(f"ws://127.0.0.1:{port}/")
        await asyncio.wait_for(opened.wait(), 10)
        client.close()
        server.stop()

    # In a thread of its own: a browser that other tests drive here has a loop running.
    with ThreadPoolExecutor() as pool:
        pool.submit(asyncio.run, run()).result()
    return found[0]


def test_the_servers_channels_do_not_wait(monkeypatch):
    named = json.loads(SETTINGS.read_text())["ServerApp"]["kernel_websocket_connection_class"]
    channels = import_item(named)
    assert issubclass(channels, ZMQChannelsWebsocketConnection)
    calls = []
    monkeypatch.setattr(ZMQChannelsWebsocketConnection, "connect", lambda self: calls.append(self))

    class Unstarted(channels):
        def __init__(self, handler):
            self.websocket_handler = handler

        websocket_handler = None

    assert not nodelay_after(lambda handler: None), "a plain WebSocket waits"
    assert nodelay_after(lambda handler: Unstarted(handler).connect())
    assert len(calls) == 1, "and the rest is Jupyter's own"

"""The way between a page and its kernel: no message waits for another one to be answered."""

from __future__ import annotations

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptChannels(ZMQChannelsWebsocketConnection):
    """Jupyter's channels with Nagle's algorithm off.

    TCP otherwise holds a small message back until the one before is acknowledged (RFC 896); for a
    slider dragged at ten moves a second that is some thirty milliseconds a move.
    """

    def connect(self) -> Any:
        self.websocket_handler.set_nodelay(True)
        return super().connect()

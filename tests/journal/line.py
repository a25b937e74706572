"""A network line to a server, by TCP, that can be cut and can fall silent."""

from __future__ import annotations

import contextlib
import socket
import threading


class Line:
    """Passes bytes between whoever connects to `port` and a server's socket, while it is whole."""

    def __init__(self, server: str) -> None:
        self._server = server
        self._pairs: list[tuple[socket.socket, socket.socket]] = []
        self._cut, self._whole = False, threading.Event()
        self._whole.set()
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._door.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    def cut(self) -> None:
        """End every connection and refuse new ones."""
        self._cut = True
        self._drop()

    def silence(self) -> None:
        """Pass nothing on any more: whoever waits for an answer waits."""
        self._whole.clear()

    def fall_silent(self) -> None:
        """Lose the connections there are, and answer no new one."""
        self.silence()
        self._drop()

    def mend(self) -> None:
        """Be whole again; connections that had fallen silent are ended."""
        self._drop()
        self._cut = False
        self._whole.set()

    def close(self) -> None:
        """End all of it."""
        self._whole.set()
        self.cut()
        self._door.close()

    def _drop(self) -> None:
        for pair in self._pairs:
            for one in pair:
                with contextlib.suppress(OSError):
                    one.shutdown(socket.SHUT_RDWR)
                one.close()
        self._pairs.clear()

    def _accept(self) -> None:
        with contextlib.suppress(OSError):
            while True:
                client, _ = self._door.accept()
                if self._cut:
                    client.close()
                    continue
                server = socket.socket(socket.AF_UNIX)
                try:
                    server.connect(self._server)
                except OSError:
                    client.close()
                    continue
                self._pairs.append((client, server))
                for source, to in ((client, server), (server, client)):
                    threading.Thread(target=self._pass, args=(source, to), daemon=True).start()

    def _pass(self, source: socket.socket, to: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while data := source.recv(65536):
                self._whole.wait()
                to.sendall(data)
            to.shutdown(socket.SHUT_RDWR)

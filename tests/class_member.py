"""A member of a class as a program: logs in to a class server, has a session, runs cells, moves a slider.

What lives here: what a browser would say to the server, over HTTP and the kernel's websocket.  What does not: starting the server (class_server), what is tested.
"""

from __future__ import annotations

import asyncio
import json
import time
import uuid
from collections.abc import Iterator
from contextlib import suppress
from http.cookies import SimpleCookie
from typing import Any, NamedTuple
from urllib.parse import urlencode

from jupyter_server.services.kernels.connection.base import deserialize_msg_from_ws_v1, serialize_msg_to_ws_v1
from tornado.httpclient import AsyncHTTPClient, HTTPRequest, HTTPResponse
from tornado.websocket import WebSocketClientConnection, websocket_connect

PROTOCOL = "v1.kernel.websocket.jupyter.org"  # the one that JupyterLab speaks
PATIENCE = 600.0  # s


class Said(NamedTuple):
    """A message of a kernel and when it came, in seconds of the monotonic clock."""

    at: float
    kind: str
    parent: str
    content: dict[str, Any]
    size: int


class Refused(Exception):
    """The server said no; `code` is its HTTP status."""

    def __init__(self, code: int, path: str) -> None:
        super().__init__(f"{code} at {path}")
        self.code = code


class Member:
    """One who logs in; `comms` has the state of each widget by its id, as far as the kernel told it."""

    def __init__(self, address: str, name: str) -> None:
        self.address, self.name = address, name
        self.comms: dict[str, dict[str, Any]] = {}
        self.heard: list[asyncio.Queue[Said]] = []
        self._cookies: dict[str, str] = {}
        self._token = ""
        self._socket: WebSocketClientConnection | None = None
        self._listener: asyncio.Task | None = None
        self.kernel = ""

    # ---- HTTP

    def forget(self) -> None:
        """Know nothing of an earlier log-in."""
        self._cookies, self._token = {}, ""

    async def status(self, path: str, *, token: bool = True) -> int:
        """The HTTP status at a path, with the token of programs or with the cookies of the browser."""
        kept, self._token = self._token, self._token if token else ""
        try:
            return (await self.ask(path)).code
        except Refused as refusal:
            return refusal.code
        finally:
            self._token = kept

    async def ask(self, path: str, method: str = "GET", body: str | None = None, **headers: str) -> HTTPResponse:
        """A request as this member; redirections are not followed.  Raises `Refused` from status 400 on."""
        if self._token:
            headers["Authorization"] = f"token {self._token}"
        elif self._cookies:
            headers["Cookie"] = "; ".join(f"{name}={value}" for name, value in self._cookies.items())
        request = HTTPRequest(self.address + path, method, headers, body, follow_redirects=False, request_timeout=PATIENCE, connect_timeout=PATIENCE)
        answer = await AsyncHTTPClient().fetch(request, raise_error=False)
        for line in answer.headers.get_list("Set-Cookie"):
            self._cookies |= {name: one.value for name, one in SimpleCookie(line).items()}
        if answer.code >= 400:
            raise Refused(answer.code, path)
        return answer

    async def log_in(self, password: str) -> None:
        """Type name and password into the form of the log-in page; then ask for a token, as programs do."""
        await self.ask("/hub/login")
        form = {"username": self.name, "password": password, "_xsrf": self._cookies["_xsrf"]}
        await self.ask("/hub/login", "POST", urlencode(form), **{"Content-Type": "application/x-www-form-urlencoded"})
        await self.ask("/hub/home")
        told = {"X-XSRFToken": self._cookies["_xsrf"], "Referer": f"{self.address}/hub/home", "Content-Type": "application/json"}
        answer = await self.ask(f"/hub/api/users/{self.name}/tokens", "POST", "{}", **told)
        self._token = json.loads(answer.body)["token"]

    async def start_session(self) -> None:
        """Start the own session and wait until it is ready; one that is just ending is let end first."""
        end = time.monotonic() + PATIENCE
        while True:
            try:
                await self.ask(f"/hub/api/users/{self.name}/server", "POST", "{}")
                break
            except Refused as refusal:
                if refusal.code != 400 or time.monotonic() > end:
                    raise
                await asyncio.sleep(0.5)
        while not await self.has_session():
            if time.monotonic() > end:
                raise TimeoutError(f"the session of {self.name} was not ready within {PATIENCE:g} s")
            await asyncio.sleep(0.25)

    async def has_session(self) -> bool:
        """Whether the own session is ready."""
        servers = json.loads((await self.ask(f"/hub/api/users/{self.name}")).body)["servers"]
        return any(one["ready"] for one in servers.values())

    # ---- the kernel

    async def start_kernel(self) -> None:
        """Start a kernel in the own session and listen to it."""
        answer = await self.ask(f"/user/{self.name}/api/kernels", "POST", json.dumps({"name": "python3", "path": "lesson.ipynb"}))
        self.kernel = json.loads(answer.body)["id"]
        address = f"{self.address.replace('http', 'ws', 1)}/user/{self.name}/api/kernels/{self.kernel}/channels?session_id={uuid.uuid4().hex}"
        request = HTTPRequest(address, headers={"Authorization": f"token {self._token}"}, request_timeout=PATIENCE, connect_timeout=PATIENCE)
        self._socket = await websocket_connect(request, subprotocols=[PROTOCOL], max_message_size=2**27)
        self._listener = asyncio.create_task(self._listen())
        await self.said(self.send("kernel_info_request", {}), "kernel_info_reply")

    def send(self, kind: str, content: dict[str, Any]) -> str:
        """Say something to the kernel; gives the id of the message."""
        id = uuid.uuid4().hex
        header = {"msg_id": id, "msg_type": kind, "session": self.name, "username": self.name, "version": "5.3", "date": ""}
        parts = [json.dumps(part).encode() for part in (header, {}, {}, content)]
        self._socket.write_message(serialize_msg_to_ws_v1(parts, "shell"), binary=True)
        return id

    async def said(self, parent: str, kind: str) -> Said:
        """Wait for an answer of a kind."""
        queue: asyncio.Queue[Said] = asyncio.Queue()
        self.heard.append(queue)
        try:
            async with asyncio.timeout(PATIENCE):
                while True:
                    one = await queue.get()
                    if (one.parent, one.kind) == (parent, kind):
                        return one
        finally:
            self.heard.remove(queue)

    async def run(self, code: str) -> str:
        """Run a cell; gives what it printed, or raises `RuntimeError` with what went wrong in it."""
        queue: asyncio.Queue[Said] = asyncio.Queue()
        self.heard.append(queue)
        id = self.send("execute_request", {"code": code, "silent": False, "store_history": False, "user_expressions": {}, "allow_stdin": False, "stop_on_error": True})
        printed, replied, idle = "", False, False
        try:
            async with asyncio.timeout(PATIENCE):
                while not (replied and idle):
                    one = await queue.get()
                    if one.parent != id:
                        continue
                    if one.kind == "error":
                        raise RuntimeError(f"{one.content['ename']}: {one.content['evalue']}")
                    printed += one.content["text"] if one.kind == "stream" else ""
                    replied |= one.kind == "execute_reply"
                    idle |= one.kind == "status" and one.content["execution_state"] == "idle"
        finally:
            self.heard.remove(queue)
        return printed

    def tell_widget(self, comm: str, state: dict[str, Any]) -> str:
        """Set part of a widget's state, as a hand on a control does."""
        return self.send("comm_msg", {"comm_id": comm, "data": {"method": "update", "state": state, "buffer_paths": []}})

    def press(self, comm: str, content: dict[str, Any]) -> str:
        """Send a widget a message of its own kind, as a button does."""
        return self.send("comm_msg", {"comm_id": comm, "data": {"method": "custom", "content": content}})

    def widgets(self, *keys: str) -> Iterator[str]:
        """The ids of all widgets whose state has these keys, in the order in which they were made."""
        return (id for id, state in self.comms.items() if all(key in state for key in keys))

    async def leave(self) -> None:
        """Close the connection to the kernel; session and kernel stay."""
        if self._socket is not None:
            self._socket.close()
        if self._listener is not None:
            self._listener.cancel()
            with suppress(asyncio.CancelledError):
                await self._listener

    async def _listen(self) -> None:
        while (frame := await self._socket.read_message()) is not None:
            at = time.monotonic()
            _, (header, parent, _, content, *buffers) = deserialize_msg_from_ws_v1(frame)
            kind, said = json.loads(header)["msg_type"], json.loads(content)
            if kind in ("comm_open", "comm_msg") and "state" in said.get("data", {}):
                shown = [path[0] for path in said["data"].get("buffer_paths", [])]
                said["data"]["state"] |= {name: len(buffer) for name, buffer in zip(shown, buffers)}
                self.comms.setdefault(said["comm_id"], {}).update(said["data"]["state"])
            one = Said(at, kind, json.loads(parent).get("msg_id", ""), said, len(frame))
            for queue in self.heard:
                queue.put_nowait(one)

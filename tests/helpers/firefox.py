"""A headless Firefox driven through its own socket: WebDriver BiDi (a W3C draft), without a driver between."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import time
from base64 import b64decode
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Any

from browsers import LIST_IS_MADE, Profile, found, until
from websockets.exceptions import WebSocketException
from websockets.sync.client import connect

NAMES = ("firefox", "firefox-esr")
# A fresh profile that asks nothing, tells nobody anything, and puts downloads where it is told.
QUIET = {
    "browser.shell.checkDefaultBrowser": False, "browser.startup.page": 0,
    "browser.startup.homepage_override.mstone": "ignore", "browser.aboutwelcome.enabled": False,
    "browser.sessionstore.resume_from_crash": False, "toolkit.startup.max_resumed_crashes": -1,
    "datareporting.policy.dataSubmissionEnabled": False, "app.update.disabledForTesting": True,
    "network.captive-portal-service.enabled": False, "network.connectivity-service.enabled": False,
    "browser.download.folderList": 2, "browser.download.useDownloadDir": True, "browser.download.panel.shown": True,
    "browser.download.alwaysOpenPanel": False, "dom.disable_beforeunload": True,
    "ui.systemUsesDarkTheme": 0,
}  # fmt: skip


def installed() -> str | None:
    """The browser's place, or None."""
    return found(NAMES)


class Firefox:
    """One browser with one page; used as a context, and gone afterwards. A profile that is given outlasts it.

    A library that moves the clock (`make test-later`) is kept from it: it never begins with one.
    """

    def __init__(self, *, width: int = 1280, height: int = 900, profile: Path | None = None) -> None:
        self._profile = Profile(profile)
        self.profile = self._profile.folder
        self.downloads = self.profile / "downloads"
        self.downloads.mkdir(parents=True, exist_ok=True)
        prefs = QUIET | {"browser.download.dir": str(self.downloads)}
        told = (f"user_pref({json.dumps(name)}, {json.dumps(value)});\n" for name, value in prefs.items())
        (self.profile / "user.js").write_text("".join(told), "utf-8")
        server = self.profile / "WebDriverBiDiServer.json"
        server.unlink(missing_ok=True)
        self.process = subprocess.Popen(
            [installed() or "firefox", "--headless", "--remote-debugging-port", "0", "--no-remote",
             "--profile", str(self.profile)],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
            env={name: value for name, value in os.environ.items() if name != "LD_PRELOAD"},
        )  # fmt: skip
        self._open = ExitStack()
        self.wire = _connected(server, self._open)
        self.number = 0
        self.ask("session.new", capabilities={"alwaysMatch": {"unhandledPromptBehavior": {"default": "accept"}}})
        self.context = self.ask("browsingContext.getTree")["contexts"][0]["context"]
        self.size(width, height)

    def __enter__(self) -> Firefox:
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()
        self._profile.cleanup()

    def kill(self) -> None:
        """End the browser with all that belongs to it, at once and without a word, also where it has ended already."""
        with suppress(ProcessLookupError, PermissionError):  # not there; ended, and nobody's any more
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(20)
        with suppress(OSError, WebSocketException):  # its end of the wire is gone
            self._open.close()

    def kill_page(self) -> None:
        """End the processes that show pages, as a phone does for want of memory, and open another page."""
        found = subprocess.run(
            ["ps", "-o", "pid=,args=", "--ppid", str(self.process.pid)], capture_output=True, text=True
        )
        parts = (line.split(None, 1) for line in found.stdout.splitlines())
        for pid in [int(pid) for pid, args in parts if args.rstrip().endswith(" tab")]:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        fresh = self.ask("browsingContext.create", type="tab")["context"]
        for one in self.ask("browsingContext.getTree")["contexts"]:
            if one["context"] != fresh:
                self.ask("browsingContext.close", context=one["context"])
        self.context = fresh
        self.size(*self._size)

    def ask(self, method: str, **parameters: Any) -> Any:
        """One command and its answer."""
        self.number += 1
        self.wire.send(json.dumps({"id": self.number, "method": method, "params": parameters}))
        while (answer := json.loads(self.wire.recv(timeout=120))).get("id") != self.number:
            pass
        if answer["type"] == "error":
            raise RuntimeError(f"{method}: {answer['error']} {answer['message'][:2000]}")
        return answer["result"]

    def open(self, path: Path, fragment: str = "", *, ready: str = LIST_IS_MADE) -> None:
        """Open a file and wait until it is ready: until its script has made the list."""
        for url in ("about:blank", path.as_uri() + fragment):
            self.ask("browsingContext.navigate", context=self.context, url=url, wait="complete")
        self.until(ready)

    def reload(self) -> None:
        """Load the page again and wait until it is ready."""
        self.ask("browsingContext.reload", context=self.context, wait="complete")
        self.until(LIST_IS_MADE)

    def run(self, script: str) -> Any:
        """The value of an expression in the page; promises are waited for."""
        target = {"context": self.context}
        found = self.ask("script.evaluate", expression=script, target=target, awaitPromise=True)
        if found["type"] == "exception":
            raise RuntimeError(found["exceptionDetails"]["text"])
        return _plain(found["result"])

    def until(self, script: str, *, seconds: float = 30) -> Any:
        """Wait until an expression is true."""
        return until(self.run, script, seconds=seconds)

    def size(self, width: int, height: int) -> None:
        """Set the window's inner size."""
        self._size = width, height
        size = {"width": width, "height": height}
        self.ask("browsingContext.setViewport", context=self.context, viewport=size)

    def picture(self, path: Path, *, whole: bool = False) -> None:
        """A screenshot of the window, or of the whole page."""
        origin = "document" if whole else "viewport"
        shot = self.ask("browsingContext.captureScreenshot", context=self.context, origin=origin)
        path.write_bytes(b64decode(shot["data"]))

    def pdf(self) -> bytes:
        """The page as it is printed on A4."""
        return b64decode(self.ask("browsingContext.print", context=self.context)["data"])


def _connected(server: Path, open_: ExitStack) -> Any:
    end = time.monotonic() + 90
    while time.monotonic() < end:
        with suppress(OSError, ValueError, KeyError):
            port = json.loads(server.read_text("utf-8"))["ws_port"]
            wire = connect(f"ws://127.0.0.1:{port}/session", max_size=None, open_timeout=60)
            return open_.enter_context(wire)
        time.sleep(0.05)
    raise TimeoutError("Firefox does not answer")


def _plain(told: dict[str, Any]) -> Any:
    """A value of the page as the protocol tells it, plain; an element or a function is only there."""
    kind, value = told["type"], told.get("value")
    if kind in ("undefined", "null"):
        return None
    if kind in ("string", "number", "boolean"):
        return value
    if kind == "array":
        return [_plain(one) for one in value]
    return {name: _plain(one) for name, one in value} if kind == "object" else {}

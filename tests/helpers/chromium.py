"""A headless Chromium driven through its own pipe: the DevTools protocol, without a library."""

from __future__ import annotations

import json
import os
import subprocess
import time
from base64 import b64decode
from collections import deque
from contextlib import suppress
from pathlib import Path
from typing import Any

from browsers import LIST_IS_MADE, Profile, found, until

LOADED = "location.protocol === 'file:' && document.readyState === 'complete'"
NAMES = ("chromium", "chromium-browser", "google-chrome")


def installed() -> str | None:
    """The browser's place, or None."""
    return found(NAMES)


class Chromium:
    """One browser with one page; used as a context, and gone afterwards. A profile that is given outlasts it."""

    def __init__(self, *, width: int = 1280, height: int = 900, profile: Path | None = None) -> None:
        self._profile = Profile(profile)
        self.profile = self._profile.folder
        told, self.tell = os.pipe()
        self.hear, heard = os.pipe()

        def wire() -> None:
            # The protocol's fixed places: 3 is read by the browser, 4 is written by it.
            high = [os.dup(told), os.dup(heard)]
            for end, place in zip(high, (3, 4), strict=True):
                os.dup2(end, place)

        self.process = subprocess.Popen(
            [
                installed() or "chromium",
                "--headless=new",
                "--no-sandbox",
                "--disable-gpu",
                "--remote-debugging-pipe",
                "--no-first-run",
                "--disable-extensions",
                "--disable-dev-shm-usage",
                "--hide-scrollbars",
                f"--window-size={width},{height}",
                f"--user-data-dir={self.profile}",
                "about:blank",
            ],
            preexec_fn=wire,
            close_fds=False,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(told)
        os.close(heard)
        self.number, self.buffer, self.events = 0, b"", deque()
        self.session = None
        page = next(t for t in self.ask("Target.getTargets")["targetInfos"] if t["type"] == "page")
        attached = self.ask("Target.attachToTarget", targetId=page["targetId"], flatten=True)
        self.session = attached["sessionId"]
        for domain in ("Page", "Runtime", "Network", "Log"):
            self.ask(f"{domain}.enable")
        self.size(width, height)

    def __enter__(self) -> Chromium:
        return self

    def __exit__(self, *_: object) -> None:
        self.process.terminate()
        self._gone()
        self._profile.cleanup()

    def kill(self) -> None:
        """End the browser at once and without a word; its parts go with it."""
        self.process.kill()
        self._gone()

    def _gone(self) -> None:
        self.process.wait(20)
        os.close(self.tell)
        os.close(self.hear)

    def ask(self, method: str, **parameters: Any) -> dict[str, Any]:
        """One command and its answer; what happened meanwhile is kept in `events`."""
        self.number += 1
        message: dict[str, Any] = {"id": self.number, "method": method, "params": parameters}
        if self.session:
            message["sessionId"] = self.session
        os.write(self.tell, json.dumps(message).encode() + b"\0")
        while (answer := self._next()).get("id") != self.number:
            self.events.append(answer)
        if "error" in answer:
            raise RuntimeError(f"{method}: {answer['error']}")
        return answer["result"]

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self.buffer:
            more = os.read(self.hear, 1 << 20)
            if not more:
                raise RuntimeError("the browser went away")
            self.buffer += more
        message, _, self.buffer = self.buffer.partition(b"\0")
        return json.loads(message)

    def open(self, path: Path, fragment: str = "", *, ready: str = LIST_IS_MADE) -> None:
        """Open a file and wait until it is ready: until its script has made the list."""
        # Another fragment of the same file would only scroll: leave it first.
        self.ask("Page.navigate", url="about:blank")
        self.until("location.href === 'about:blank'")  # a page that may ask before it is left takes its time
        self.ask("Page.navigate", url=path.as_uri() + fragment)
        self.until(ready)

    def reload(self) -> None:
        """Leave the page unsaved, without being asked, and come back."""
        self.run("window.left = 1; addEventListener('beforeunload', (e) => e.stopImmediatePropagation(), true); 0")
        self.ask("Page.reload")
        for _ in range(1500):
            with suppress(RuntimeError):  # asked while it goes
                if self.run(f"!window.left && {LIST_IS_MADE}"):
                    return
            time.sleep(0.02)
        raise TimeoutError("the page did not come back")

    def run(self, script: str) -> Any:
        """The value of an expression in the page; promises are waited for."""
        result = self.ask("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in result:
            raise RuntimeError(json.dumps(result["exceptionDetails"])[:2000])
        return result["result"].get("value")

    def until(self, script: str, *, seconds: float = 30) -> Any:
        """Wait until an expression is true."""
        return until(self.run, script, seconds=seconds)

    def key(self, key: str) -> None:
        """Press and release a key, as a person does."""
        codes = {"Enter": 13, "ArrowDown": 40, "ArrowUp": 38, "Tab": 9, "/": 191}
        text = {"text": "\r"} if key == "Enter" else {"text": key} if len(key) == 1 else {}
        for kind in ("keyDown", "keyUp"):
            more = text if kind == "keyDown" else {}
            self.ask("Input.dispatchKeyEvent", type=kind, key=key, windowsVirtualKeyCode=codes.get(key, 0), **more)

    def size(self, width: int, height: int) -> None:
        """Set the window's inner size."""
        self.ask("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)

    def scheme(self, name: str) -> None:
        """Prefer `light` or `dark`."""
        self.ask("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": name}])

    def picture(self, path: Path, *, whole: bool = False) -> None:
        """A screenshot of the window, or of the whole page."""
        shot = self.ask("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        path.write_bytes(b64decode(shot["data"]))

    def pdf(self, paper: str | None = "A4") -> bytes:
        """The page as it is printed on A4 or Letter, or with None on the paper that its style names."""
        width, height = {"A4": (8.27, 11.69), "Letter": (8.5, 11), None: (8.27, 11.69)}[paper]
        made = self.ask(
            "Page.printToPDF",
            paperWidth=width,
            paperHeight=height,
            preferCSSPageSize=paper is None,
            printBackground=False,
        )
        return b64decode(made["data"])

    def requests(self) -> list[str]:
        """Every address that was asked for since the start."""
        return [e["params"]["request"]["url"] for e in self.events if e.get("method") == "Network.requestWillBeSent"]

    def complaints(self) -> list[str]:
        """What the page's script or its own policy complained of."""
        return [
            json.dumps(e["params"])
            for e in self.events
            if e.get("method") in ("Runtime.exceptionThrown", "Log.entryAdded")
        ]

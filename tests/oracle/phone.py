"""What a phone transfers of a page, and how its pictures stand, by Chromium over its DevTools protocol.

    phone.py FOLDER PATH SCALE...

Serves FOLDER without compression, opens PATH at 360 px wide for each device scale factor, on a fresh profile, waits until
the network is at rest without scrolling, and prints one line of JSON for each: the bytes of all answers as the browser
counts them (heads included), the files asked for, and for each picture that has come the width that its `sizes` promises
beside the width that it is shown at. At the end it scrolls through, so that all pictures come and are measured.
"""

import functools
import http.server
import json
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import websocket

WIDTH, HEIGHT = 360, 740
FLAGS = [
    "--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-quic", "--hide-scrollbars", "--remote-debugging-port=0",
    "--remote-allow-origins=*",
]
# With width descriptors an image's natural width is the width that `sizes` promised (HTML Standard, density-corrected).
PICTURES = """
[...document.images].filter(i => i.complete && i.naturalWidth).map(i => {
  const box = i.getBoundingClientRect(), ratio = i.getAttribute('width') / i.getAttribute('height');
  const shown = getComputedStyle(i).objectFit === 'cover' ? Math.max(box.width, box.height * ratio) : box.width;
  return {file: i.currentSrc.split('/').pop(), promised: i.naturalWidth, shown, top: box.top + scrollY,
          lazy: i.loading === 'lazy', tall: ratio < 1, holds: (i.parentElement.querySelector('.soon image') || i).getAttribute('href')?.slice(0, 20) || ''};
})"""
ALL = "document.images.length"
SCROLL = "new Promise(async done => { for (let y = 0; y < document.body.scrollHeight; y += 300) { scrollTo(0, y); await new Promise(r => setTimeout(r, 60)); } done(); })"


class Quiet(http.server.SimpleHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def log_message(self, *_):
        pass


class Page:
    """A tab, and what it has transferred."""

    def __init__(self, address):
        self.socket = websocket.create_connection(address, timeout=60)
        self.last, self.open, self.bytes, self.files, self.quiet = 0, set(), 0, {}, time.monotonic()

    def call(self, method, **params):
        self.last += 1
        mine = self.last
        self.socket.send(json.dumps({"id": mine, "method": method, "params": params}))
        while True:
            told = json.loads(self.socket.recv())
            if told.get("id") == mine:
                return told.get("result", {})
            self.note(told)

    def note(self, told):
        params = told.get("params", {})
        request = params.get("requestId")
        if told.get("method") == "Network.requestWillBeSent" and not params["request"]["url"].startswith("data:"):
            self.open.add(request)
            self.files[request] = params["request"]["url"].split("/")[-1] or "index.html"
        elif told.get("method") in ("Network.loadingFinished", "Network.loadingFailed") and request in self.open:
            self.open.discard(request)
            self.bytes += params.get("encodedDataLength", 0)
        else:
            return
        self.quiet = time.monotonic()

    def rest(self, seconds=1.5):
        """Until nothing has been under way for a while."""
        self.quiet = time.monotonic()
        end = time.monotonic() + 60
        while time.monotonic() < end and (self.open or time.monotonic() - self.quiet < seconds):
            self.socket.settimeout(0.2)
            try:
                self.note(json.loads(self.socket.recv()))
            except websocket.WebSocketTimeoutException:
                pass
        self.socket.settimeout(60)
        if self.open:
            sys.exit(f"still under way: {[self.files[request] for request in self.open]}")

    def value(self, expression):
        return self.call("Runtime.evaluate", expression=expression, awaitPromise=True, returnByValue=True)["result"].get("value")


def visit(address, scale):
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        browser = subprocess.Popen(
            ["chromium", *FLAGS, f"--user-data-dir={profile}", "about:blank"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            page = Page(tab(Path(profile) / "DevToolsActivePort"))
            page.call("Network.enable")
            page.call("Page.enable")
            page.call("Emulation.setDeviceMetricsOverride", width=WIDTH, height=HEIGHT, deviceScaleFactor=scale, mobile=True)
            page.call("Page.navigate", url=address)
            page.rest()
            before = {"scale": scale, "bytes": page.bytes, "files": sorted(page.files.values()), "wide": page.value("innerWidth"),
                      "pictures": page.value(PICTURES)}
            page.value(SCROLL)
            page.rest()
            return before | {"all_bytes": page.bytes, "all_pictures": page.value(PICTURES), "count": page.value(ALL)}
        finally:
            browser.terminate()
            browser.wait()


def tab(port_file):
    import urllib.request

    for _ in range(600):
        if port_file.exists() and len(lines := port_file.read_text().splitlines()) == 2:
            told = json.load(urllib.request.urlopen(f"http://127.0.0.1:{lines[0]}/json"))
            for one in told:
                if one["type"] == "page":
                    return one["webSocketDebuggerUrl"]
        time.sleep(0.1)
    sys.exit("chromium does not answer")


def main():
    folder, path, scales = sys.argv[1], sys.argv[2], sys.argv[3:]
    handler = functools.partial(Quiet, directory=folder)
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        for scale in scales:
            print(json.dumps(visit(f"http://127.0.0.1:{server.server_address[1]}/{path}", float(scale))), flush=True)
        server.shutdown()


if __name__ == "__main__":
    main()

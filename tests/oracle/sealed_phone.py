"""A phone opens a sealed page: Chromium over its DevTools protocol, at 360 px, over https at the page's own address.

    sealed_phone.py FOLDER ADDRESS [PICTURES [opens]]

Serves FOLDER as the host of ADDRESS (a certificate made for this run, names resolved to this machine), visits ADDRESS as it
is and in all the ways in which it can go wrong, and prints one JSON object. With PICTURES (and not `-`), screenshots are put
there; with `opens` nothing is made to go wrong.
"""

import base64
import datetime
import functools
import http.server
import json
import ssl
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from urllib.parse import urlsplit

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from phone import FLAGS, SCROLL, Page, tab

WATCH = """
window.bad = []; window.saved = [];
addEventListener('securitypolicyviolation', e => bad.push(e.violatedDirective + ' ' + e.blockedURI));
const click = HTMLAnchorElement.prototype.click;
HTMLAnchorElement.prototype.click = function () { if (this.download) saved.push(this.download); return click.call(this); };
"""
PICTURES = """
[...document.images].map(i => ({src: i.currentSrc, natural: i.naturalWidth, complete: i.complete,
  shown: i.getBoundingClientRect().width, sent: i.hasAttribute('srcset')}))"""


class Host(http.server.SimpleHTTPRequestHandler):
    """The host, which may change, cut, swap or refuse sealed files."""

    protocol_version = "HTTP/1.1"
    spoil = {}

    def log_message(self, *_):
        pass

    def do_GET(self):
        name = self.path.split("/")[-1].split("?")[0]
        how = self.spoil.get(name) or (self.spoil.get("*.bin") if name.endswith(".bin") else None)
        if how is None:
            return super().do_GET()
        data = how(Path(self.translate_path(self.path)))
        if data is None:
            self.close_connection = True
            return
        self.send_response(200)
        self.send_header("Content-Type", "application/octet-stream")
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        self.wfile.write(data)


def changed(path):
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    return bytes(data)


def certificate(folder, host):
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, host)])
    now = datetime.datetime.now(datetime.timezone.utc)
    made = (x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
            .serial_number(1).not_valid_before(now - datetime.timedelta(days=1)).not_valid_after(now + datetime.timedelta(days=7))
            .add_extension(x509.SubjectAlternativeName([x509.DNSName(host)]), False).sign(key, hashes.SHA256()))
    file = Path(folder) / "both.pem"
    file.write_bytes(key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
                     + made.public_bytes(serialization.Encoding.PEM))
    return file


class Phone:
    def __init__(self, page):
        self.page = page
        for domain in ["Network", "Page", "Runtime", "Log"]:
            page.call(f"{domain}.enable")
        page.call("Network.setCacheDisabled", cacheDisabled=True)
        page.call("Page.addScriptToEvaluateOnNewDocument", source=WATCH)
        page.call("Emulation.setDeviceMetricsOverride", width=360, height=740, deviceScaleFactor=2, mobile=True)
        self.asked, self.errors, note = [], [], page.note

        def also(told):
            params = told.get("params", {})
            if told.get("method") == "Network.requestWillBeSent" and params["request"]["url"].startswith("http"):
                self.asked.append(params["request"]["url"])
            if told.get("method") == "Runtime.exceptionThrown":
                self.errors.append(params["exceptionDetails"].get("text", "") + str(params["exceptionDetails"].get("exception", {}).get("description")))
            if told.get("method") == "Log.entryAdded" and params["entry"]["level"] == "error" and "favicon" not in str(params):
                self.errors.append(params["entry"]["text"])
            note(told)

        page.note = also

    def visit(self, address, spoil={}, scripts=True):
        Host.spoil = spoil
        self.asked.clear(), self.errors.clear()
        self.page.call("Page.navigate", url="about:blank")
        self.page.call("Emulation.setScriptExecutionDisabled", value=not scripts)
        self.page.call("Page.navigate", url=address)
        self.page.rest(1.0)
        return {"text": self.page.value("document.body.innerText")}

    def picture(self, into, name, width=360, height=740):
        if into:
            self.page.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 500)
            self.page.rest(0.5)
            shot = self.page.call("Page.captureScreenshot", format="png", captureBeyondViewport=False)
            (Path(into) / f"{name}.png").write_bytes(base64.b64decode(shot["data"]))


def opens(phone, address, into):
    page, seen = phone.page, phone.visit(address)
    seen |= {"wide": page.value("innerWidth"), "title": page.value("document.title"),
             "early": page.value("[...document.images].filter(i => i.src.startsWith('blob:')).length"),
             "overflow": page.value("document.documentElement.scrollWidth")}
    phone.picture(into, "open 360")
    page.value(SCROLL)
    page.rest(1.0)
    seen["pictures"] = page.value(PICTURES)
    page.value("document.querySelector('.prints').scrollIntoView()")
    phone.picture(into, "open 360 photos")
    page.value("scrollTo(0, 0)")
    phone.picture(into, "open 1440", 1440, 900)
    phone.page.call("Emulation.setDeviceMetricsOverride", width=360, height=740, deviceScaleFactor=2, mobile=True)
    page.value("scrollTo(0, 0); document.querySelector('.jump a[href=\"#money\"]').click()")
    page.rest(0.5)
    seen["hash_after_jump"], seen["jumped"] = page.value("location.hash"), page.value("scrollY")
    page.value("document.querySelector('a[href=\"ready.ics\"]').click()")
    page.rest(0.5)
    seen["calendar"] = page.value("saved[0]")
    printed = page.call("Page.printToPDF")
    seen["printed"] = len(base64.b64decode(printed.get("data", "")))
    seen["violations"], seen["errors"], seen["asked"] = page.value("bad"), list(phone.errors), list(phone.asked)
    page.value("document.querySelector('.prints a').click()")
    page.rest(0.5)
    seen["closer"] = page.value("location.href")
    return seen


def all_ways(phone, address, folder, into, only):
    bare, key = address.split("#")
    other = bare + "#" + ("0" if key[0] != "0" else "1") + key[1:]
    typed = bare + "#" + "-".join(key[at:at + 4] for at in range(0, 26, 4)).upper().replace("0", "O").replace("1", "I") + "."
    seen = {"opens": opens(phone, address, into)}
    if only == "opens":
        return seen
    # The page is what is asked for first.
    first = next(one for one in seen["opens"]["asked"] if one.endswith(".bin"))
    name = first.split("/")[-1]
    photos = {one.split("/")[-1]: changed for one in seen["opens"]["asked"] if one.endswith(".bin") and one != first}
    another = next(path for path in (folder / urlsplit(bare).path[1:]).glob("*.bin") if path.name != name)
    ways = {
        "no key": (bare, {}), "wrong key": (other, {}), "typed": (typed, {}),
        "changed": (address, {name: changed}), "cut": (address, {name: lambda path: path.read_bytes()[:20_000]}),
        "swapped": (address, {name: lambda path: another.read_bytes()}), "away": (address, {name: lambda path: None}),
    }
    for what, (where, spoil) in ways.items():
        seen[what] = phone.visit(where, spoil)
        phone.picture(into, what)
    seen["photo changed"] = phone.visit(address, photos)
    phone.page.value(SCROLL)
    phone.page.rest(1.0)
    seen["photo changed"]["text"] = phone.page.value("document.body.innerText")
    seen["no scripts"] = phone.visit(address, scripts=False)
    phone.picture(into, "no scripts")
    phone.picture(into, "no scripts 1440", 1440, 900)
    return seen


def main():
    folder, address = Path(sys.argv[1]), sys.argv[2]
    into, only = [*sys.argv[3:], None, None][:2]
    into = None if into == "-" else into
    host = urlsplit(address).hostname
    handler = functools.partial(Host, directory=str(folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server, \
            tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(certificate(profile, host))
        server.socket = context.wrap_socket(server.socket, server_side=True)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        browser = subprocess.Popen(
            ["chromium", *FLAGS, "--ignore-certificate-errors", f"--user-data-dir={profile}/profile",
             f"--host-resolver-rules=MAP {host}:443 127.0.0.1:{server.server_address[1]}", "about:blank"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            phone = Phone(Page(tab(Path(profile) / "profile/DevToolsActivePort")))
            print(json.dumps(all_ways(phone, address, folder, into, only)))
        finally:
            browser.terminate()
            browser.wait()
            server.shutdown()


if __name__ == "__main__":
    main()

"""A stand-in for the server: one run page, the static files, a sound file and a book of marks that can be killed."""

import contextlib
import json
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import jinja2

import firstsheet
from firstsheet.trays.process import process_for
from firstsheet.trays.runpage import dark_track, run_json, run_page
from firstsheet.trays.soundtrack import render_wav

WEB = Path(firstsheet.__file__).parent / "web"
CSP = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "media-src 'self'; worker-src 'self'"
)
KINDS = {".js": "text/javascript", ".css": "text/css"}
BLACK_AND_WHITE = process_for("direct_positive", "paper", "ortho")
COLOUR = process_for("reversal_ra4", "ra4", "colour")
SHORT = process_for("direct_positive", "paper", "ortho", seconds={"developer": 14, "stop": 5, "fix": 14, "wash": 14})
SHEETS = {
    "SH0R": (SHORT, "An invented one of seconds"),
    "K7QD": (BLACK_AND_WHITE, "Boathouse, the cox. Direct positive 30 × 40 cm"),
    "C3RA": (COLOUR, "Boathouse, bow pair. Colour 30 × 40 cm"),
}


class Server:
    """Listens on one port of this machine; `kill` and `start` as a power cut would."""

    def __init__(self):
        self.posted = []  # every mark of every request that arrived, in order
        self.kept = {}  # by id
        self.by_code = {}  # code -> ids as they were posted, repeated where they were
        self.forget_answers = 0  # so many answers are lost after the marks were kept
        self.port = 0
        self._httpd = None
        env = jinja2.Environment(loader=jinja2.FileSystemLoader(WEB / "templates"), autoescape=True)
        self._template = env.get_template("run.html")
        self._tracks = {}

    @property
    def url(self):
        return f"http://localhost:{self.port}"

    def start(self):
        outer = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.0"

            def log_message(self, *args):
                pass

            def do_GET(self):
                outer.get(self)

            def do_POST(self):
                outer.post(self)

        ThreadingHTTPServer.allow_reuse_address = True
        self._httpd = ThreadingHTTPServer(("127.0.0.1", self.port), Handler)
        self._httpd.daemon_threads = True
        self.port = self._httpd.server_address[1]
        threading.Thread(target=self._httpd.serve_forever, args=(0.05,), daemon=True).start()
        return self

    def kill(self):
        if self._httpd:
            self._httpd.shutdown()
            self._httpd.server_close()
            self._httpd = None

    def page(self, code):
        process, words = sheet(code)
        run = run_page(process, code, words)
        return self._template.render(run=run, run_json=run_json(run), static="/static", worker="/worker.js")

    def track(self, code):
        if code not in self._tracks:
            self._tracks[code] = render_wav(dark_track(SHEETS[code][0]))
        return self._tracks[code]

    def get(self, request):
        path = request.path.split("?")[0]
        parts = path.strip("/").split("/")
        if parts[0] == "trays" and sheet(parts[1]):
            if parts[2:] == ["track.wav"]:
                return answer(request, 200, "audio/wav", self.track(parts[1]))
            return answer(request, 200, "text/html; charset=utf-8", self.page(parts[1]).encode())
        name = "worker.js" if path == "/worker.js" else path.removeprefix("/static/")
        file = WEB / "static" / name
        if "/" not in name and file.is_file():
            return answer(request, 200, KINDS[file.suffix], file.read_bytes())
        if path == "/favicon.ico":
            return answer(request, 204, "image/x-icon", b"")
        return answer(request, 404, "text/plain", b"nothing here")

    def post(self, request):
        body = request.rfile.read(int(request.headers["Content-Length"]))
        if request.headers.get("X-Firstsheet") != "1" or not request.path.startswith("/api/sheets/"):
            return answer(request, 403, "text/plain", b"refused")
        marks = json.loads(body)["marks"]
        self.posted += marks
        self.by_code.setdefault(request.path.split("/")[3], []).extend(m["id"] for m in marks)
        for mark in marks:
            self.kept.setdefault(mark["id"], mark)
        if self.forget_answers:
            self.forget_answers -= 1
            return answer(request, 500, "text/plain", b"lost")
        return answer(request, 200, "application/json", json.dumps({"kept": [m["id"] for m in marks]}).encode())


def sheet(code):
    """A sheet by its code; every one that begins with X is another black and white one."""
    return SHEETS["K7QD"] if code.startswith("X") else SHEETS.get(code)


def answer(request, status, kind, body):
    with contextlib.suppress(ConnectionError):  # the browser went away in the middle of a sound file
        send(request, status, kind, body)


def send(request, status, kind, body):
    request.send_response(status)
    request.send_header("Content-Type", kind)
    request.send_header("Content-Length", str(len(body)))
    request.send_header("Content-Security-Policy", CSP)
    request.end_headers()
    request.wfile.write(body)

"""A headed Chromium on a display of its own, spoken to over its pipe: nothing pretends that a hidden page is seen."""

import json
import os
import shutil
import subprocess
import time


class Display:
    """An X server without a screen, on the first free number."""

    def __init__(self):
        read, write = os.pipe()
        words = ["Xvfb", "-displayfd", str(write), "-screen", "0", "1024x900x24", "-nolisten", "tcp", "-noreset"]
        self.process = subprocess.Popen(words, pass_fds=(write,), stderr=subprocess.DEVNULL)
        os.close(write)
        told = b""
        while not told.endswith(b"\n"):
            told += os.read(read, 16)
        self.name = ":" + told.decode().strip()
        os.close(read)
        time.sleep(1.0)  # it tells its number a moment before it can be drawn on

    def close(self):
        self.process.terminate()
        self.process.wait(10)


class Piped:
    def __init__(self, chromium, folder, display):
        ours_in, theirs_out = os.pipe()
        theirs_in, ours_out = os.pipe()

        def place():
            a, b = os.dup(theirs_in), os.dup(theirs_out)
            os.dup2(a, 3)
            os.dup2(b, 4)

        flags = [
            "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
            "--disable-component-update", "--disable-sync", "--remote-debugging-pipe", f"--user-data-dir={folder}", "about:blank",
        ]  # fmt: skip
        self.process = subprocess.Popen(
            [chromium, *flags], env={**os.environ, "DISPLAY": display.name}, close_fds=False, preexec_fn=place,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(theirs_in)
        os.close(theirs_out)
        self.out, self.into = ours_out, os.fdopen(ours_in, "rb", buffering=0)
        self.rest, self.number = b"", 0

    def send(self, method, session=None, **params):
        self.number += 1
        message = {"id": self.number, "method": method, "params": params}
        if session:
            message["sessionId"] = session
        os.write(self.out, json.dumps(message).encode() + b"\0")
        while True:
            while b"\0" not in self.rest:
                got = self.into.read(65536)
                if not got:
                    raise EOFError
                self.rest += got
            line, _, self.rest = self.rest.partition(b"\0")
            told = json.loads(line)
            if told.get("id") == self.number:
                assert "error" not in told, told
                return told["result"]

    def tab(self, url="about:blank"):
        made = self.send("Target.createTarget", url=url)
        return self.send("Target.attachToTarget", targetId=made["targetId"], flatten=True)["sessionId"]

    def run(self, session, script):
        told = self.send(
            "Runtime.evaluate", session, expression=script, awaitPromise=True, returnByValue=True, userGesture=True
        )
        assert "exceptionDetails" not in told, told
        return told["result"].get("value")

    def until(self, session, script, seconds=20):
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if self.run(session, script):
                return
            time.sleep(0.1)
        raise AssertionError(script)

    def close(self):
        self.process.terminate()
        self.process.wait(10)


def why_not():
    """Why no headed browser can be had here; "" where it can."""
    if not shutil.which("Xvfb"):
        return "no Xvfb here: sudo apt-get install xvfb"
    return "" if os.name == "posix" else "no X display on this system"

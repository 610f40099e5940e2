"""A headless Chromium, spoken to by its DevTools protocol over a pipe (no port, no network)."""
import base64
import json
import os
import shutil
import subprocess
import tempfile

FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--hide-scrollbars", "--remote-debugging-pipe"]


def program():
    return shutil.which("chromium") or shutil.which("chromium-browser")


class Browser:
    """One tab. Every request that the page makes is kept in `requests`, what the policy or the page
    complains of in `complaints`."""

    def __init__(self):
        self.profile = tempfile.mkdtemp(prefix="serveplumb-chromium-")
        theirs_in, self.out = os.pipe()
        self.input, theirs_out = os.pipe()
        # Chromium reads from descriptor 3 and writes to 4
        self.process = subprocess.Popen(
            ["sh", "-c", f'exec 3<&{theirs_in} 4>&{theirs_out}; exec "$@"', "sh", program(), *FLAGS,
             f"--user-data-dir={self.profile}", "about:blank"],
            pass_fds=(theirs_in, theirs_out), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL)
        os.close(theirs_in)
        os.close(theirs_out)
        self.buffer, self.number, self.session = b"", 0, None
        self.requests, self.complaints, self.loaded = [], [], False
        target = next(one for one in self.call("Target.getTargets")["targetInfos"] if one["type"] == "page")
        self.session = self.call("Target.attachToTarget", targetId=target["targetId"], flatten=True)["sessionId"]
        for domain in ("Page", "Network", "Log", "Runtime", "Accessibility"):
            self.call(f"{domain}.enable")

    def close(self):
        os.close(self.out)
        self.process.terminate()
        self.process.wait(timeout=20)
        os.close(self.input)
        shutil.rmtree(self.profile, ignore_errors=True)

    def _next(self):
        while b"\0" not in self.buffer:
            part = os.read(self.input, 1 << 20)
            if not part:
                raise RuntimeError("chromium has gone")
            self.buffer += part
        message, self.buffer = self.buffer.split(b"\0", 1)
        return json.loads(message)

    def _note(self, message):
        method, about = message.get("method"), message.get("params", {})
        if method == "Network.requestWillBeSent":
            self.requests.append(about["request"]["url"])
        elif method == "Log.entryAdded":
            self.complaints.append(about["entry"]["text"])
        elif method == "Runtime.exceptionThrown":
            self.complaints.append(about["exceptionDetails"]["text"])
        elif method == "Page.loadEventFired":
            self.loaded = True

    def call(self, method, **about):
        self.number += 1
        message = {"id": self.number, "method": method, "params": about}
        if self.session:
            message["sessionId"] = self.session
        os.write(self.out, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == self.number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return answer["result"]
            self._note(answer)

    def open(self, path, width, height=900, dark=False, scale=1):
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=scale,
                  mobile=width < 600)
        self.call("Emulation.setEmulatedMedia",
                  features=[{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}])
        self.requests, self.complaints, self.loaded = [], [], False
        self.call("Page.navigate", url=f"file://{path}")
        while not self.loaded:
            self._note(self._next())

    def ask(self, expression):
        """The value of an expression; a promise is waited for. The page's own policy does not hold here."""
        answer = self.call("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in answer:
            raise RuntimeError(answer["exceptionDetails"])
        return answer["result"].get("value")

    def screenshot(self, path):
        size = self.call("Page.getLayoutMetrics")["cssContentSize"]
        clip = {"x": 0, "y": 0, "width": size["width"], "height": min(size["height"], 16000), "scale": 1}
        shot = self.call("Page.captureScreenshot", captureBeyondViewport=True, clip=clip)
        with open(path, "wb") as file:
            file.write(base64.b64decode(shot["data"]))

    def pdf(self):
        return base64.b64decode(self.call("Page.printToPDF", preferCSSPageSize=True, printBackground=True)["data"])

    def tree(self):
        """(role, name) of all that a screen reader is told, in its order."""
        nodes = self.call("Accessibility.getFullAXTree")["nodes"]
        return [(node["role"]["value"], node.get("name", {}).get("value", ""), node)
                for node in nodes if not node.get("ignored") and "role" in node]

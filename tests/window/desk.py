"""A display of its own, the program on it, and the review on disk: what all tests of the window share."""
import json
import os
import pathlib
import shutil
import subprocess
import tempfile
import time

try:
    import numpy
except ImportError:
    numpy = None

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
TOOLS = ["Xvfb", "xdotool", "import", "ffmpeg"]
MISSING = [tool for tool in TOOLS if shutil.which(tool) is None]
if numpy is None:
    MISSING.append("numpy")

# Upright pixels: squares of 6 x 6 on black, told by their colours, with their middles at +3. No text
# and no sign of the window has one of these colours.
COLORS = {"red": (255, 0, 0), "lime": (0, 255, 0), "blue": (0, 0, 255), "magenta": (255, 0, 255)}
RED, GREEN, BLUE = (63, 41), (205, 67), (147, 139)
AWAY = (5, 795)  # on the strip
STEP = 5  # the magenta square moves so many pixels a frame


def middle(corner):
    return (corner[0] + 3, corner[1] + 3)


def make_clip(path, *more, size="320x180", turn=None):
    """Squares at known places, and a magenta one whose place tells the number of the frame."""
    boxes = ",".join(f"drawbox=x={x}:y={y}:w=6:h=6:color={color}:t=fill"
                     for (x, y), color in zip((RED, GREEN, BLUE), ("red", "lime", "blue")))
    graph = (f"color=black:size={size}:rate=30:duration=1.1,format=rgb24,{boxes}[ground];"
             f"color=magenta:size=6x6:rate=30:duration=1.1,format=rgb24[square];"
             f"[ground][square]overlay=x='10+{STEP}*(n-1)':y=110:format=rgb,format=yuv444p"
             + (f",{turn}" if turn else "") + "[out]")
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-filter_complex", graph, "-map", "[out]",
                    "-c:v", "libx264", "-qp", "0", "-preset", "ultrafast", "-bf", "2", *more,
                    str(path)], check=True, stdin=subprocess.DEVNULL)


def until(find, what, seconds=15):
    """The first true answer of `find`."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        answer = find()
        if answer:
            return answer
        time.sleep(0.03)
    raise AssertionError(f"waited {seconds} s in vain for {what}")


class Screen:
    """A display of its own."""

    def __init__(self, width=1280, height=800):
        read, write = os.pipe()
        self.server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", f"{width}x{height}x24", "-nolisten", "tcp", "-noreset"],
            pass_fds=[write], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        os.close(write)
        with os.fdopen(read) as lines:
            number = lines.readline().strip()
        self.environment = dict(os.environ, DISPLAY=f":{number}", SDL_VIDEODRIVER="x11",
                                SDL_RENDER_DRIVER="software",
                                SDL_AUDIODRIVER="dummy")
        # What fontconfig and D-Bus keep to their end is no leak of ours; all else stays on.
        self.environment["ASAN_OPTIONS"] = os.environ.get("ASAN_OPTIONS", "") + ":detect_leaks=0"
        self.environment.pop("WAYLAND_DISPLAY", None)
        # A home of its own: nobody's preferences are read or changed.
        self.home = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-home-"))
        for name in ("CONFIG", "STATE", "CACHE"):
            self.environment[f"XDG_{name}_HOME"] = str(self.home / name.lower())

    def forget(self):
        """An empty home again."""
        shutil.rmtree(self.home)
        self.home.mkdir()

    def close(self):
        self.server.terminate()
        self.server.wait()
        shutil.rmtree(self.home)

    def do(self, *words):
        return subprocess.run(["xdotool", *map(str, words)], env=self.environment, check=True, text=True,
                              capture_output=True, stdin=subprocess.DEVNULL).stdout.strip()

    def picture(self):
        """RGB of what is shown, rows first."""
        data = subprocess.run(["import", "-window", "root", "-depth", "8", "ppm:-"], env=self.environment,
                              check=True, capture_output=True, stdin=subprocess.DEVNULL).stdout
        kind, width, height, deepest = data.split(None, 4)[:4]
        assert kind == b"P6" and deepest == b"255"
        width, height = int(width), int(height)
        return numpy.frombuffer(data[-width * height * 3:], numpy.uint8).reshape(height, width, 3).astype(int)

    def find(self, color):
        """Middle of the pixels of a colour, in pixels from the outer corner; None when there are none."""
        picture = self.picture()
        near = numpy.abs(picture - numpy.array(COLORS[color])).max(axis=2) < 70
        rows, columns = numpy.nonzero(near)
        if len(rows) == 0:
            return None
        return ((columns.min() + columns.max() + 1) / 2, (rows.min() + rows.max() + 1) / 2)


class Window:
    """The program at work on a screen."""

    def __init__(self, screen, *words):
        self.screen = screen
        self.process = subprocess.Popen([PROGRAM, *map(str, words)], env=screen.environment,
                                        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                                        stderr=subprocess.PIPE, text=True)
        screen.do("mousemove", *AWAY)
        try:
            until(self.name, "the window")
            # Keys that come before the window has the focus would find it not listening yet. Over a
            # card the letters of the sheet are dimmed.
            until(lambda: screen.picture()[:110, 960:].max() > 100, "the first picture")
        except AssertionError:
            self.stop()
            raise

    def name(self):
        if self.process.poll() is not None:
            raise AssertionError(f"the program ended: {self.process.communicate()}")
        shown = subprocess.run(["xdotool", "search", "--onlyvisible", "--class", "serveplumb", "getwindowname"],
                               env=self.screen.environment, capture_output=True, text=True, check=False)
        return shown.stdout.strip()

    def keys(self, *keys):
        self.screen.do("key", "--delay", 4, *keys)

    def line(self, key, text):
        """Opens a line by its key, fills it in and enters it."""
        self.keys(key)
        # The card dims the head of the sheet, whose letters are nearly white.
        until(lambda: self.screen.picture()[:110, 960:].max() < 200, f"the line that {key} opens")
        self.screen.do("type", "--delay", 4, text)
        self.keys("Return")

    def move(self, at):
        self.screen.do("mousemove", int(at[0]), int(at[1]))

    def tap(self, at):
        self.move(at)
        self.screen.do("click", 1)

    def drag(self, start, end):
        self.move(start)
        self.screen.do("mousedown", 1)
        self.move(((start[0] + end[0]) / 2, (start[1] + end[1]) / 2))
        self.move(end)
        self.screen.do("mouseup", 1)

    def close(self):
        """Asked to close by its key; the exit status and what was said."""
        self.keys("ctrl+q")
        _, said = self.process.communicate(timeout=20)
        return self.process.returncode, said

    def stop(self):
        if self.process.poll() is None:
            self.process.terminate()
        self.process.communicate()


class Desk:
    """Of a unittest.TestCase: a screen for all its tests, for each a folder with the clip, and what is on disk."""

    @classmethod
    def setUpClass(cls):
        cls.source = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-window-"))
        make_clip(cls.source / "serve.mp4")
        cls.screen = Screen()

    @classmethod
    def tearDownClass(cls):
        cls.screen.close()
        shutil.rmtree(cls.source)

    def setUp(self):
        self.screen.forget()
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-window-"))
        self.clip = self.folder / "serve.mp4"
        shutil.copy(self.source / "serve.mp4", self.clip)
        self.review = self.folder / "serve.review.json"
        self.window = None

    def tearDown(self):
        if self.window is not None:
            self.window.stop()
        self.folder.chmod(0o700)
        shutil.rmtree(self.folder)

    def open(self, *words):
        self.window = Window(self.screen, *(words or [self.clip]))
        return self.window

    def document(self):
        return json.loads(self.review.read_text()) if self.review.exists() else {}

    def until(self, find, what):
        """Waits for the review on disk to answer."""
        return until(lambda: find(self.document()), what)

    def moments(self):
        return {m["name"]: m["frame"] for m in self.document().get("moments", [])}

    def points(self, frame):
        """Those marked on a frame, by their names."""
        found = [entry["points"] for entry in self.document().get("marks", []) if entry["frame"] == frame]
        return found[0] if found else {}

    def mark(self, frame, name):
        point = self.points(frame).get(name)
        return None if point is None else tuple(point["at"])

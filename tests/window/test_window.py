"""The window from outside: real key and mouse events, judged by the review on disk and by what is
on the screen. Needs Xvfb, xdotool and ImageMagick; skipped, saying so, where they are missing."""
import json
import os
import pathlib
import shutil
import stat
import subprocess
import tempfile
import time
import unittest

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


@unittest.skipIf(MISSING, f"without {', '.join(MISSING)}; install xvfb, xdotool, imagemagick, ffmpeg and python3-numpy")
class WindowTest(unittest.TestCase):
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

    def mark(self, frame, name):
        for entry in self.document().get("marks", []):
            if entry["frame"] == frame and name in entry["points"]:
                return tuple(entry["points"][name]["at"])
        return None

    def place(self, color):
        """Where a square is, with the loupe out of the way and everything standing still."""
        self.window.move(AWAY)
        last = [None]

        def still():
            now = self.screen.find(color)
            same, last[0] = now is not None and now == last[0], now
            time.sleep(0.05)
            return same

        until(still, f"the {color} square")
        return last[0]

    def assert_near(self, at, expected, tolerance=0.6):
        """A tap names a whole pixel of the screen, here about a third of one of the clip."""
        for got, wanted in zip(at, expected):
            self.assertLessEqual(abs(got - wanted), tolerance, f"got {at}, expected {expected}")

    def trophy_on_frame_7(self):
        window = self.open()
        window.keys("Return", *["Right"] * 7, "2")
        until(lambda: self.moments() == {"trophy": 7}, "the trophy on frame 7")
        return window

    def test_a_key_names_the_frame_in_view_and_undo_takes_it_back(self):
        window = self.open()
        window.keys("Return", *["Right"] * 9, "1", "shift+Right", "2", "Left", "Left", "3")
        until(lambda: self.moments() == {"release": 9, "trophy": 19, "drop": 17}, "three moments")
        window.keys("ctrl+z")
        until(lambda: self.moments() == {"release": 9, "trophy": 19}, "undo")
        window.keys("ctrl+z", "ctrl+z")
        until(lambda: self.moments() == {}, "undo of all")
        window.keys("ctrl+y", "ctrl+shift+z")
        until(lambda: self.moments() == {"release": 9, "trophy": 19}, "redo")
        window.keys("shift+2")
        until(lambda: self.moments() == {"release": 9}, "the name taken off")
        self.assertEqual(window.close()[0], 0)

    def test_the_picture_is_that_of_the_frame_named(self):
        window = self.open()
        window.keys("Return", "F")
        red, blue = self.place("red"), self.place("blue")
        zoom = (blue[0] - red[0]) / (BLUE[0] - RED[0])
        for keys, frame in ((["End"], 32), (["Left", "Left", "Left"], 29), (["shift+Left"], 19),
                            (["Home", "Right"], 1), (["g"], 23)):
            if keys == ["g"]:
                window.line("g", "23")
            else:
                window.keys(*keys)
            expected = red[0] + (10 + STEP * frame - RED[0]) * zoom

            def there():
                at = self.screen.find("magenta")
                return at is not None and abs(at[0] - expected) < zoom
            until(there, f"the picture of frame {frame}")

    def test_taps_land_where_they_are_seen(self):
        window = self.trophy_on_frame_7()
        for color, corner, name in (("red", RED, "right_shoulder"), ("lime", GREEN, "right_elbow"),
                                    ("blue", BLUE, "hand_heel")):
            window.tap(self.place(color))
            at = until(lambda: self.mark(7, name), name)
            self.assert_near(at, middle(corner))

    def test_a_nearer_picture_gives_a_finer_tap(self):
        window = self.trophy_on_frame_7()
        window.move(self.place("blue"))
        self.screen.do("click", "--repeat", 8, 4)
        time.sleep(0.3)
        window.tap(self.place("blue"))
        self.assert_near(until(lambda: self.mark(7, "right_shoulder"), "the tap"), middle(BLUE), 0.2)

    def test_keys_nudge_by_a_pixel_and_by_a_tenth(self):
        window = self.trophy_on_frame_7()
        window.tap(self.place("red"))
        x, y = until(lambda: self.mark(7, "right_shoulder"), "the tap")
        window.keys("alt+Right", "alt+Right", "alt+Up", "alt+shift+Left")

        def moved():
            at = self.mark(7, "right_shoulder")
            return abs(at[0] - (x + 1.9)) < 1e-9 and abs(at[1] - (y - 1)) < 1e-9
        until(moved, "four nudges")

    def test_a_point_is_dragged_deleted_and_brought_back(self):
        window = self.trophy_on_frame_7()
        red, green = self.place("red"), self.place("lime")
        window.tap(red)
        until(lambda: self.mark(7, "right_shoulder"), "the tap")
        window.drag(red, green)
        until(lambda: self.mark(7, "right_shoulder")[0] > 200, "the drag")
        self.assert_near(self.mark(7, "right_shoulder"), middle(GREEN), 1.0)
        window.keys("Delete")
        until(lambda: self.mark(7, "right_shoulder") is None, "the point gone")
        window.keys("ctrl+z")
        until(lambda: self.mark(7, "right_shoulder"), "the point back")

    def test_a_point_is_placed_by_keys_alone(self):
        window = self.trophy_on_frame_7()
        window.move(AWAY)
        window.keys("ctrl+Left", "ctrl+Left", "ctrl+shift+Down", "Return")
        x, y = until(lambda: self.mark(7, "right_shoulder"), "the point at the cross")
        self.assertNotEqual((x, y), (0, 0))
        window.keys("ctrl+Right", "Return")
        at = until(lambda: self.mark(7, "right_elbow"), "the next point at the cross")
        self.assertAlmostEqual(at[0], x + 1)

    def test_a_point_that_is_not_seen_is_left_out(self):
        window = self.trophy_on_frame_7()
        window.keys("x")
        window.tap(self.place("lime"))
        until(lambda: self.mark(7, "right_elbow"), "the second point")
        self.assertIsNone(self.mark(7, "right_shoulder"))

    def test_two_taps_and_a_court_distance_set_the_scale(self):
        window = self.open()
        window.keys("Return", "c", "Down", "Return")
        red, blue = self.place("red"), self.place("blue")
        window.tap(red)
        window.tap(blue)
        scale = self.until(lambda d: d.get("scales") and d["scales"][0], "the scale")
        self.assertEqual(scale["method"], "line")
        self.assertAlmostEqual(scale["distance_m"], 18 * 0.3048)  # half of 36 ft, ITF Rule 1
        self.assert_near(scale["a"], middle(RED))
        self.assert_near(scale["b"], middle(BLUE))
        self.assertEqual(self.document()["scale"], scale["id"])
        window.keys("ctrl+z")
        self.until(lambda d: not d["scales"], "undo of the scale in one step")

    def test_two_taps_on_something_upright_set_the_plumb(self):
        window = self.open()
        window.keys("Return", "p", "Down", "Return")
        window.tap(self.place("red"))
        window.tap(self.place("blue"))
        plumb = self.until(lambda d: d.get("plumb", {}).get("method") == "hang" and d["plumb"], "the plumb")
        # atan2(63 - 147, 139 - 41): up leans left, toward the red square above
        self.assertAlmostEqual(plumb["angle_deg"], -40.60, delta=0.5)

    def test_one_point_is_tapped_frame_after_frame(self):
        window = self.open()
        window.keys("Return", "e")
        window.keys("Return")
        for frame in range(3):
            window.tap(self.place("magenta"))
            at = until(lambda: self.mark(frame, "racquet_tip"), f"the tip on frame {frame}")
            self.assert_near(at, (13 + STEP * frame, 113), 1.0)
            window.move(AWAY)

    def test_hand_view_stature_and_slowdown_are_set_by_keys(self):
        window = self.open()
        window.keys("h", "v", "shift+s", "shift+s")
        window.line("t", "6 ft 1")
        window.line("d", "8")
        self.until(lambda d: d.get("clip", {}).get("slowdown") == 8, "the slowdown")
        document = self.document()
        self.assertEqual(document["player"]["hand"], "left")
        self.assertEqual(document["player"]["shoulder"], "past_trouble")
        self.assertEqual((document["view"], document["net"]), ("back", "away"))
        self.assertAlmostEqual(document["player"]["stature_m"], 73 * 0.0254)

    def test_a_wrong_line_is_refused_in_words_and_edits_nothing(self):
        window = self.open()
        window.keys("1")
        until(lambda: self.moments() == {"release": 0}, "a review")
        window.line("t", "tall")
        window.keys("Escape", "2")
        until(lambda: self.moments() == {"release": 0, "trophy": 0}, "the next edit")
        self.assertNotIn("stature_m", self.document()["player"])

    def test_the_still_lies_beside_the_review(self):
        window = self.trophy_on_frame_7()
        window.keys("s", "Right", "s")
        for word in ("trophy", "frame8"):
            path = self.folder / f"serve-{word}.png"
            until(path.exists, path.name)
            self.assertEqual(path.read_bytes()[:8], b"\x89PNG\r\n\x1a\n")

    def test_a_review_opens_its_clip_again_with_all_that_was_tapped(self):
        window = self.trophy_on_frame_7()
        window.tap(self.place("red"))
        first = until(lambda: self.mark(7, "right_shoulder"), "the tap")
        self.assertEqual(window.close(), (0, ""))
        window = self.open(self.review)
        until(lambda: "serve.mp4" in window.name(), "the clip")
        window.keys("Next", "Tab", "alt+Down")
        until(lambda: self.mark(7, "right_shoulder") == (first[0], first[1] + 1), "one nudge more")

    def test_a_turned_clip_is_shown_upright_and_tapped_upright(self):
        stored = self.folder / "stored.mp4"
        make_clip(stored, turn="transpose=clock")  # 180 x 320 as stored
        subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", stored, "-c", "copy", "-metadata:s:v",
                        "rotate=90", self.clip], check=True, stdin=subprocess.DEVNULL)
        window = self.trophy_on_frame_7()
        for color, corner, name in (("red", RED, "right_shoulder"), ("blue", BLUE, "right_elbow")):
            window.tap(self.place(color))
            self.assert_near(until(lambda: self.mark(7, name), name), middle(corner))

    def preferences(self):
        path = self.screen.home / "config" / "serveplumb" / "preferences.json"
        return json.loads(path.read_text()) if path.exists() else {}

    def test_what_is_preferred_is_there_again_for_the_next_clip(self):
        window = self.open()
        window.keys("b", "u", "ctrl+p", "Down", "Down", "Down", "Return", "Down", "Return", "Escape")
        until(lambda: self.preferences().get("view") == "back", "the preferences on disk")
        self.assertEqual({k: v for k, v in self.preferences().items() if k in ("theme", "units", "hand", "view")},
                         {"theme": "light", "units": "imperial", "hand": "left", "view": "back"})
        self.assertEqual(window.close()[0], 0)
        window = self.open()
        window.keys("1")
        self.until(lambda d: d.get("moments"), "an edit")
        document = self.document()
        self.assertEqual((document["player"]["hand"], document["view"], document["net"]), ("left", "back", "away"))
        # the light sheet
        self.assertGreater(self.screen.picture()[400, 1265].min(), 200)

    def test_a_folder_is_a_list_of_its_clips(self):
        shutil.copy(self.clip, self.folder / "second.mov")
        (self.folder / "notes.txt").write_text("no clip")
        window = self.open(self.folder)
        window.keys("Return")
        until(lambda: "second.mov" in window.name(), "the first of the alphabet")
        window.keys("Return", "1")
        until((self.folder / "second.review.json").exists, "its review")
        window.keys("ctrl+d", "Down", "Return")
        until(lambda: "serve.mp4" in window.name(), "the other clip")

    def test_folders_are_gone_through_to_a_clip(self):
        (self.folder / "season").mkdir()
        shutil.copy(self.clip, self.folder / "season" / "second.mov")
        window = self.open()
        window.keys("ctrl+shift+o", "Return", "Return")  # the folder, the clip in it
        until(lambda: "second.mov" in window.name(), "the clip in the folder")
        window.keys("ctrl+shift+o", "Up", "Return", "Down", "Return")  # the folder above, its clip
        until(lambda: "serve.mp4" in window.name(), "the clip in the folder above")

    def test_a_recent_clip_is_opened_from_the_list(self):
        window = self.open()
        window.keys("3", "ctrl+q")
        window.process.communicate(timeout=20)
        pictures = list((self.screen.home / "cache" / "serveplumb").glob("*.ppm"))
        self.assertEqual([p.read_bytes()[:2] for p in pictures], [b"P6"])
        self.window = window = Window(self.screen)
        window.keys("Down", "Return")
        until(lambda: "serve.mp4" in window.name(), "the clip")

    def test_a_renamed_clip_is_found_by_its_content_and_linked(self):
        window = self.trophy_on_frame_7()
        window.close()
        renamed = self.folder / "anna.mp4"
        self.clip.rename(renamed)
        for what in (self.review, renamed):
            window = self.open(what)
            until(lambda: "anna.mp4" in window.name(), "the clip under its new name")
            window.keys("Next", "ctrl+q")
            window.process.communicate(timeout=20)
            self.assertEqual(self.document()["clip"]["file"], "serve.mp4")
        window = self.open(self.review)
        window.keys("Return")
        self.until(lambda d: d["clip"]["file"] == "anna.mp4", "the link")
        self.assertEqual(self.moments(), {"trophy": 7})
        self.assertFalse((self.folder / "anna.review.json").exists())

    def test_a_wrong_file_is_refused_in_words(self):
        wrong = self.folder / "notes.mp4"
        wrong.write_text("no clip at all")
        window = self.open(wrong)
        status, said = window.close()
        self.assertEqual(status, 1)
        self.assertEqual(len(said.splitlines()), 1, said)
        self.assertTrue(said.startswith("serveplumb: "), said)
        self.assertIn("notes.mp4", said)

    def test_a_wrong_file_leaves_what_is_open(self):
        wrong = self.folder / "notes.mp4"
        wrong.write_text("no clip at all")
        window = self.trophy_on_frame_7()
        window.line("ctrl+o", str(wrong))
        window.keys("3")
        until(lambda: self.moments() == {"trophy": 7, "drop": 7}, "an edit after the refusal")
        self.assertIn("serve.mp4", window.name())

    def test_no_argument_waits_for_a_clip(self):
        window = Window(self.screen)
        self.window = window
        window.line("ctrl+o", str(self.clip))
        until(lambda: "serve.mp4" in window.name(), "the clip")
        window.keys("1")
        until(lambda: self.moments() == {"release": 0}, "an edit")

    def test_another_clip_under_an_old_review_is_not_edited(self):
        window = self.trophy_on_frame_7()
        window.close()
        before = self.review.read_bytes()
        with open(self.clip, "ab") as clip:  # decodes as before, but is another file
            clip.write(b"\0\0\0\x08free")
        window = self.open()
        window.keys("3", "s")
        until((self.folder / "serve-frame0.png").exists, "the still, which is allowed")
        self.assertEqual(self.review.read_bytes(), before)
        self.assertEqual(window.close()[0], 0)

    @unittest.skipIf(os.geteuid() == 0, "root may write anywhere; run as another user to test this")
    def test_a_folder_that_cannot_be_written_keeps_the_edits_in_the_window(self):
        window = self.open()
        self.folder.chmod(stat.S_IRUSR | stat.S_IXUSR)
        window.keys("1", "ctrl+q")
        time.sleep(1)
        self.assertIsNone(window.process.poll(), "closed in spite of edits that are not on disk")
        self.folder.chmod(0o700)
        window.keys("Right", "2")
        until(lambda: self.moments() == {"release": 0, "trophy": 1}, "both edits on disk")
        self.assertEqual(window.close()[0], 0)

    def test_an_idle_window_takes_no_processor_time(self):
        window = self.trophy_on_frame_7()
        window.move(AWAY)
        time.sleep(1)

        def ticks():
            fields = pathlib.Path(f"/proc/{window.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
            return int(fields[11]) + int(fields[12])
        before = ticks()
        time.sleep(2)
        self.assertLessEqual(ticks() - before, 4, "hundredths of a second in two seconds")


if __name__ == "__main__":
    unittest.main()

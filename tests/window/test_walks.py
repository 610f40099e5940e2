"""From a folder with one clip to a finished review and its still, by the mouse alone and by the
keyboard alone: real events of the X server, and the review on disk held against what was meant.
By touch: window_walk_test, with SDL's own finger events, for the X server has none to send."""
import json
import math
import pathlib
import subprocess
import unittest

from desk import BLUE, MISSING, PROGRAM, RED, Desk, Screen, Window, middle, until

# From the side, in the order in which the sheet asks: what the checks of that view look at.
MEANT = {
    "release": (5, ["ball"]),
    "trophy": (11, ["right_shoulder", "right_elbow", "hand_heel", "racquet_butt", "left_shoulder", "left_hand",
                    "right_hip", "left_hip", "left_knee", "left_ankle", "left_toe", "right_knee",
                    "right_ankle"]),
    "drop": (17, ["right_elbow", "right_hand", "racquet_tip", "right_hip", "left_hip"]),
    "contact": (23, ["right_shoulder", "right_elbow", "right_hand", "racquet_tip", "left_shoulder", "right_hip",
                     "left_hip", "right_ear", "ball"]),
}
LAST = 32
HEAD, CAP = (1060, 70), (1240, 25)  # of the sheet: what is next, and its key
STRIP_Y = 760
FIRST_ROW = (640, 140)  # of a long list


def steps(count):
    """Untidy ways from each point to the next, in whole pixels and tenths; they stay in the picture."""
    x, y = 160.0, 90.0  # the middle of the clip
    for i in range(count):
        dx, dy = ((7, -4.3), (-5, 6), (3.2, 5), (-6, -7.1), (4, 2))[i % 5]
        x, y = x + dx + i % 3, y + dy
        yield round(x, 6), round(y, 6)


@unittest.skipIf(MISSING, f"without {', '.join(MISSING)}")
class WalksTest(Desk, unittest.TestCase):
    def setUp(self):
        super().setUp()
        self.open(self.folder)

    def check(self, meant, tolerance):
        """The whole review: no point more, none less, each where it was meant."""
        document = self.document()
        self.assertEqual({m["name"]: m["frame"] for m in document["moments"]}, {n: f for n, (f, _) in MEANT.items()})
        self.assertEqual({entry["frame"]: sorted(entry["points"]) for entry in document["marks"]},
                         {frame: sorted(names) for frame, names in MEANT.values()})
        for entry in document["marks"]:
            for name, point in entry["points"].items():
                for got, wanted in zip(point["at"], meant[entry["frame"], name]):
                    self.assertLessEqual(abs(got - wanted), tolerance, (entry["frame"], name, point))
        (scale,) = document["scales"]
        self.assertEqual(document["scale"], scale["id"])
        self.assertAlmostEqual(scale["distance_m"], 18 * 0.3048)  # centre mark to the T: ITF Rule 1
        for end in ("a", "b"):
            for got, wanted in zip(scale[end], meant[end]):
                self.assertLessEqual(abs(got - wanted), tolerance, scale)
        done = subprocess.run([PROGRAM, "validate", self.review], capture_output=True, text=True, check=False)
        self.assertEqual(done.returncode, 0, done.stderr)
        still = self.folder / "serve-drop.png"
        until(lambda: still.exists() and still.read_bytes()[-8:-4] == b"IEND", "the whole still")
        readout = json.loads(subprocess.run([PROGRAM, "measure", self.review, "--json"], capture_output=True,
                                            check=True).stdout)
        had = [m["id"] for m in readout["measures"] if m["value"] is not None and m["moment"] == "drop"]
        self.assertIn("hand_elbow_gap", had)

    def test_the_mouse_alone_leads_from_a_folder_to_the_still(self):
        window = self.window
        window.tap((640, 418))  # the one row of the list
        until(lambda: "serve.mp4" in window.name(), "the clip")
        places = {}
        for color, corner in (("red", RED), ("blue", BLUE)):
            places[corner] = until(lambda color=color: self.screen.find(color), f"the {color} square")
        zoom = (places[BLUE][0] - places[RED][0]) / (BLUE[0] - RED[0])

        def on_screen(at):
            return tuple(places[RED][i] + (at[i] - middle(RED)[i]) * zoom for i in range(2))

        window.tap(HEAD)  # hand and view are right
        ways, meant = steps(40), {}
        for name, (frame, names) in MEANT.items():
            window.drag((24 + (frame - 2) / LAST * (932 - 48), STRIP_Y), (24 + frame / LAST * (932 - 48), STRIP_Y))
            window.tap(CAP)
            until(lambda: self.moments().get(name) == frame, f"the {name} on frame {frame}")
            for point in names:
                meant[frame, point] = next(ways)
                window.tap(on_screen(meant[frame, point]))
                until(lambda: point in self.points(frame), f"{point} at the {name}")
        window.tap(HEAD)  # the scale
        window.tap(FIRST_ROW)
        for end in ("a", "b"):
            meant[end] = middle(RED if end == "a" else BLUE)
            window.tap(on_screen(meant[end]))
        self.until(lambda d: d.get("scales"), "the scale")
        window.tap((24 + MEANT["drop"][0] / LAST * (932 - 48), STRIP_Y))
        window.tap(CAP)
        until((self.folder / "serve-drop.png").exists, "the still")
        # the middle of a pixel of the screen, about a third of one of the clip, and how well the squares are found
        self.check(meant, 0.6)

    def test_the_keyboard_alone_leads_from_a_folder_to_the_still(self):
        window = self.window
        window.keys("Return")
        until(lambda: "serve.mp4" in window.name(), "the clip")
        window.keys("Return")  # hand and view are right
        at, meant, frame_now = [160.0, 90.0], {}, 0

        def tap(to):
            keys = []
            for i, (less, more) in enumerate((("Left", "Right"), ("Up", "Down"))):
                by = round(to[i] - at[i], 1)
                whole = math.trunc(by)
                keys += [f"ctrl+{more if by > 0 else less}"] * abs(whole)
                keys += [f"ctrl+shift+{more if by > 0 else less}"] * round(abs(by - whole) * 10)
                at[i] = to[i]
            window.keys(*keys, "Return")

        ways = steps(44)
        for number, (name, (frame, names)) in enumerate(MEANT.items()):
            window.keys(*["Right"] * (frame - frame_now), str(number + 1))
            frame_now = frame
            until(lambda: self.moments().get(name) == frame, f"the {name} on frame {frame}")
            for point in names:
                meant[frame, point] = next(ways)
                tap(meant[frame, point])
            until(lambda: len(self.points(frame)) == len(names), f"the points of the {name}")
        window.keys("ctrl+z")
        until(lambda: "ball" not in self.points(frame_now), "undo")
        window.keys("ctrl+y")
        until(lambda: "ball" in self.points(frame_now), "redo")
        window.keys("Return", "Return")  # the scale, from the first distance
        for end in ("a", "b"):
            meant[end] = next(ways)
            tap(meant[end])
        self.until(lambda d: d.get("scales"), "the scale")
        window.keys("p", "Down", "Return")  # from something upright
        for post in (next(ways), (at[0] + 2.3, at[1] + 27)):
            tap(post)
        plumb = self.until(lambda d: d.get("plumb", {}).get("method") == "hang" and d["plumb"], "the plumb")
        self.assertAlmostEqual(plumb["b"][1], at[1], delta=0.051)
        window.keys("ctrl+3", "s")
        until((self.folder / "serve-drop.png").exists, "the still")
        self.check(meant, 0.051)


DEMO = pathlib.Path(PROGRAM).parent.parent / "demo" / "serve-side.mp4"


@unittest.skipIf(MISSING, f"without {', '.join(MISSING)}")
@unittest.skipUnless(DEMO.exists(), f"without {DEMO}: make demo-data")
class FirstWalkTest(unittest.TestCase):
    def setUp(self):
        self.screen = Screen()
        self.window = None

    def tearDown(self):
        if self.window is not None:
            self.window.stop()
        self.screen.close()

    def test_the_first_walk_is_offered_once_on_a_copy_of_the_demo_clip(self):
        state = self.screen.home / "state" / "serveplumb"
        self.window = window = Window(self.screen)
        window.keys("Return")
        until(lambda: "demo-serve.mp4" in window.name(), "the demo clip")
        self.assertEqual((state / "demo-serve.mp4").read_bytes(), DEMO.read_bytes())
        window.keys(*["shift+Right"] * 10, *["Right"] * 5, "1")
        review = state / "demo-serve.review.json"
        until(review.exists, "a review of the copy")
        document = json.loads(review.read_text())
        self.assertEqual(document["moments"], [{"name": "release", "frame": 105}])
        self.assertEqual((document["player"]["hand"], document["view"]), ("right", "side"))
        self.assertEqual(window.close()[0], 0)
        preferences = json.loads((self.screen.home / "config" / "serveplumb" / "preferences.json").read_text())
        self.assertTrue(preferences["guided"])
        (state / "recent.json").unlink()
        self.window = window = Window(self.screen)
        window.keys("Return")  # asks for a path: the walk is not offered again
        until(lambda: self.screen.picture()[:110, 960:].max() < 200, "the line for a path")
        window.keys("Escape", "F2")
        until(lambda: "demo-serve.mp4" in window.name(), "the walk that is asked for")
        until(lambda: not review.exists(), "a fresh start")


if __name__ == "__main__":
    unittest.main()

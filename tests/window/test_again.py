"""How well a coach taps, in the window: the same frames again without the first points, by real mouse and key
events; what is on disk is held against differences that are worked out here."""
import json
import math
import subprocess
import unittest

import desk as tw
from desk import BLUE, MISSING, PROGRAM, RED, Window, middle, until

FRAMES = {"release": 5, "trophy": 11, "drop": 17, "contact": 23}
NAMES = ["right_elbow", "right_hand", "racquet_tip"]
# Second less first, clip pixels; each point's mean is no part of a typical error.
OFF = {"right_elbow": [(0.6, -1.1), (-0.9, 0.4), (1.3, 0.8), (0.2, -0.7)],
       "right_hand": [(1.9, 0.3), (0.4, -0.6), (0.9, 1.2), (2.1, -0.2)],
       "racquet_tip": [(-0.5, 0.9), (0.8, 1.4), (-1.2, -0.3), (0.1, 0.2)]}


def first_at(frame, index):
    return (40.0 + 5 * index + frame, 30.0 + 28 * index + frame / 2)


@unittest.skipIf(MISSING, f"without {', '.join(MISSING)}")
class AgainTest(tw.Desk, unittest.TestCase):
    def setUp(self):
        super().setUp()
        self.second = self.folder / "serve.again.review.json"
        subprocess.run([PROGRAM, "new", self.clip, "--net", "right"], check=True, capture_output=True)
        document = json.loads(self.review.read_text())
        document["moments"] = [{"name": name, "frame": frame} for name, frame in FRAMES.items()]
        document["marks"] = [{"frame": frame, "points": {name: {"at": list(first_at(frame, i)), "by": "tap"}
                                                         for i, name in enumerate(NAMES)}}
                             for frame in FRAMES.values()]
        self.review.write_text(json.dumps(document))
        self.open(self.review)

    def on_screen(self, at):
        return tuple(self.places[RED][i] + (at[i] - middle(RED)[i]) * self.zoom for i in range(2))

    def find_places(self):
        self.window.move(tw.AWAY)
        self.places = {corner: until(lambda color=color: self.screen.find(color), f"the {color} square")
                       for color, corner in (("red", RED), ("blue", BLUE))}
        self.zoom = (self.places[BLUE][0] - self.places[RED][0]) / (BLUE[0] - RED[0])

    def begin(self):
        self.window.keys("ctrl+a")
        until(self.second.exists, "the file of the second tapping")
        self.find_places()

    def shown(self, frame):
        """The magenta square tells the frame (test_window)."""
        self.window.move(tw.AWAY)
        wanted = self.on_screen((10 + tw.STEP * frame + 3, 113))[0]
        until(lambda: abs((self.screen.find("magenta") or (-99, 0))[0] - wanted) < 3, f"frame {frame}")

    def points(self):
        if not self.second.exists():
            return {}
        return {(entry["frame"], name): tuple(point["at"])
                for entry in json.loads(self.second.read_text()).get("marks", [])
                for name, point in entry["points"].items()}

    def canvas(self):
        """Where the clip is shown, without messages."""
        return self.screen.picture()[70:575, 12:920]

    def tap_all(self):
        made = 0
        for turn, frame in enumerate(FRAMES.values()):
            self.shown(frame)
            # in the order of the body: elbow, hand, tip
            for i, name in enumerate(NAMES):
                at = tuple(a + b for a, b in zip(first_at(frame, i), OFF[name][turn]))
                self.window.tap(self.on_screen(at))
                made += 1
                until(lambda made=made: len(self.points()) == made, f"tap {made}, the {name} on frame {frame}")
                self.assertIn((frame, name), self.points())

    def typical(self):
        """Of the taps on disk: pooled over points and axes, each about its mean (Hopkins 2000)."""
        second, squares, freedom = self.points(), 0.0, 0
        for i, name in enumerate(NAMES):
            for axis in (0, 1):
                off = [second[frame, name][axis] - first_at(frame, i)[axis] for frame in FRAMES.values()]
                mean = sum(off) / len(off)
                squares += sum((o - mean) ** 2 for o in off)
                freedom += len(off) - 1
        return math.sqrt(squares / freedom / 2)

    def preferred(self):
        path = self.screen.home / "config" / "serveplumb" / "preferences.json"
        return json.loads(path.read_text()).get("points_sd_px") if path.exists() else None

    def test_the_same_frames_come_again_and_the_typical_error_becomes_mine(self):
        before = self.review.read_bytes()
        self.begin()
        self.tap_all()
        self.assertEqual(self.review.read_bytes(), before)
        wanted = self.typical()
        self.window.keys("Return")
        until(lambda: self.preferred() not in (None, 1.5), "the preferences")
        self.assertAlmostEqual(self.preferred(), wanted, places=6)
        until(lambda: json.loads(self.review.read_text()).get("points_sd_px") not in (None, 1.5), "the review")
        first = json.loads(self.review.read_text())
        self.assertAlmostEqual(first["points_sd_px"], wanted, places=6)
        self.assertEqual(len(first["marks"]), 4)
        told = json.loads(subprocess.run([PROGRAM, "repeat", self.review, "--json"], capture_output=True,
                                         check=True).stdout)
        self.assertAlmostEqual(told["pooled"]["typical_error_px"], wanted, places=6)

    def test_nothing_of_the_first_points_is_seen(self):
        # of the review a point of the release is seen; the overlay hidden, it is not
        self.window.keys("Home", *["Right"] * 5)
        self.find_places()
        until(lambda: (self.canvas() - self.plain()).any(), "the overlay of the first points")
        self.begin()
        until(lambda: not (self.canvas() - self.plain()).any(), "a picture without a point")
        self.assertEqual(self.points(), {})

    def plain(self):
        """The canvas with the overlay hidden; shown again afterwards."""
        self.window.keys("o")
        self.screen.do("sleep", "0.3")
        picture = self.canvas()
        self.window.keys("o")
        self.screen.do("sleep", "0.3")
        return picture

    def test_what_is_left_goes_on_where_it_was(self):
        self.begin()
        self.shown(5)
        at = first_at(5, 0)
        self.window.tap(self.on_screen(at))
        until(lambda: len(self.points()) == 1, "the first tap")
        self.window.keys("x")  # the hand is not seen this time
        self.window.tap(self.on_screen(first_at(5, 2)))
        until(lambda: set(self.points()) == {(5, "right_elbow"), (5, "racquet_tip")}, "the tip after a point left out")
        self.window.keys("ctrl+a")  # back in the review, at its first frame
        self.shown(0)
        self.window.keys("ctrl+a")
        self.shown(5)
        self.window.tap(self.on_screen(first_at(5, 1)))
        until(lambda: set(self.points()) == {(5, name) for name in NAMES}, "the hand, asked for again")

    def test_too_few_taps_are_told_in_words_and_make_no_file(self):
        self.window.stop()
        document = json.loads(self.review.read_text())
        document["marks"] = document["marks"][:2]
        self.review.write_text(json.dumps(document))
        self.window = Window(self.screen, self.review)
        shown = self.screen.picture()
        self.window.keys("ctrl+a")
        until(lambda: (self.screen.picture() != shown).any(), "the message")
        self.assertFalse(self.second.exists())


if __name__ == "__main__":
    unittest.main()

"""Two clips in the window, from outside: which frames lie beside each other, by real time, and where
one lies over the other. Real events; frames are told by a square that moves with their number."""
import json
import pathlib
import shutil
import subprocess
import tempfile
import unittest

from desk import BLUE, GREEN, MISSING, PROGRAM, RED, STEP, Screen, Window, make_clip, middle, numpy, until

# Contact on these frames; the second clip is shot at 100 frames/s and stored at 50.
ONE = {"contact": 15, "rate": 30, "slowdown": 1}
TWO = {"contact": 20, "rate": 50, "slowdown": 2}
CANVAS = (932, 568)  # less the words and buttons at its foot
FOOT = 622  # the middle of the buttons


def real_s(clip, frame):
    return frame / clip["rate"] / clip["slowdown"]


def beside(frame):
    """The frame of the second clip that is nearest in real time, contact on contact."""
    time_s = real_s(TWO, TWO["contact"]) + real_s(ONE, frame) - real_s(ONE, ONE["contact"])
    return min(range(33), key=lambda n: abs(real_s(TWO, n) - time_s))


def review(clip, facts, hips):
    """A review with a contact and the hips on it."""
    path = clip.with_suffix(".review.json")
    subprocess.run([PROGRAM, "new", str(clip), "--slowdown", str(facts["slowdown"])], check=True, capture_output=True)
    document = json.loads(path.read_text())
    document["moments"] = [{"name": "contact", "frame": facts["contact"]}]
    document["marks"] = [{"frame": facts["contact"],
                          "points": {name: {"at": list(middle(at)), "by": "tap"} for name, at in hips.items()}}]
    path.write_text(json.dumps(document))


@unittest.skipIf(MISSING, f"without {', '.join(MISSING)}")
class BesideTest(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-beside-"))
        cls.one, cls.two = cls.folder / "one.mp4", cls.folder / "two.mp4"
        make_clip(cls.one)
        subprocess.run(["ffmpeg", "-v", "error", "-itsscale", "0.6", "-i", str(cls.one), "-c", "copy", str(cls.two)],
                       check=True, stdin=subprocess.DEVNULL)
        review(cls.one, ONE, {"left_hip": RED, "right_hip": GREEN, "left_shoulder": BLUE, "right_shoulder": BLUE})
        review(cls.two, TWO, {"left_hip": GREEN, "right_hip": BLUE})
        cls.screen = Screen()

    @classmethod
    def tearDownClass(cls):
        cls.screen.close()
        shutil.rmtree(cls.folder)

    def tearDown(self):
        if self.window is not None:
            self.window.stop()

    def squares(self, part, color):
        """Middle of a coloured square in a part of the screenshot."""
        near = numpy.abs(part - numpy.array(color)).max(axis=2) < 60
        rows, columns = numpy.nonzero(near)
        if len(rows) == 0:
            return None
        return ((columns.min() + columns.max() + 1) / 2, (rows.min() + rows.max() + 1) / 2)

    def frames(self):
        """The frames above and below, by where the magenta squares are."""
        picture, found = self.screen.picture(), []
        for top in (0, CANVAS[1] // 2):
            part = picture[top:top + CANVAS[1] // 2, :CANVAS[0]]
            red, blue, square = (self.squares(part, c) for c in ((255, 0, 0), (0, 0, 255), (255, 0, 255)))
            if None in (red, blue, square):
                return None
            zoom = (blue[0] - red[0]) / (BLUE[0] - RED[0])
            found.append(round(((square[0] - red[0]) / zoom + RED[0] - 10) / STEP))
        return found

    def until_frames(self, one, two):
        until(lambda: self.frames() == [one, two], f"frame {one} above frame {two}, not {self.frames()}")

    def test_two_clips_are_locked_at_contact_by_real_time(self):
        self.window = window = Window(self.screen, self.one, self.two)
        window.keys("ctrl+4")
        self.until_frames(15, 20)
        for keys, frame in ((["Right"], 16), (["Right", "Right"], 18), (["shift+Left"], 8), (["Home"], 0),
                            (["End"], 32)):
            window.keys(*keys)
            self.until_frames(frame, beside(frame))

    def test_the_other_alone_is_moved_by_mouse_and_stays_locked_there(self):
        self.window = window = Window(self.screen, self.one, self.two)
        window.keys("ctrl+4")
        self.until_frames(15, 20)
        window.tap((74, FOOT))
        self.until_frames(15, 21)
        window.keys("ctrl+comma", "ctrl+comma")
        self.until_frames(15, 19)
        window.keys("Left", "Left", "Left")  # 0.1 s, ten frames of the other
        self.until_frames(12, 9)
        window.keys("ctrl+l")
        self.until_frames(12, beside(12))

    def test_another_clip_is_chosen_from_the_folder_swapped_and_put_away(self):
        self.window = window = Window(self.screen, self.one)
        window.keys("ctrl+4", "ctrl+b", "Return")
        self.until_frames(15, 20)
        window.keys("ctrl+x")
        until(lambda: "two.mp4" in window.name(), "the other clip to work on")
        self.until_frames(20, 15)
        window.keys("ctrl+w")
        until(lambda: self.screen.picture()[FOOT - 24, 20:900].max() < 40, "the foot gone")
        self.assertEqual(window.close()[0], 0)

    def test_one_over_the_other_lies_hips_on_hips(self):
        self.window = window = Window(self.screen, self.one, self.two)
        window.keys("ctrl+4", "shift+b", "o")
        window.move((5, 795))

        zoom = min((CANVAS[0] - 16) / 320, (CANVAS[1] - 16) / 180)
        way = [zoom * ((RED[i] + GREEN[i]) / 2 - (GREEN[i] + BLUE[i]) / 2) for i in (0, 1)]

        def meet():
            # What lies over and what lies under are half as bright.
            found = self.clusters(self.screen.picture()[:CANVAS[1], :CANVAS[0]], (0, 128, 0))
            return len(found) == 2 and found
        (left, right) = until(meet, "the green squares of both")
        self.assertAlmostEqual(left[0] - right[0], way[0], delta=1.5)
        self.assertAlmostEqual(left[1] - right[1], way[1], delta=1.5)

    def clusters(self, part, color):
        """Middles of the squares of a colour: its columns fall into runs."""
        near = numpy.abs(part - numpy.array(color)).max(axis=2) < 45
        columns = numpy.nonzero(near.sum(axis=0) > 6)[0]
        if len(columns) == 0:
            return []
        runs = numpy.split(columns, numpy.nonzero(numpy.diff(columns) > 3)[0] + 1)
        found = []
        for run in runs:
            rows = numpy.nonzero(near[:, run[0]:run[-1] + 1].any(axis=1))[0]
            found.append(((run[0] + run[-1] + 1) / 2, (rows[0] + rows[-1] + 1) / 2))
        return found

    def test_two_clips_that_are_not_there_are_told(self):
        done = subprocess.run([PROGRAM, str(self.one), str(self.folder / "none.mp4")], capture_output=True, text=True,
                              check=False, env=self.screen.environment)
        self.window = None
        self.assertNotEqual(done.returncode, 0)
        self.assertIn("none.mp4", done.stderr)


if __name__ == "__main__":
    unittest.main()

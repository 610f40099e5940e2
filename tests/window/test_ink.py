"""Ink with real mouse and key events; the window's picture beside the still's and the clip's."""
import json
import pathlib
import shutil
import subprocess
import tempfile
import unittest

import desk
from desk import until

# The plumb's hue of the theme: F0E442.
YELLOW = (0xF0, 0xE4, 0x42)


def share_of(picture, color):
    """How many pixels are of a colour."""
    return int((abs(picture - desk.numpy.array(color)).max(axis=2) < 40).sum())


@unittest.skipIf(desk.MISSING, f"without {', '.join(desk.MISSING)}")
class InkTest(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.source = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-ink-"))
        desk.make_clip(cls.source / "serve.mp4")
        cls.screen = desk.Screen()

    @classmethod
    def tearDownClass(cls):
        cls.screen.close()
        shutil.rmtree(cls.source)

    def setUp(self):
        self.screen.forget()
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-ink-"))
        shutil.copy(self.source / "serve.mp4", self.folder / "serve.mp4")
        self.review = self.folder / "serve.review.json"
        self.window = desk.Window(self.screen, self.folder / "serve.mp4")
        self.window.keys("Return", "Right", "Right", "Right")

    def tearDown(self):
        self.window.stop()
        shutil.rmtree(self.folder)

    def ink(self):
        return json.loads(self.review.read_text()).get("ink", []) if self.review.exists() else []

    def until_ink(self, find, what):
        return until(lambda: find(self.ink()), what)

    def test_a_stroke_an_arrow_and_a_circle_are_drawn_where_the_pointer_went(self):
        red, blue = self.screen.find("red"), self.screen.find("blue")
        self.window.keys("i", "i", "i")
        self.window.drag(red, blue)
        self.until_ink(lambda ink: len(ink) == 1, "an arrow")
        arrow = self.ink()[0]
        self.assertEqual((arrow["kind"], arrow["hue"], arrow["from_frame"], arrow["to_frame"]),
                         ("arrow", "plumb", 3, 3))
        for got, wanted in zip(arrow["points"], (desk.middle(desk.RED), desk.middle(desk.BLUE))):
            for a, b in zip(got, wanted):
                self.assertLessEqual(abs(a - b), 0.7)
        before = share_of(self.screen.picture(), YELLOW)
        self.assertGreater(before, 200)
        self.window.keys("i", "shift+i", "ctrl+i")
        self.window.drag(red, (red[0] + 60, red[1]))
        self.until_ink(lambda ink: len(ink) == 2, "a circle")
        circle = self.ink()[1]
        self.assertEqual((circle["kind"], circle["hue"], circle["from_frame"]), ("circle", "scale", 3))
        self.assertEqual(circle["to_frame"], 32)
        self.window.keys("ctrl+z")
        self.until_ink(lambda ink: len(ink) == 1, "undo")
        self.window.keys("ctrl+y")
        self.until_ink(lambda ink: len(ink) == 2, "redo")

    def test_a_stroke_by_hand_is_thinned_and_rubbed_out(self):
        red, blue = self.screen.find("red"), self.screen.find("blue")
        self.window.keys("i")
        self.window.move(red)
        self.screen.do("mousedown", 1)
        for i in range(1, 41):
            bend = 25 * (i % 20 - 10) / 10 if i < 40 else 0
            self.window.move((red[0] + (blue[0] - red[0]) * i / 40, red[1] + (blue[1] - red[1]) * i / 40 + bend))
        self.screen.do("mouseup", 1)
        self.until_ink(lambda ink: len(ink) == 1, "a stroke")
        stroke = self.ink()[0]
        self.assertEqual(stroke["kind"], "stroke")
        self.assertLess(len(stroke["points"]), 30)
        self.window.keys("shift+x")
        self.window.tap(red)
        self.until_ink(lambda ink: ink == [], "the stroke rubbed out")
        self.window.keys("ctrl+z")
        self.until_ink(lambda ink: ink == [stroke], "it is back")
        self.window.keys("shift+Delete")
        self.until_ink(lambda ink: ink == [], "all ink of the frame taken off")

    def test_ink_is_on_its_frames_only_and_the_same_in_the_still(self):
        red, blue = self.screen.find("red"), self.screen.find("blue")
        self.window.keys("i", "i")
        self.window.drag(red, blue)
        self.until_ink(lambda ink: len(ink) == 1, "a line")
        self.window.keys("Escape")
        self.window.move(desk.AWAY)
        until(lambda: share_of(self.screen.picture()[:, :900], YELLOW) > 300, "the line is seen")
        self.window.keys("Right")
        until(lambda: share_of(self.screen.picture()[:, :900], YELLOW) == 0, "the next frame has none")
        code, said = self.window.close()
        self.assertEqual((code, said), (0, ""))
        for frame, there in ((3, True), (4, False)):
            still = self.folder / "still.png"
            subprocess.run([desk.PROGRAM, "still", self.review, "--frame", str(frame), "-o", still], check=True,
                           capture_output=True)
            data = subprocess.run(["convert", still, "-depth", "8", "ppm:-"], check=True, capture_output=True).stdout
            width, height = map(int, data.split(None, 4)[1:3])
            picture = desk.numpy.frombuffer(data[-width * height * 3:], desk.numpy.uint8)
            found = share_of(picture.reshape(height, width, 3).astype(int), YELLOW)
            self.assertEqual(found > 300, there, f"frame {frame}: {found} yellow pixels")


if __name__ == "__main__":
    unittest.main()

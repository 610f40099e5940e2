"""The overlay of window, still, clip and talk-through: the same things in the same hues at the same
places of the frame, told from outside by their pixels."""
import json
import pathlib
import shutil
import subprocess
import tempfile
import unittest

import desk
from desk import until

FRAME = 12
POINTS = {"nose": (250.5, 90.5), "right_shoulder": (230.2, 120.4), "left_shoulder": (272.8, 118.9),
          "right_elbow": (190.4, 110.7), "right_hand": (205.6, 160.3), "right_hip": (238.1, 205.5),
          "left_hip": (266.4, 204.2), "right_knee": (232.5, 255.1), "right_ankle": (226.9, 305.3),
          "left_knee": (275.2, 252.6), "left_ankle": (281.7, 303.8), "racquet_butt": (204.1, 158.2),
          "racquet_tip": (214.6, 230.9)}
BODY, ARM, RACQUET = (0x56, 0xB4, 0xE9), (0xE6, 0x9F, 0x00), (0xCC, 0x79, 0xA7)
GREEN = (0x00, 0x9E, 0x73)
INK = [[400.5, 60.5], [560.5, 300.5]]


def between(a, b, share=0.5):
    return tuple(p + (q - p) * share for p, q in zip(a, b))


# What is drawn at each place: middles of segments, where no marker and no arc lies.
PLACES = [(between(POINTS["left_shoulder"], POINTS["right_shoulder"], 0.3), BODY),
          (between(POINTS["right_hip"], POINTS["right_knee"]), BODY),
          (between(POINTS["right_knee"], POINTS["right_ankle"]), BODY),
          (between(POINTS["left_hip"], POINTS["left_knee"]), BODY),
          (between(POINTS["left_knee"], POINTS["left_ankle"]), BODY),
          (between(POINTS["racquet_butt"], POINTS["racquet_tip"], 0.7), RACQUET),
          (between(POINTS["right_shoulder"], POINTS["right_elbow"], 0.35), ARM),
          (between(*INK, 0.3), GREEN), (between(*INK, 0.6), GREEN), (between(*INK, 0.9), GREEN)]


def decoded(*words):
    data = subprocess.run([*map(str, words)], check=True, capture_output=True, stdin=subprocess.DEVNULL).stdout
    width, height = map(int, data.split(None, 4)[1:3])
    return desk.numpy.frombuffer(data[-width * height * 3:], desk.numpy.uint8).reshape(height, width, 3).astype(int)


@unittest.skipIf(desk.MISSING, f"without {', '.join(desk.MISSING)}")
class SameOverlayTest(unittest.TestCase):
    def setUp(self):
        self.screen = desk.Screen()
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-same-"))
        desk.make_clip(self.folder / "serve.mp4", size="640x360")
        self.review = self.folder / "serve.review.json"
        subprocess.run([desk.PROGRAM, "new", self.folder / "serve.mp4"], check=True, capture_output=True)
        document = json.loads(self.review.read_text())
        document["moments"] = [{"name": "finish", "frame": FRAME}]
        document["marks"] = [{"frame": FRAME, "points": {name: {"at": at} for name, at in POINTS.items()}}]
        document["ink"] = [{"kind": "line", "hue": "scale", "from_frame": FRAME, "points": INK}]
        self.review.write_text(json.dumps(document))
        self.sha = document["clip"]["sha256"]
        self.window = None

    def tearDown(self):
        if self.window is not None:
            self.window.stop()
        self.screen.close()
        shutil.rmtree(self.folder)

    def assert_hues(self, picture, zoom, origin, what):
        """The hue lies at its place, within a line's width of it."""
        for at, hue in PLACES:
            x, y = (round(o + zoom * p) for o, p in zip(origin, at))
            near = picture[y - 1:y + 2, x - 1:x + 2].reshape(-1, 3)
            off = abs(near - desk.numpy.array(hue)).max(axis=1).min()
            self.assertLess(off, 30, f"{what}: {hue} at {at} is {near.tolist()}")

    def test_all_four_draw_the_same_things_in_the_same_places(self):
        self.window = desk.Window(self.screen, self.review)
        self.window.keys("ctrl+6", "Escape", "Escape")
        self.window.move(desk.AWAY)
        until(lambda: (abs(self.screen.picture()[:, :900] - desk.numpy.array(GREEN)).max(axis=2) < 10).sum() > 200,
              "the ink")
        red, blue = self.screen.find("red"), self.screen.find("blue")
        zoom = (blue[0] - red[0]) / (desk.BLUE[0] - desk.RED[0])
        origin = [place - zoom * at for place, at in zip(red, desk.middle(desk.RED))]
        self.assert_hues(self.screen.picture(), zoom, origin, "window")
        self.window.close()

        still = self.folder / "still.png"
        subprocess.run([desk.PROGRAM, "still", self.review, "--moment", "finish", "-o", still], check=True,
                       capture_output=True)
        self.assert_hues(decoded("convert", still, "-depth", "8", "ppm:-"), 1080 / 360, (0, 0), "still")

        clip, talk = self.folder / "clip.mp4", self.folder / "talk.mp4"
        subprocess.run([desk.PROGRAM, "clip", self.review, "-o", clip, "--from", str(FRAME), "--to", str(FRAME)],
                       check=True, capture_output=True)
        (self.folder / "serve.talk.json").write_text(json.dumps({
            "format": "serveplumb-talk", "version": 1, "clip_sha256": self.sha, "takes": [
                {"length_s": 1, "actions": [{"at_s": 0, "do": "frame", "frame": FRAME}]}],
            "pieces": [{"take": 0, "from_s": 0, "to_s": 1}]}))
        subprocess.run([desk.PROGRAM, "talk", self.review, "-o", talk], check=True, capture_output=True)
        for path in (clip, talk):
            picture = decoded("ffmpeg", "-v", "error", "-ss", "0.5", "-i", path, "-frames:v", "1", "-vf",
                              "scale=in_color_matrix=bt709,format=rgb24", "-f", "image2pipe", "-c:v", "ppm", "-")
            self.assert_hues(picture, picture.shape[1] / 640, (0, 0), path.name)


if __name__ == "__main__":
    unittest.main()

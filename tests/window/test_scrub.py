"""A hand that drags along the strip of a 4K clip: the number that is shown is that of the picture
that is shown, at every moment. Screenshots taken while real events come are held against a straight
decode by ffmpeg."""
import json
import pathlib
import shutil
import subprocess
import tempfile
import threading
import time
import unittest

from test_window import MISSING, Screen, Window, numpy, until

FRAMES = 15
SIZE = (3840, 2160)
# Where the picture lies on a window of 1280 x 800, and the words that name its frame.
PICTURE = (slice(66, 66 + 515), slice(8, 8 + 916))
LABEL = (slice(650, 694), slice(252, 560))
WORD = (slice(620, 646), slice(400, 540))  # at the foot of the picture while it is reduced
STRIP = (24, 932 - 24, 744)


def make_clip(path):
    """A moving test picture with the number of the frame in large squares, bit for bit."""
    bits = ",".join(f"drawbox=x={300 + 640 * b}:y=700:w=480:h=700:t=fill:color=white:enable='bitand(n,{1 << b})',"
                    f"drawbox=x={300 + 640 * b}:y=700:w=480:h=700:t=fill:color=black:enable='not(bitand(n,{1 << b}))'"
                    for b in range(5))
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-f", "lavfi", "-i",
                    f"testsrc2=size={SIZE[0]}x{SIZE[1]}:rate=30", "-vf", f"{bits},format=yuv420p", "-frames:v",
                    str(FRAMES), "-c:v", "libx264", "-preset", "ultrafast", "-g", "8", str(path)],
                   check=True, stdin=subprocess.DEVNULL)


def straight_decode(path):
    """Every fourth pixel of each frame at the size at which the window shows it, rows first; as high a clip that
    names no matrix is BT.709."""
    height, width = 515, 916
    raw = subprocess.run(["ffmpeg", "-v", "error", "-i", str(path), "-vf", f"scale={width}:{height}:flags=area:in_color_matrix=bt709",
                          "-f", "rawvideo", "-pix_fmt", "rgb24", "-"], check=True, capture_output=True).stdout
    return numpy.frombuffer(raw, numpy.uint8).reshape(FRAMES, height, width, 3)[:, ::4, ::4].astype(int)


@unittest.skipIf(MISSING, f"without {', '.join(MISSING)}")
class ScrubTest(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-scrub-"))
        make_clip(cls.folder / "serve.mp4")
        cls.straight = straight_decode(cls.folder / "serve.mp4")
        cls.screen = Screen()

    @classmethod
    def tearDownClass(cls):
        cls.screen.close()
        shutil.rmtree(cls.folder)

    def setUp(self):
        self.screen.forget()
        # So little memory that the service holds five exact frames, and makes reduced ones.
        config = self.screen.home / "config" / "serveplumb"
        config.mkdir(parents=True)
        (config / "preferences.json").write_text(json.dumps({"cache_mb": 64}))
        self.window = Window(self.screen, self.folder / "serve.mp4")

    def tearDown(self):
        self.window.stop()

    def seen(self, picture):
        """The frame that a picture shows, by the nearest of the straight decode, and how near."""
        far = numpy.abs(self.straight - picture[PICTURE][::4, ::4]).mean(axis=(1, 2, 3))
        return int(far.argmin()), float(far.min())

    def labels(self):
        """What the words look like on each frame, reached by counted keys."""
        labels = []
        self.window.keys("Home")
        for frame in range(FRAMES):
            if frame > 0:
                self.window.keys("Right")

            def there(frame=frame):
                shot = self.screen.picture()
                return self.seen(shot)[0] == frame and [shot]
            labels.append(until(there, f"frame {frame}")[0][LABEL])
        return labels

    def drag(self, places):
        left, right, y = STRIP
        for place in places:
            self.screen.do("mousemove", round(left + place / (FRAMES - 1) * (right - left)), y)

    def shots_while(self, work):
        """Screenshots until the work is done, and one more."""
        hand = threading.Thread(target=work)
        shots = []
        hand.start()
        while hand.is_alive():
            shots.append(self.screen.picture())
        hand.join()
        shots.append(self.screen.picture())
        return shots

    def test_the_number_is_that_of_the_picture_while_the_hand_moves(self):
        labels = self.labels()
        self.assertEqual(len({label.tobytes() for label in labels}), FRAMES, "labels that differ")
        there_and_back = [*range(0, FRAMES), *range(FRAMES - 1, 5, -1)]
        jumps = [(7 * i * i + 3 * i) % FRAMES for i in range(24)]
        self.drag([0])
        self.screen.do("mousedown", 1)
        shots = self.shots_while(lambda: self.drag(there_and_back + jumps + [13]))
        frames = set()
        for shot in shots:
            frame, far = self.seen(shot)
            named = [i for i, label in enumerate(labels) if (label == shot[LABEL]).all()]
            self.assertEqual(named, [frame], f"the picture is {far:.1f} levels from frame {frame}")
            self.assertLess(far, 6)
            frames.add(frame)
        self.assertGreater(len(frames), 4, "frames that were seen on the way")
        until(lambda: self.seen(self.screen.picture())[0] == 13, "the frame under the resting hand")

        def exact():
            word = self.screen.picture()[WORD]
            return (word == word[0, 0]).all()
        until(exact, "the exact picture")
        self.assertTrue((self.screen.picture()[LABEL] == labels[13]).all())
        self.screen.do("mouseup", 1)


if __name__ == "__main__":
    unittest.main()

"""A hand that drags along the strip of a 4K clip: the number that is shown is that of the picture
that is shown, at every moment. Screenshots taken while real events come are held against a straight
decode by ffmpeg."""
import json
import pathlib
import shutil
import subprocess
import tempfile
import unittest

from desk import MISSING, Screen, Window, numpy, until

FRAMES = 15
SIZE = (3840, 2160)
SHOWN = (515, 916)  # rows and columns of the picture on a window of 1280 x 800


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
    height, width = SHOWN
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
        self.find_places()

    def tearDown(self):
        self.window.stop()

    def find_places(self):
        """The picture, by its colours; the bar, where the room under the picture ends."""
        column = until(lambda: [c for c in [self.screen.picture()[:, 100]] if c[200].max() > 60], "a picture")[0]
        top = int(numpy.nonzero(column.max(axis=1) > 60)[0][0])
        room = column[top + SHOWN[0] + 4]
        under = (column[top + SHOWN[0] + 4:] != room).any(axis=1)
        bar = top + SHOWN[0] + 4 + int(numpy.nonzero(under)[0][0])
        self.picture = (slice(top, top + SHOWN[0]), slice(8, 8 + SHOWN[1]))
        self.label = (slice(bar + 2, bar + 46), slice(252, 560))  # the words that name the frame
        self.word = (slice(bar - 28, bar - 2), slice(400, 540))  # at the foot of the picture while it is reduced
        self.strip_y = bar + 48 + 48

    def seen(self, picture):
        """The frame that a picture shows, by the nearest of the straight decode, and how near."""
        far = numpy.abs(self.straight - picture[self.picture][::4, ::4]).mean(axis=(1, 2, 3))
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
            labels.append(until(there, f"frame {frame}")[0][self.label])
        return labels

    def drag(self, places):
        left, right = 24, 932 - 24
        for place in places:
            self.screen.do("mousemove", round(left + place / (FRAMES - 1) * (right - left)), self.strip_y)

    def shots_of(self, places):
        """Screenshots while the hand moves on, after every second place."""
        shots = []
        for i in range(0, len(places), 2):
            self.drag(places[i:i + 2])
            shots.append(self.screen.picture())
        return shots

    def test_the_number_is_that_of_the_picture_while_the_hand_moves(self):
        labels = self.labels()
        self.assertEqual(len({label.tobytes() for label in labels}), FRAMES, "labels that differ")
        there_and_back = [*range(0, FRAMES), *range(FRAMES - 1, 5, -1)]
        jumps = [(7 * i * i + 3 * i) % FRAMES for i in range(24)]
        self.drag([0])
        self.screen.do("mousedown", 1)
        shots = self.shots_of(there_and_back + jumps + [13])
        frames = set()
        for shot in shots:
            frame, far = self.seen(shot)
            named = [i for i, label in enumerate(labels) if (label == shot[self.label]).all()]
            self.assertEqual(named, [frame], f"the picture is {far:.1f} levels from frame {frame}")
            self.assertLess(far, 6)
            frames.add(frame)
        self.assertGreater(len(frames), 4, "frames that were seen on the way")
        until(lambda: self.seen(self.screen.picture())[0] == 13, "the frame under the resting hand")

        def exact():
            word = self.screen.picture()[self.word]
            return (word == word[0, 0]).all()
        until(exact, "the exact picture")
        self.assertTrue((self.screen.picture()[self.label] == labels[13]).all())
        self.screen.do("mouseup", 1)


if __name__ == "__main__":
    unittest.main()

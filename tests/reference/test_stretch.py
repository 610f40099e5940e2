"""Sound at a part of its speed: its pitch against NumPy's FFT, its length against the clip's."""
import os
import pathlib
import subprocess
import tempfile
import unittest

import numpy as np

BUILD = pathlib.Path(os.environ.get("SP_BUILD", "build/plain"))
DRIVER = BUILD / "tests/reference/stretch_driver"
RATE = 48000
SECONDS = 1.6


def pitch(samples):
    """The strongest frequency, its place between bins by a parabola through the logarithms."""
    window = np.hanning(len(samples))
    power = np.log(np.abs(np.fft.rfft(samples * window)) + 1e-12)
    k = int(power[1:-1].argmax()) + 1
    a, b, c = power[k - 1:k + 2]
    return (k + (a - c) / (2 * (a - 2 * b + c))) * RATE / len(samples)


class StretchTest(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("MAKE", "MFLAGS"))}
        subprocess.run(["make", "-s", f"VARIANT={BUILD.name}", f"build/{BUILD.name}/tests/reference/stretch_driver"],
                       check=True, env=environment, stdout=subprocess.DEVNULL)
        cls.folder = tempfile.TemporaryDirectory()

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def clip(self, name, sound):
        path = pathlib.Path(self.folder.name) / f"{name}.mov"
        subprocess.run(["ffmpeg", "-v", "error", "-y", "-f", "lavfi", "-i", f"color=gray:s=64x48:r=30:d={SECONDS}",
                        "-f", "lavfi", "-i", f"{sound}:d={SECONDS}", "-c:v", "mpeg4", "-c:a", "pcm_f32le", str(path)],
                       check=True, stdin=subprocess.DEVNULL)
        return path

    def played(self, path, speed):
        done = subprocess.run([DRIVER, path, str(speed)], check=True, capture_output=True)
        return np.frombuffer(done.stdout, np.float32)

    def test_a_sine_keeps_its_frequency_and_lasts_as_long_as_the_picture(self):
        for hertz in (173.3, 440, 2718.3):
            path = self.clip(f"sine{hertz}", f"sine=f={hertz}:r={RATE}")
            for speed in (1, 0.5, 0.25, 0.0625):
                samples = self.played(path, speed)
                self.assertLess(abs(len(samples) / RATE - SECONDS / speed), 1 / 30, (hertz, speed))
                middle = samples[len(samples) // 8:-len(samples) // 8]
                self.assertAlmostEqual(pitch(middle) / hertz, 1, delta=0.002, msg=(hertz, speed))
                loud = np.sqrt(np.mean(middle**2)) / np.sqrt(np.mean(self.played(path, 1)**2))
                self.assertAlmostEqual(loud, 1, delta=0.05, msg=(hertz, speed))

    def test_at_its_own_speed_it_is_the_sound_itself(self):
        path = self.clip("noise", f"anoisesrc=r={RATE}:seed=3")
        straight = np.frombuffer(subprocess.run(["ffmpeg", "-v", "error", "-i", path, "-f", "f32le", "-"], check=True,
                                                capture_output=True, stdin=subprocess.DEVNULL).stdout, np.float32)
        samples = self.played(path, 1)
        count = min(len(samples), len(straight))
        self.assertGreater(count, (SECONDS - 0.05) * RATE)
        self.assertLess(np.abs(samples[:count] - straight[:count]).max(), 1e-6)

    def test_two_clicks_at_half_the_speed_lie_twice_as_far_apart(self):
        path = self.clip("clicks", f"aevalsrc='if(lt(mod(t-0.3\\,0.7)\\,0.002)*gte(t\\,0.3)\\,0.9\\,0)':s={RATE}")
        loud = np.nonzero(np.abs(self.played(path, 0.5)) > 0.3)[0] / RATE
        first, second = loud[loud < 1.2], loud[loud > 1.2]
        self.assertAlmostEqual(first.mean(), 0.6, delta=0.03)
        self.assertAlmostEqual(second.mean() - first.mean(), 1.4, delta=0.03)


if __name__ == "__main__":
    unittest.main()

"""HLG, PQ, BT.2020 and Display P3 against the same published formulas written anew in NumPy.

ITU-R BT.2100-2 (PQ, HLG), BT.2390-8 5.4.1 (the bend), BT.2408-4 (203 cd/m2), BT.2020-2 (Y'CbCr), IEC
61966-2-1 (sRGB); constants from memory. Primaries through CIE XYZ, by NumPy's own solver."""
import os
import pathlib
import subprocess
import tempfile
import unittest

import numpy as np

BUILD = pathlib.Path(os.environ.get("SP_BUILD", "build/plain"))
DRIVER = BUILD / "tests/reference/tone_driver"
PQ, HLG, BT709 = 16, 18, 1  # as FFmpeg and ISO/IEC 23091-2 number them
BT2020, P3 = 9, 12
CHROMATICITIES = {
    BT709: [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]],
    BT2020: [[0.708, 0.292], [0.170, 0.797], [0.131, 0.046]],
    P3: [[0.680, 0.320], [0.265, 0.690], [0.150, 0.060]],
}
LUMA = np.array([0.2627, 0.6780, 0.0593])


def pq_eotf(signal):
    m1, m2, c1, c2, c3 = 0.1593017578125, 78.84375, 0.8359375, 18.8515625, 18.6875
    power = np.power(signal, 1 / m2)
    return 10000 * np.power(np.maximum(power - c1, 0) / (c2 - c3 * power), 1 / m1)


def pq_inverse(light):
    m1, m2, c1, c2, c3 = 0.1593017578125, 78.84375, 0.8359375, 18.8515625, 18.6875
    power = np.power(light / 10000, m1)
    return np.power((c1 + c2 * power) / (1 + c3 * power), m2)


def hlg_eotf(signal):
    a = 0.17883277
    b, c = 1 - 4 * a, 0.5 - a * np.log(4 * a)
    scene = np.where(signal <= 0.5, signal**2 / 3, (np.exp((signal - c) / a) + b) / 12)
    luminance = (scene @ LUMA)[:, None]
    return 1000 * scene * np.where(luminance > 0, np.maximum(luminance, 1e-12)**0.2, 0)


def hlg_inverse(light):
    """Light of a display of 1000 cd/m2 to the signal."""
    a = 0.17883277
    b, c = 1 - 4 * a, 0.5 - a * np.log(4 * a)
    luminance = (light @ LUMA)[:, None] / 1000
    scene = light / 1000 * np.where(luminance > 0, np.maximum(luminance, 1e-12)**(1 / 1.2 - 1), 0)
    return np.where(scene <= 1 / 12, np.sqrt(3 * scene), a * np.log(np.maximum(12 * scene - b, 1e-9)) + c)


def bend(light):
    peak = pq_inverse(1000.0)
    top = pq_inverse(203.0) / peak
    knee = 1.5 * top - 0.5
    e = np.minimum(pq_inverse(light) / peak, 1)
    t = (e - knee) / (1 - knee)
    hermite = (2 * t**3 - 3 * t**2 + 1) * knee + (t**3 - 2 * t**2 + t) * (1 - knee) + (3 * t**2 - 2 * t**3) * top
    return pq_eotf(np.where(e < knee, e, hermite) * peak)


def to_xyz(primaries):
    columns = np.array([[x / y, 1, (1 - x - y) / y] for x, y in CHROMATICITIES[primaries]]).T
    white = np.array([0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290])
    return columns * np.linalg.solve(columns, white)


def srgb(light):
    light = np.clip(light, 0, 1)
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * np.power(light, 1 / 2.4) - 0.055)


def srgb_inverse(signal):
    return np.where(signal <= 0.04045, signal / 12.92, ((signal + 0.055) / 1.055)**2.4)


def signals(codes, full):
    """Y'CbCr of 10 bits, BT.2020 non-constant luminance, to R'G'B'."""
    y, cb, cr = np.asarray(codes, dtype=float).T
    y = y / 1023 if full else (y - 64) / 876
    cb, cr = ((c - 512) / (1023 if full else 896) for c in (cb, cr))
    red, blue = y + 2 * (1 - LUMA[0]) * cr, y + 2 * (1 - LUMA[2]) * cb
    return np.stack([red, (y - LUMA[0] * red - LUMA[2] * blue) / LUMA[1], blue], axis=1)


def expected(rgb, transfer, primaries):
    if transfer in (HLG, PQ):
        light = hlg_eotf(rgb) if transfer == HLG else pq_eotf(rgb)
        most = np.maximum(light.max(axis=1, keepdims=True), 1e-9)
        light = light * bend(most) / most / 203
    else:
        light = srgb_inverse(rgb)
    matrix = np.linalg.solve(to_xyz(BT709), to_xyz(primaries))
    return 255 * srgb(light @ matrix.T)


def codes_of(rgb):
    y = rgb @ LUMA
    return np.rint(np.stack([64 + 876 * y, 512 + 896 * (rgb[:, 2] - y) / (2 * (1 - LUMA[2])),
                             512 + 896 * (rgb[:, 0] - y) / (2 * (1 - LUMA[0]))], axis=1)).astype(int)


class Tone(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("MAKE", "MFLAGS"))}
        subprocess.run(["make", "-s", f"VARIANT={BUILD.name}", f"build/{BUILD.name}/tests/reference/tone_driver"],
                       check=True, env=environment, stdout=subprocess.DEVNULL)

    def ask(self, codes, transfer, primaries, full):
        lines = "\n".join(f"{transfer} {primaries} {int(full)} {y} {cb} {cr}" for y, cb, cr in codes)
        done = subprocess.run([DRIVER], input=lines, capture_output=True, text=True, check=True)
        return np.array([line.split() for line in done.stdout.splitlines()], dtype=float)

    def test_colours_are_those_of_the_formulas(self):
        dice = np.random.default_rng(977)
        for transfer, primaries in [(HLG, BT2020), (PQ, BT2020), (PQ, P3), (BT709, BT2020), (BT709, P3)]:
            for full in (False, True):
                # In 0.02 to 0.98, and rather pale: what is filmed, not only what can be coded.
                rgb = dice.uniform(0.02, 0.98, (400, 1)) + dice.normal(0, 0.09, (400, 3))
                rgb = rgb[(rgb.min(axis=1) > 0.01) & (rgb.max(axis=1) < 0.99)]
                codes = codes_of(rgb)
                if full:
                    codes = np.rint(np.array([0, 512, 512]) + (codes - [64, 512, 512]) * 1023 / [876, 896, 896])
                    codes = codes.astype(int)
                want = expected(np.clip(signals(codes, full), 0, 1), transfer, primaries)
                off = np.abs(self.ask(codes, transfer, primaries, full) - want)
                with self.subTest(transfer=transfer, primaries=primaries, full=full):
                    self.assertGreater(len(codes), 300)
                    self.assertLess(np.percentile(off, 99), 1.3)
                    self.assertLess(off.max(), 4)

    def test_what_was_graded_for_a_display_of_standard_range_comes_back(self):
        """sRGB colours put into HLG and PQ at 203 cd/m2 for white: darker ones return exactly, brighter ones
        follow the bend, and none pales."""
        dice = np.random.default_rng(41)
        colours = dice.uniform(0, 1, (300, 3))
        light = 203 * srgb_inverse(colours) @ np.linalg.solve(to_xyz(BT2020), to_xyz(BT709)).T
        for transfer, code in ((HLG, hlg_inverse), (PQ, pq_inverse)):
            got = self.ask(codes_of(code(light)), transfer, BT2020, False)
            dark = light.max(axis=1) < 80
            self.assertGreater(dark.sum(), 30)
            self.assertLess(np.percentile(np.abs(got - 255 * colours)[dark], 98), 3)
            # One factor for all three keeps the ratios of light, so the purity of colour.
            kept = srgb_inverse(got / 255)
            purity = lambda rgb: 1 - rgb.min(axis=1) / rgb.max(axis=1)
            self.assertLess(np.percentile(np.abs(purity(kept) - purity(srgb_inverse(colours))), 95), 0.02)

    def test_a_clip_that_says_hlg_is_mapped_and_one_that_says_nothing_is_not(self):
        with tempfile.TemporaryDirectory() as folder:
            shown = {}
            for name, words in (("hlg", "-color_trc arib-std-b67 -color_primaries bt2020"), ("plain", "")):
                clip, out = pathlib.Path(folder) / f"{name}.mkv", pathlib.Path(folder) / f"{name}.ppm"
                raw = b"".join(np.full((64, 64) if plane == 0 else (32, 32), value, "<u2").tobytes()
                               for plane, value in enumerate((721, 512, 512)))
                subprocess.run(["ffmpeg", "-v", "error", "-f", "rawvideo", "-pix_fmt", "yuv420p10le", "-s", "64x64",
                                "-i", "-", "-c:v", "ffv1", "-colorspace", "bt2020nc", *words.split(), clip],
                               input=raw, check=True)
                subprocess.run([DRIVER, clip, out], check=True)
                shown[name] = out.read_bytes()[-1]
            self.assertAlmostEqual(shown["hlg"], expected(np.full((1, 3), 0.75), HLG, BT2020)[0, 0], delta=1)
            self.assertAlmostEqual(shown["plain"], 0.75 * 255, delta=1)


if __name__ == "__main__":
    unittest.main()

"""The student's page in a headless Chromium: on a phone, on a desk, on paper, and with hostile words."""
import html
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import browser  # noqa: E402
from page_checks import PageChecks  # noqa: E402

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
DEMO = pathlib.Path("build/demo")
HOSTILE_NAME = "<script>document.title='owned'</script>\"'&\u202egnorw\u2066 O\u2019Neil \u05d0\u05d1"
HOSTILE_NOTE = ("</p><img src=x onerror=\"document.title='owned'\"><style>*{display:none}</style>"
                "<svg onload=alert(1)>&lt;b&gt; \u202e\u200f ") + "W" * 10000
HOSTILE_MOMENT = "\"><iframe src='http://192.0.2.7/'>"


def report(*words):
    done = subprocess.run([PROGRAM, "report", *map(str, words)], capture_output=True, text=True, timeout=300,
                          stdin=subprocess.DEVNULL, check=False)
    assert done.returncode == 0, done.stderr
    return done


@unittest.skipUnless(browser.program(), "there is no chromium here: apt-get install chromium")
@unittest.skipUnless((DEMO / "serve-side.review.json").exists(), "no demo data: make demo-data")
class Page(PageChecks, unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-page-"))
        for name in ("serve-side", "serve-back"):
            for ending in (".mp4", ".review.json"):
                shutil.copy(DEMO / f"{name}{ending}", cls.folder)
        cls.plain = cls.folder / "plain.html"
        report(cls.folder / "serve-side.review.json", "-o", cls.plain)
        document = json.loads((cls.folder / "serve-side.review.json").read_text())
        document["player"].update(name=HOSTILE_NAME, shoulder="current_trouble")
        document["notes"] = [{"text": HOSTILE_NOTE}, {"frame": 246, "text": "<b>low</b> & \"stays\""}]
        document["moments"].append({"name": HOSTILE_MOMENT, "frame": 250})
        (cls.folder / "hostile.review.json").write_text(json.dumps(document))
        cls.hostile = cls.folder / "hostile.html"
        report(cls.folder / "hostile.review.json", "-o", cls.hostile, "--with-name", "--with-files", "--no-clip")
        cls.both = cls.folder / "both.html"
        report(cls.folder / "serve-side.review.json", cls.folder / "serve-back.review.json", "-o", cls.both, "--no-clip")
        cls.browser = browser.Browser()

    @classmethod
    def tearDownClass(cls):
        cls.browser.close()
        shutil.rmtree(cls.folder)

    def test_nothing_lies_beside_a_page_that_holds_its_clip(self):
        self.assertEqual([name for name in os.listdir(self.folder) if "clip" in name], [])

    def test_the_policy_allows_its_own_style_and_nothing_else(self):
        self.assert_runs_nothing(self.plain.read_text())

    def test_no_request_leaves_the_page_and_nothing_is_complained_of(self):
        for page in (self.plain, self.hostile, self.both):
            self.assert_asks_for_nothing(page)

    def test_it_fits_a_phone_and_a_desk_in_light_and_dark(self):
        grounds = set()
        for page in (self.plain, self.hostile, self.both):
            for width in (320, 390, 1280):
                for dark in (False, True):
                    self.browser.open(page, width, dark=dark)
                    self.assert_fits(width)
                    grounds.add(self.browser.ask("getComputedStyle(document.body).backgroundColor"))
        self.assertEqual(len(grounds), 2)

    def test_letters_are_large_enough_and_stand_out(self):
        for dark in (False, True):
            self.browser.open(self.plain, 390, dark=dark)
            self.assert_letters_stand_out()

    def test_hostile_words_stay_text(self):
        self.browser.open(self.hostile, 390)
        self.assertEqual(self.browser.ask("document.title"), "Serve review")
        self.assertEqual(self.browser.ask("document.querySelectorAll('script,iframe,style+style,object,form').length"), 0)
        self.assertEqual(self.browser.ask("[...document.images].filter(i => !i.src.startsWith('data:')).length"), 0)
        words = self.browser.ask("document.body.innerText")
        self.assertIn("<script>document.title='owned'</script>\"'&gnorw O\u2019Neil \u05d0\u05d1", words)
        self.assertIn("</p><img src=x onerror=\"document.title='owned'\"><style>*{display:none}</style>", words)
        self.assertIn("<b>low</b> & \"stays\"", words)
        self.assertIn("W" * 10000, words)
        self.assertIn(HOSTILE_MOMENT, words)
        self.assertEqual([mark for mark in "\u202e\u2066\u200f\u202a" if mark in self.hostile.read_text()], [])
        self.assertEqual(self.browser.ask("getComputedStyle(document.querySelector('h1')).direction"), "ltr")

    def test_names_stand_only_where_they_are_wanted(self):
        name = json.loads((self.folder / "serve-side.review.json").read_text())["player"]["name"]
        text = html.unescape(self.plain.read_text())
        self.assertNotIn(name, text)
        self.assertNotIn("serve-side.mp4", text)
        self.assertIn("serve-side.mp4", self.hostile.read_text())

    def test_the_entry_about_the_shoulder_is_nowhere(self):
        text = self.hostile.read_text()
        for word in ("current_trouble", "current trouble", "past_trouble", "shoulder history"):
            self.assertNotIn(word, text)

    def test_all_that_speaks_of_the_drop_carries_its_caution(self):
        self.browser.open(self.plain, 390)
        about = "A deeper drop goes with more outward rotation"
        figures = self.browser.ask("[...document.querySelectorAll('figcaption')].map(e => [e.textContent, "
                                   "[...e.querySelectorAll('a')].map(a => a.getAttribute('href'))])")
        of_drop = [links for text, links in figures if text.startswith("drop") or "moment to moment" in text
                   or "above the elbow" in text]
        self.assertEqual(len(of_drop), 3)
        for links in of_drop:
            self.assertEqual(links, ["#care-0"])
        self.assertIn(about, self.browser.ask("document.querySelector('#care-0').textContent"))
        self.assertIn(about, self.browser.ask("document.querySelector('table').parentElement.textContent"))
        cautions = self.browser.ask("[...document.querySelectorAll('.care')].map(e => e.textContent).join(' ')")
        self.assertRegex(cautions, r"(?i)medical advice")
        self.assertIn(about, cautions)

    def test_findings_that_the_coach_has_not_seen_are_not_sent(self):
        self.assertNotIn("To work on first", self.plain.read_text())
        self.assertIn("mark them as seen", report(self.folder / "serve-side.review.json", "-o", self.plain).stdout)

    def test_a_screen_reader_is_told_all_of_it_in_order(self):
        self.browser.open(self.both, 1280)
        tree = self.browser.tree()
        levels = [next(int(one["value"]["value"]) for one in node["properties"] if one["name"] == "level")
                  for role, _, node in tree if role == "heading"]
        self.assertEqual(levels[0], 1)
        self.assertEqual(levels.count(1), 1)
        for before, after in zip(levels, levels[1:]):
            self.assertLessEqual(after - before, 1)
        images = [name for role, name, _ in tree if role in ("image", "img")]
        self.assertGreaterEqual(len(images), 9)
        for name in images:
            self.assertGreater(len(name), 20)
        self.assertTrue(any("elbow angle" in name and "95" not in name for name in images))
        roles = {role for role, _, _ in tree}
        self.assertLessEqual({"main", "heading", "table", "rowheader", "columnheader", "list", "figure"}, roles)
        self.assertEqual(self.browser.ask("document.documentElement.lang"), "en")

    def test_every_number_has_its_interval(self):
        self.browser.open(self.plain, 390)
        rows = self.browser.ask("[...document.querySelectorAll('td')].map(e => [e.querySelector('b').textContent, "
                                "e.querySelector('small').textContent])")
        self.assertGreater(len(rows), 20)
        for value, interval in rows:
            self.assertRegex(value, r"\d")
            self.assertRegex(interval, r"^\(.*\d.* to .*\d.*\)$")

    def test_the_clip_inside_plays(self):
        self.browser.open(self.plain, 390)
        told = self.browser.ask("""(async () => { const v = document.querySelector('video'); v.muted = true;
            await v.play(); await new Promise(done => setTimeout(done, 900));
            return [v.currentTime, v.duration, v.videoWidth, v.error === null]; })()""")
        self.assertGreater(told[0], 0.2)
        self.assertGreater(told[1], 10)
        self.assertGreaterEqual(told[2], 720)
        self.assertTrue(told[3])

    def test_two_serves_stand_beside_each_other(self):
        self.browser.open(self.both, 390)
        titles = self.browser.ask("[...document.querySelectorAll('h2')].map(e => e.textContent)")
        self.assertEqual(titles, ["Side by side", "Serve 1", "Serve 2"])
        ids = self.browser.ask("[...document.querySelectorAll('[id]')].map(e => e.id)")
        self.assertEqual(len(ids), len(set(ids)))
        links = self.browser.ask("[...document.querySelectorAll('a')].filter(e => !document.getElementById("
                                 "e.getAttribute('href').slice(1))).length")
        self.assertEqual(links, 0)

    def test_it_prints_on_a4(self):
        self.browser.open(self.plain, 1280, dark=True)
        pdf = self.browser.pdf()
        boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
        self.assertGreaterEqual(len(boxes), 3)
        for width, height in boxes:
            self.assertAlmostEqual(float(width), 210 * 72 / 25.4, delta=1)
            self.assertAlmostEqual(float(height), 297 * 72 / 25.4, delta=1)
        self.browser.call("Emulation.setEmulatedMedia", media="print",
                          features=[{"name": "prefers-color-scheme", "value": "dark"}])
        self.assertEqual(self.browser.ask("getComputedStyle(document.body).backgroundColor"), "rgb(255, 255, 255)")
        self.browser.call("Emulation.setEmulatedMedia", media="")


if __name__ == "__main__":
    unittest.main()

"""The page of a student's history in a headless Chromium: on a phone, on a desk and with hostile words."""
import json
import os
import pathlib
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
HOSTILE = "<script>document.title='owned'</script>\"'&\u202egnorw\u2066 O\u2019Neil"
DAYS = ("2027-03-14", "2027-03-23", "2027-04-10")


@unittest.skipUnless(browser.program(), "there is no chromium here: apt-get install chromium")
@unittest.skipUnless((DEMO / "serve-side.review.json").exists(), "no demo data: make demo-data")
class History(PageChecks, unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-history-"))
        serves = cls.folder / "serves"
        serves.mkdir()
        shutil.copy(DEMO / "serve-side.mp4", serves)
        demo = json.loads((DEMO / "serve-side.review.json").read_text())
        for i, day in enumerate(DAYS):
            document = json.loads(json.dumps(demo))
            document.update(reviewed=day)
            document["player"].update(name=HOSTILE, shoulder="past_trouble")
            if i < 2:
                document["findings"] = [{"check": "hand_low_in_drop", "seen": "not_met-0"},
                                        {"check": "head_still", "seen": "not_met-0"}]
            for mark in document["marks"]:
                for name, point in mark["points"].items():
                    if name in ("right_hand", "racquet_tip") and 236 < mark["frame"] < 256:
                        point["at"][1] += -41.3 + 37.9 * i
            (serves / f"{day}.review.json").write_text(json.dumps(document))
        (serves / "broken.review.json").write_text("{")
        speeds = cls.folder / "speeds.csv"
        speeds.write_text("date,speed,unit,device\n" + "".join(
            f"{day},{118.3 + 6.1 * i + (nth * 7 % 5)},km/h,{HOSTILE.replace(',', ' ').replace(chr(34), '')}\n"
            for i, day in enumerate(DAYS) for nth in range(4)))
        cls.page = cls.folder / "history.html"
        done = subprocess.run([PROGRAM, "progress", str(serves), "-o", str(cls.page), "--with-name", "--speeds",
                               str(speeds)], capture_output=True, text=True, timeout=300, stdin=subprocess.DEVNULL,
                              check=False, env=dict(os.environ, XDG_CACHE_HOME=str(cls.folder / "cache")))
        assert done.returncode == 0, done.stderr
        cls.browser = browser.Browser()

    @classmethod
    def tearDownClass(cls):
        cls.browser.close()
        shutil.rmtree(cls.folder)

    def test_nothing_runs_nothing_is_fetched_and_hostile_words_stay_text(self):
        text = self.page.read_text()
        self.assert_runs_nothing(text)
        self.assert_asks_for_nothing(self.page)
        self.assertEqual(self.browser.ask("document.title"), "Serve history")
        self.assertIn("<script>document.title='owned'</script>\"'&gnorw O\u2019Neil",
                      self.browser.ask("document.body.innerText"))
        for word in ("past_trouble", "past trouble"):
            self.assertNotIn(word, text)

    def test_it_fits_a_phone_and_a_desk_folded_and_unfolded(self):
        for width in (320, 390, 1280):
            for unfold in (False, True):
                self.browser.open(self.page, width, dark=unfold)
                if unfold:
                    self.browser.ask("document.querySelectorAll('details').forEach(e => e.open = true)")
                self.assert_fits(width)

    def test_letters_are_large_enough_and_stand_out(self):
        """In a chart at least 9 px on a phone."""
        for dark in (False, True):
            self.browser.open(self.page, 390, dark=dark)
            self.assert_letters_stand_out()
            self.assertGreaterEqual(self.browser.ask("Math.min(...[...document.querySelectorAll('svg text')].filter("
                                                     "e => e.checkVisibility()).map("
                                                     "e => e.getBoundingClientRect().height))"), 9)

    def test_nothing_in_a_chart_lies_outside_of_it_or_over_other_words(self):
        for width in (390, 1280):
            self.browser.open(self.page, width)
            self.browser.ask("document.querySelectorAll('details').forEach(e => e.open = true)")
            outside, over, charts = self.browser.ask("""(() => { let outside = 0, over = 0;
                const charts = [...document.querySelectorAll('svg')];
                for (const svg of charts) { const s = svg.getBoundingClientRect();
                    const words = [...svg.querySelectorAll('text')].map(e => e.getBoundingClientRect());
                    for (const e of svg.children) { const b = e.getBoundingClientRect();
                        if (b.width + b.height > 0 && (b.left < s.left - 1 || b.right > s.right + 1 ||
                            b.top < s.top - 1 || b.bottom > s.bottom + 1)) outside++; }
                    for (let i = 0; i < words.length; i++) for (let k = 0; k < i; k++) {
                        const a = words[i], b = words[k];
                        if (a.left < b.right && b.left < a.right && a.top + 2 < b.bottom && b.top + 2 < a.bottom) over++; } }
                return [outside, over, charts.length]; })()""")
            self.assertEqual((outside, over), (0, 0))
            self.assertGreater(charts, 25)

    def test_a_long_thread_is_folded_after_three_days(self):
        serves = self.folder / "long"
        serves.mkdir()
        shutil.copy(DEMO / "serve-side.mp4", serves)
        document = json.loads((DEMO / "serve-side.review.json").read_text())
        document["findings"] = [{"check": "head_still", "seen": "not_met-0"}]
        for day in range(3, 9):
            document["reviewed"] = f"2027-03-0{day}"
            (serves / f"{day}.review.json").write_text(json.dumps(document))
        out = self.folder / "long.html"
        done = subprocess.run([PROGRAM, "progress", str(serves), "-o", str(out), "--no-pictures", "--units", "imperial"],
                              capture_output=True, text=True, timeout=300, stdin=subprocess.DEVNULL, check=False,
                              env=dict(os.environ, XDG_CACHE_HOME=str(self.folder / "cache")))
        self.assertEqual(done.returncode, 0, done.stderr)
        self.browser.open(out, 390)
        days = "[...document.querySelectorAll('p b .day')].map(e => [e.textContent, e.checkVisibility()])"
        self.assertEqual([day for day, seen in self.browser.ask(days) if seen],
                         ["2027-03-08", "2027-03-07", "2027-03-06"])
        self.assertEqual(len(self.browser.ask(days)), 6)
        units = self.browser.ask("[...document.querySelectorAll('svg')].map(s => [...new Set([...s.querySelectorAll("
                                 "'text[text-anchor=end]')].map(e => e.textContent).filter(t => !t.startsWith('2027'))"
                                 ".map(t => t.replace(/[-0-9.]/g, '')))])")
        self.assertTrue(all(len(unit) == 1 for unit in units), units)
        self.assertIn([" in"], units)
        self.assertIn([" mph"], units)

    def test_what_was_worked_on_stands_before_all_else(self):
        self.browser.open(self.page, 1280)
        heads = self.browser.ask("[...document.querySelectorAll('h2')].map(e => e.textContent)")
        self.assertEqual(heads, ["What was asked, and what came of it", "Serve speeds", "Did what was worked on change?",
                                 "All measures, the first day against the last",
                                 "The first day and the last, side by side", "The measures over the days",
                                 "Please read"])
        shown = self.browser.ask("[...document.querySelectorAll('figure h3')].filter(e => e.checkVisibility()).map("
                                 "e => e.textContent)")
        self.assertIn("hand-elbow gap, drop", shown)
        self.assertIn("head shift, contact", shown)
        self.assertLess(len(shown), 12)
        self.assertIn("1 review could not be read", self.browser.ask("document.body.innerText"))

    def test_all_that_speaks_of_the_drop_leads_to_its_caution(self):
        self.browser.open(self.page, 390)
        caution = self.browser.ask("document.querySelector('#care-0').textContent")
        self.assertIn("please see a physiotherapist or physician first", caution)
        self.assertNotIn("Warm up first", caution)
        links = self.browser.ask("[...document.querySelectorAll('a')].map(e => e.getAttribute('href'))")
        self.assertEqual(set(links), {"#care-0"})
        self.assertGreaterEqual(len(links), 4)

    def test_every_value_has_its_interval_and_pictures_say_what_they_show(self):
        self.browser.open(self.page, 390)
        self.browser.ask("document.querySelectorAll('details').forEach(e => e.open = true)")
        for line in self.browser.ask("[...document.querySelectorAll('figure li')].map(e => e.textContent)"):
            self.assertRegex(line, r"^2027-\d\d-\d\d: (.* \(.* to .*\)|[a-z ,]+)$")
        alts = self.browser.ask("[...document.images].map(e => [e.alt, e.naturalWidth])")
        self.assertEqual(len(alts), 3)
        for alt, width in alts:
            self.assertIn("on 2027-03-14 and on 2027-04-10 beside each other", alt)
            self.assertGreater(width, 1000)

    def test_it_prints_on_a4(self):
        self.browser.open(self.page, 1280)
        self.assertTrue(self.browser.pdf().startswith(b"%PDF"))


if __name__ == "__main__":
    unittest.main()

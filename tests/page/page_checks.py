"""What every page that leaves the house has to be, asked of it in a browser."""
import base64
import hashlib
import re


def luminance(colour):
    """Relative, of "rgb(1, 2, 3)": WCAG 2.1."""
    parts = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


class PageChecks:
    """Of a unittest.TestCase with a `browser`."""

    def assert_runs_nothing(self, text):
        """Its policy allows its own style and nothing else; there is nothing that could run."""
        style = re.search(r"<style>(.*?)</style>", text, re.S).group(1)
        policy = re.search(r'Content-Security-Policy" content="([^"]*)"', text).group(1)
        wanted = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
        self.assertIn(f"style-src 'sha256-{wanted}'", policy)
        self.assertIn("default-src 'none'", policy)
        self.assertNotIn("unsafe", policy)
        self.assertNotIn("script-src", policy)
        self.assertEqual(re.findall(r"<script|\son\w+=|javascript:|\sstyle=", text), [])

    def assert_asks_for_nothing(self, page, wait_ms=400):
        """Opened on a phone, no request leaves it and nothing is complained of."""
        self.browser.open(page, 390)
        self.browser.ask(f"new Promise(done => setTimeout(done, {wait_ms}))")
        others = [url for url in self.browser.requests if not url.startswith("data:") and url != f"file://{page}"]
        self.assertEqual((others, self.browser.complaints), ([], []))

    def assert_fits(self, width):
        """What is open does not have to be moved sideways."""
        self.assertLessEqual(self.browser.ask("document.documentElement.scrollWidth"), width)
        out = self.browser.ask("[...document.querySelectorAll('img,video,svg,table,p,h1,h2,h3,li,summary')].filter("
                               "e => e.getBoundingClientRect().right > innerWidth + 1).length")
        self.assertEqual(out, 0)

    def assert_letters_stand_out(self):
        """At least 14 px, and WCAG 2.1's 4.5 to 1 against the ground."""
        found = self.browser.ask("""[...document.querySelectorAll(
            'p,li,small,figcaption,td,th,h1,h2,h3,a,summary,.faint')].map(e => {
            const s = getComputedStyle(e); let g = e;
            while (g && getComputedStyle(g).backgroundColor === 'rgba(0, 0, 0, 0)') g = g.parentElement;
            return [parseFloat(s.fontSize), s.color, getComputedStyle(g).backgroundColor]; })""")
        self.assertGreater(len(found), 20)
        for size, front, ground in found:
            self.assertGreaterEqual(size, 14)
            high, low = sorted((luminance(front), luminance(ground)), reverse=True)
            self.assertGreaterEqual((high + 0.05) / (low + 0.05), 4.5, f"{front} on {ground}")

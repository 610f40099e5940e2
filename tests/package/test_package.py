"""What is handed to others: the installed library as a program elsewhere uses it, the pages, the desktop
files, the completion. The judges are the compiler, pkg-config, mandoc, desktop-file-validate and bash."""
import json
import os
import pathlib
import re
import shutil
import subprocess
import tempfile
import unittest
import xml.etree.ElementTree

PROGRAM = os.environ["SERVEPLUMB"]
PLAIN = os.path.basename(os.environ["SP_BUILD"]) == "plain"
REVIEW = "build/demo/serve-side.review.json"
STATUSES = ["ok", "projected", "needs_points", "needs_scale", "needs_moment", "not_from_this_view", "too_coarse"]
FOLDER = ROOT = None


def run(*words, **options):
    done = subprocess.run(words, capture_output=True, text=True, check=False, **options)
    if done.returncode != 0:
        raise AssertionError(f"{' '.join(map(str, words))}: {done.stdout}{done.stderr}")
    return done.stdout


def setUpModule():
    global FOLDER, ROOT
    if not PLAIN:
        raise unittest.SkipTest("the shared library is built and tried in the plain variant only")
    FOLDER = tempfile.TemporaryDirectory()
    ROOT = pathlib.Path(FOLDER.name)
    run("make", "-s", "install", f"DESTDIR={ROOT}", "PREFIX=/usr")


def tearDownModule():
    FOLDER.cleanup()


def compiler_flags():
    folder = ROOT / "usr/lib/pkgconfig"
    environment = dict(os.environ, PKG_CONFIG_PATH=str(folder), PKG_CONFIG_SYSROOT_DIR=str(ROOT))
    return run("pkg-config", "--cflags", "--libs", "libserveplumb", env=environment).split()


class Library(unittest.TestCase):
    def test_a_program_elsewhere_measures_a_review_through_the_installed_headers_only(self):
        program = ROOT / "measure_example"
        run("gcc", "-std=c11", "-Wall", "-Wextra", "-Wpedantic", "-Werror", "tests/package/measure_example.c",
            "-o", program, *compiler_flags())
        told = run(program, REVIEW, env=dict(os.environ, LD_LIBRARY_PATH=str(ROOT / "usr/lib")))
        measures = json.loads(run(PROGRAM, "measure", REVIEW, "--json"))["measures"]
        self.assertEqual(len(told.splitlines()), len(measures))
        numbers = 0
        for line, measure in zip(told.splitlines(), measures):
            name, moment, status, *values = line.split("\t")
            self.assertEqual((name, moment or None, STATUSES[int(status)]),
                             (measure["id"], measure["moment"] or None, measure["status"]))
            if measure["value"] is not None:
                self.assertEqual([float(value) for value in values], [measure[key] for key in ("value", "low", "high")])
                numbers += 1
        self.assertGreater(numbers, 20)

    def test_what_the_headers_declare_is_seen_from_outside_and_nothing_else(self):
        text = "".join(header.read_text() for header in (ROOT / "usr/include/serveplumb").glob("*.h"))
        text = re.sub(r"/\*.*?\*/|^#.*?$", "", text, flags=re.S | re.M)
        text = re.sub(r"static inline [^{;]*\{.*?^\}", "", text, flags=re.S | re.M)
        functions = set(re.findall(r"\b(sp_[a-z0-9_]+)\(", re.sub(r"typedef[^;{]*;", "", text)))
        seen = {line.split()[-1] for line in
                run("nm", "-D", "--defined-only", ROOT / "usr/lib/libserveplumb.so.0").splitlines()}
        self.assertGreater(len(functions), 200)
        self.assertEqual(functions - seen, set())
        self.assertEqual({name for name in seen if not re.search(rf"\b{name}\b", text)}, set())

    def test_each_installed_header_compiles_alone(self):
        headers = sorted(header.name for header in (ROOT / "usr/include/serveplumb").glob("*.h"))
        self.assertGreater(len(headers), 30)
        for name in headers:
            run("gcc", "-std=c11", "-Wall", "-Wextra", "-Wpedantic", "-Werror", "-fsyntax-only", "-xc", "-",
                f"-I{ROOT}/usr/include", input=f"#include <serveplumb/{name}>\n")


class Headers(unittest.TestCase):
    def test_each_header_says_what_it_is_and_no_group_of_functions_stands_without_a_comment(self):
        functions = 0
        for header in sorted(pathlib.Path("include/serveplumb").glob("*.h")):
            text = header.read_text()
            self.assertTrue(text.startswith("/* "), header)
            text = re.sub(r"/\* ---.*?\*/", "", text[text.index("#ifndef"):], flags=re.S)
            for paragraph in re.split(r"\n\s*\n", text):
                code = re.sub(r"/\*.*?\*/", "", paragraph, flags=re.S)
                names = re.findall(r"^(?!typedef|static|extern|#|\s)[\w\s*]*?\b(sp_\w+)\(", code, re.M)
                functions += len(names)
                # What is freed, and what is counted, say it by their names.
                telling = [name for name in names if not name.endswith(("_free", "_count", "_at"))]
                self.assertTrue("/*" in paragraph or not telling, f"{header}: {names}")
        self.assertGreater(functions, 200)


class Pages(unittest.TestCase):
    def test_every_command_and_option_is_in_the_manual(self):
        page = (ROOT / "usr/share/man/man1/serveplumb.1").read_text().replace("\\-", "-")
        names = [line.split()[1] for line in run(PROGRAM, "help").splitlines() if line.startswith("  serveplumb ")]
        names = [name for name in names if name[0].isalpha()]
        self.assertGreater(len(names), 10)
        for name in names:
            self.assertIn(f".SS serveplumb {name}", page)
            for line in run(PROGRAM, "help", name).splitlines()[1:]:
                self.assertIn("--" + line.split("--")[1].split()[0], page)

    def test_every_member_of_the_schema_is_in_the_manual(self):
        page = (ROOT / "usr/share/man/man5/serveplumb-review.5").read_text().replace("\\-", "-")
        schema = json.loads(pathlib.Path("assets/review.schema.json").read_text())
        for node in [schema, *schema["$defs"].values()]:
            for member in node.get("properties", {}):
                self.assertIn(f"\n.B {member}\n", page)

    def test_the_pages_are_without_fault(self):
        if not shutil.which("mandoc"):
            self.skipTest("mandoc is not installed")
        for page in (ROOT / "usr/share/man").glob("man?/*"):
            run("mandoc", "-T", "lint", "-W", "warning", page)


class Desktop(unittest.TestCase):
    def test_the_desktop_files_are_valid(self):
        if not shutil.which("desktop-file-validate"):
            self.skipTest("desktop-file-validate is not installed")
        run("desktop-file-validate", ROOT / "usr/share/applications/serveplumb.desktop")

    def test_a_review_has_a_type_of_its_own(self):
        kind = "application/x-serveplumb-review+json"
        tree = xml.etree.ElementTree.parse(ROOT / "usr/share/mime/packages/serveplumb.xml")
        name = "{http://www.freedesktop.org/standards/shared-mime-info}"
        self.assertEqual(tree.find(f"{name}mime-type").get("type"), kind)
        self.assertEqual(tree.find(f".//{name}glob").get("pattern"), "*.review.json")
        self.assertIn(kind, (ROOT / "usr/share/applications/serveplumb.desktop").read_text())

    def test_bash_completes_commands_and_options(self):
        script = (f'source {ROOT}/usr/share/bash-completion/completions/serveplumb; '
                  'try() { COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _serveplumb; echo "${COMPREPLY[@]}"; }; '
                  f'try {PROGRAM} me; try {PROGRAM} still --bes; try {PROGRAM} help re')
        told = run("bash", "-c", script, cwd=ROOT).splitlines()
        self.assertIn("measure", told[0].split())
        self.assertEqual(told[1], "--beside")
        self.assertIn("report", told[2].split())


if __name__ == "__main__":
    unittest.main()

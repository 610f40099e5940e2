#!/usr/bin/python3
"""Runs a fuzz target over mutated clips and says what went wrong.

Usage: tests/fuzz/campaign.py TARGET [--texts FOLDER] [--files N] [--seed S] [--from I] [--jobs J] [--work FOLDER]
       tests/fuzz/campaign.py --write I FILE [--seed S]      (file I of a campaign, without running it)

TARGET is a fuzz target linked with replay.c, under AddressSanitizer and UndefinedBehaviorSanitizer: of clips, or,
with --texts, of texts such as lie in FOLDER.
File I of seed S is the same everywhere that ffmpeg makes the same corpus. What went wrong is kept in
FOLDER/found."""
import argparse
import concurrent.futures
import os
import pathlib
import random
import select
import shutil
import subprocess
import sys
import tempfile
import time

import corpus
import mutation

HANG_S = 10  # of processor time on one file
STALL_S = 60  # of the clock: a deadlock takes no processor time, and neither does a busy machine
MEMORY_MB = 1024
BATCH = 40
OPTIONS = {
    "ASAN_OPTIONS": f"detect_leaks=1:allocator_may_return_null=1:strict_string_checks=1:quarantine_size_mb=32:"
                    f"hard_rss_limit_mb={MEMORY_MB}",
    "UBSAN_OPTIONS": "print_stacktrace=1:halt_on_error=1",
}


def file_of(seeds, seed, number, mutate):
    dice = random.Random(f"{seed}/{number}")
    return mutate(seeds[dice.randrange(len(seeds))], dice)


def processor_s(process):
    fields = pathlib.Path(f"/proc/{process.pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def where(process):
    """What its threads are doing, if gdb is here."""
    if shutil.which("gdb") is None:
        return ""
    done = subprocess.run(["gdb", "-p", str(process.pid), "-batch", "-ex", "thread apply all bt 25"],
                          capture_output=True, text=True, errors="replace", stdin=subprocess.DEVNULL, check=False)
    return done.stdout


def watch(process):
    """The names it said, and None or what it did when it had hung at the last."""
    names, text, stream = [], b"", process.stdout.fileno()
    said_at, used = time.monotonic(), 0.0
    while True:
        ready, _, _ = select.select([stream], [], [], 1)
        if not ready:
            stalled, worked = time.monotonic() - said_at, processor_s(process) - used
            if worked < HANG_S and stalled < STALL_S:
                continue
            told = f"hang: {stalled:.0f} s, {worked:.0f} s of processor time\n{where(process)}"
            process.kill()
            return names, told
        more = os.read(stream, 65536)
        if not more:
            return names, None
        said_at, used = time.monotonic(), processor_s(process)
        text += more
        *lines, text = text.split(b"\n")
        names += [line.decode() for line in lines if line]


def run(target, paths):
    """(fault or None, name at which it stopped, MB at most)"""
    with tempfile.TemporaryFile() as said:
        process = subprocess.Popen([target, "--each", *map(str, paths)], stdout=subprocess.PIPE, stderr=said,
                                   stdin=subprocess.DEVNULL, env={**os.environ, **OPTIONS})
        names, hung = watch(process)
        process.stdout.close()
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        text = said.read().decode(errors="replace")
    last = names[-1] if names else str(paths[0])
    megabytes = usage.ru_maxrss / 1024
    if hung:
        return hung, last, megabytes
    if process.returncode != 0:
        return f"exit {process.returncode}\n{text}", last, megabytes
    return None, None, megabytes


def kind_of(fault):
    for line in fault.splitlines():
        if "ERROR:" in line or "runtime error" in line or "does not hold" in line or "rss limit" in line:
            return line.strip()[:150]
    return fault.splitlines()[0]


class Campaign:
    def __init__(self, arguments):
        self.arguments = arguments
        self.work = pathlib.Path(arguments.work)
        self.found = self.work / "found"
        texts = arguments.texts and sorted(pathlib.Path(arguments.texts).iterdir())
        self.seeds = [path.read_bytes() for path in texts or corpus.make(self.work / "corpus")]
        self.mutate = mutation.text_mutation(self.seeds) if texts else mutation.mutate
        self.work.mkdir(parents=True, exist_ok=True)

    def file(self, number):
        return file_of(self.seeds, self.arguments.seed, number, self.mutate)

    def keep(self, path, fault):
        self.found.mkdir(parents=True, exist_ok=True)
        kept = self.found / f"{self.arguments.seed}-{path.name}"
        shutil.copy(path, kept)
        kept.with_suffix(".txt").write_text(fault)
        return kept, kind_of(fault)

    def run_batch(self, numbers):
        """Faults as (file kept, kind), and the memory used at most. A batch that fails is run file by file, since
        a leak is told only at the end."""
        faults, most = [], 0
        with tempfile.TemporaryDirectory(dir=self.work) as folder:
            paths = []
            for number in numbers:
                paths.append(pathlib.Path(folder) / f"{number}.bin")
                paths[-1].write_bytes(self.file(number))
            fault, last, most = run(self.arguments.target, paths)
            for path in paths if fault else []:
                alone, _, megabytes = run(self.arguments.target, [path])
                most = max(most, megabytes)
                if alone:
                    faults.append(self.keep(path, alone))
            if fault and not faults:
                kept, kind = self.keep(pathlib.Path(last), fault)
                faults.append((kept, "only in a batch: " + kind))
        return faults, most

    def run(self):
        first, count = self.arguments.first, self.arguments.files
        size = BATCH * 10 if self.arguments.texts else BATCH
        batches = [range(at, min(at + size, first + count)) for at in range(first, first + count, size)]
        faults, most, done, started = [], 0, 0, time.monotonic()
        with concurrent.futures.ThreadPoolExecutor(self.arguments.jobs) as pool:
            for batch, result in zip(batches, pool.map(self.run_batch, batches)):
                done += len(batch)
                most = max(most, result[1])
                for path, kind in result[0]:
                    print(f"{path}: {kind}", flush=True)
                faults += result[0]
                if done % 1000 < size:
                    print(f"{done} files, {len(faults)} faults, {most:.0f} MB at most, "
                          f"{time.monotonic() - started:.0f} s", flush=True)
        kind = "texts" if self.arguments.texts else "clips"
        print(f"{done} mutated files of {len(self.seeds)} {kind}, seed {self.arguments.seed}: {len(faults)} faults, "
              f"{most:.0f} MB at most (limit {MEMORY_MB}), {time.monotonic() - started:.0f} s")
        return 1 if faults else 0


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("target")
    parser.add_argument("written", nargs="?")
    parser.add_argument("--texts")
    parser.add_argument("--files", type=int, default=20000)
    parser.add_argument("--seed", default="41")
    parser.add_argument("--from", dest="first", type=int, default=0)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--write", action="store_true")
    parser.add_argument("--work", default="build/fuzz/clip")
    arguments = parser.parse_args()
    campaign = Campaign(arguments)
    if arguments.write:
        pathlib.Path(arguments.written).write_bytes(campaign.file(int(arguments.target)))
        return 0
    return campaign.run()


if __name__ == "__main__":
    sys.exit(main())

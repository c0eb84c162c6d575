"""The disk refuses: injected failures of sync, write and memory (libfiu), a disk that is full
(a small tmpfs). Nothing acknowledged is lost; what is not certain is told as 5xx, "send it again";
after a failed sync the program ends, since a retry could report success for data that is gone.

Parts that the machine does not allow are skipped and say so.
"""
import errno
import os
import shutil
import subprocess
import tempfile
import time
import unittest

import program
import sending

CLIENTS = 8
ENDED_BY_SYNC = 74      # EX_IOERR of sysexits.h


class Disk(unittest.TestCase):
    def setUp(self):
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        server = program.Server(self.register)
        boss = program.Client(server, "administrator")
        self.bonds = program.railway(boss, 60)
        self.cookie = boss.cookie
        boss.close()
        self.assertEqual(server.stop(), 0)
        self.acknowledged, self.unsure, self.refused = [], [], []

    def tearDown(self):
        """Whatever happened before: it starts, takes what was unsure, and is content."""
        server = program.Server(self.register)
        self.send(server, 0.3)
        self.assertEqual((server.stop(), self.unsure), (0, []))
        self.assertEqual(sending.faults_of(self.register, self.acknowledged), [])
        self.assertIn("content", self.register.run("check"))
        self.assertEqual(self.register.query("PRAGMA integrity_check"), [("ok",)])

    def send(self, server, seconds):
        """Sends for so long, or until the server has ended."""
        senders = sending.send_all(server.port, self.cookie, self.bonds, time.time(), CLIENTS,
                                   self.unsure)
        end = time.monotonic() + seconds
        while time.monotonic() < end and server.process.poll() is None:
            time.sleep(0.02)
        now, self.unsure = sending.stop_all(senders)
        self.acknowledged += now
        self.refused += [r for s in senders for r in s.refused]
        return len(now)

    def all_say_send_again(self):
        for status, problem in self.refused:
            self.assertIn(status, (500, 503), problem)
            self.assertRegex(problem["title"] + problem["detail"], "send it again|try again")
        self.refused = []

    # ---- injected failures

    def inject(self, what, seconds):
        """A server that is given the failures once it runs; how many inspections it took."""
        if not shutil.which("fiu-run") or not shutil.which("fiu-ctrl"):
            self.skipTest("libfiu is not installed (Debian's fiu-utils)")
        fifo = os.path.join(self.register.home, "fiu")
        self.server = program.Server(
            self.register, wrap=("fiu-run", "-x", "-f", fifo, *program.preload()),
            env={"ASAN_OPTIONS": "detect_leaks=0"})
        subprocess.run(["fiu-ctrl", "-f", fifo, "-c", what, str(self.server.process.pid)],
                       check=True, timeout=20)
        return self.send(self.server, seconds)

    def end(self):
        """Whether it had ended by itself, as it does after a failed sync and never else."""
        if self.server.process.poll() is None:
            self.server.kill()
            return False
        self.assertEqual(self.server.wait(), ENDED_BY_SYNC, self.server.logged()[-2000:])
        self.assertIn("a sync failed", self.server.logged())
        return True

    def test_after_a_failed_sync_it_ends_and_recovers(self):
        ended = 0
        for _ in range(6):
            self.inject("enable_random name=posix/io/sync/fdatasync,probability=0.03,"
                        f"failinfo={errno.EIO}", 3)
            ended += self.end()
        print(ended, "ends,", len(self.acknowledged), "acknowledged,", len(self.refused), "unsure",
              flush=True)
        self.assertGreater(len(self.refused), 0)
        self.all_say_send_again()
        self.assertGreater(ended, 0)

    def writes_fail(self, error):
        self.inject(f"enable_random name=posix/io/rw/pwrite,probability=0.003,failinfo={error}", 3)
        print(len(self.acknowledged), "acknowledged,", len(self.refused), "unsure", flush=True)
        self.assertGreater(len(self.refused), 0)
        self.all_say_send_again()
        self.assertGreater(len(self.acknowledged), 0)
        self.end()

    def test_a_write_that_fails_is_told_and_nothing_is_lost(self):
        self.writes_fail(errno.EIO)

    def test_a_full_disk_now_and_then_is_told_and_nothing_is_lost(self):
        self.writes_fail(errno.ENOSPC)

    def test_reads_that_fail_are_no_answers(self):
        self.inject(f"enable_random name=posix/io/rw/pread,probability=0.02,failinfo={errno.EIO}",
                    2)
        self.all_say_send_again()
        self.end()

    def test_memory_that_fails_now_and_then_is_told_and_nothing_is_lost(self):
        if program.sanitizers():
            self.skipTest("a sanitizer has a malloc of its own: run it in a plain build")
        self.inject("enable_random name=libc/mm/*,probability=0.0005", 3)
        print(len(self.acknowledged), "acknowledged,", len(self.refused), "unsure", flush=True)
        self.assertGreater(len(self.refused), 0)
        self.all_say_send_again()
        self.assertIsNone(self.server.process.poll(), self.server.logged()[-2000:])
        self.server.kill()

    # ---- a disk that is full

    def mount(self, size):
        """A small file system in memory, gone after the test."""
        at = tempfile.mkdtemp(prefix="bondbook-full-")
        self.addCleanup(os.rmdir, at)
        done = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=" + size, "none", at],
                              stderr=subprocess.PIPE, text=True)
        if done.returncode != 0:
            self.skipTest("a small file system cannot be mounted here: " + done.stderr.strip())
        self.addCleanup(subprocess.run, ["umount", at], check=True)
        return at

    def on_small_disk(self, size):
        """The register on a file system of so much; what the test did there goes back at the end."""
        at = self.mount(size)
        kept = self.register.data
        self.register.data = os.path.join(at, "data")
        shutil.copytree(kept, self.register.data)

        def back():
            shutil.rmtree(kept)
            shutil.copytree(self.register.data, kept)
            self.register.data = kept
        return at, back

    def serve(self):
        server = program.Server(self.register)
        self.addCleanup(lambda: server.process.poll() is None and server.kill())
        return server

    def fill(self, at, leave):
        """Another program takes the room, but for so many bytes."""
        left = os.statvfs(at)
        with open(os.path.join(at, "hog"), "wb") as hog:
            hog.write(bytes(max(0, left.f_bavail * left.f_frsize - leave)))

    def until_full(self, server):
        while not self.refused:
            self.send(server, 0.3)
        for status, problem in self.refused:
            self.assertEqual((status, problem["type"]), (503, "/problems/disk-full"))
            self.assertIn("disk is full", problem["detail"])
        self.all_say_send_again()

    def is_full(self, server):
        """It reads, refuses what is new by the true cause, and /readyz says so too."""
        reader = program.Client(server, cookie=self.cookie)
        self.assertEqual(reader.get("/api/due?line=1").status, 200)
        for _ in range(500):        # (one alone may still find room where many did not)
            uuid = program.new_id()
            answer = reader.ask("PUT", "/api/inspections/" + uuid, program.inspection(self.bonds[0]))
            if answer.status != 201:
                break
            self.acknowledged.append(uuid)
        self.assertEqual((answer.status, answer.json["type"]), (503, "/problems/disk-full"))
        ready = reader.get("/readyz")
        self.assertEqual((ready.status, ready.json["type"]), (503, "/problems/disk-full"))
        reader.close()

    def has_room(self, server):
        """What was refused goes in at once, and all that is sent after it."""
        self.assertGreater(self.send(server, 0.3), 0, "nothing was taken when there was room again")
        self.assertEqual(self.refused, [])
        reader = program.Client(server, cookie=self.cookie)
        self.assertEqual(reader.get("/readyz").status, 200)
        reader.close()

    def test_a_full_disk_takes_reads_and_goes_on_at_once_when_there_is_room(self):
        at, back = self.on_small_disk("6m")
        server = self.serve()
        self.fill(at, 600 << 10)
        self.until_full(server)
        self.is_full(server)
        self.assertIsNone(server.process.poll(), server.logged()[-1000:])
        os.remove(at + "/hog")
        self.has_room(server)
        self.assertEqual(server.stop(), 0)
        self.assertEqual(sending.faults_of(self.register, self.acknowledged), [])
        back()

    def test_started_on_a_full_disk_it_does_the_same(self):
        at, back = self.on_small_disk("6m")
        server = self.serve()
        self.fill(at, 400 << 10)
        self.until_full(server)
        server.kill()
        server = self.serve()
        self.is_full(server)
        os.remove(at + "/hog")
        self.has_room(server)
        self.assertEqual(server.stop(), 0)
        back()

    def test_the_log_does_not_take_the_room_that_the_register_needs(self):
        at, back = self.on_small_disk("3m")
        server = self.serve()
        # an inspection is some 500 bytes of the register, and some 20 KB of the log
        while len(self.acknowledged) < 400 and not self.refused:
            self.send(server, 0.2)
        self.assertEqual(self.refused, [])
        self.assertGreaterEqual(len(self.acknowledged), 400)
        self.assertEqual(server.stop(), 0)
        back()

    def test_a_file_for_which_there_is_no_room_is_not_sent_in_part(self):
        at = self.mount("4k")
        server = program.Server(self.register, env={"TMPDIR": at})
        reader = program.Client(server, cookie=self.cookie)
        answer = reader.get("/api/bonds.csv")
        self.assertEqual(answer.status, 500, answer)
        self.assertEqual(answer.json["type"], "/problems/store")
        self.assertEqual(reader.get("/api/bonds").status, 200)
        reader.close()
        self.assertEqual(server.stop(), 0)
        self.assertEqual(os.listdir(at), [])


if __name__ == "__main__":
    unittest.main(verbosity=2)

"""The power is cut, at any moment, while crews send: nothing acknowledged is lost, nothing is there
in part, and the register opens by itself and is content.

What the program does to its files is recorded, and what a cut may leave of it is made afterwards by
the model of power.py. The seed is printed; BONDBOOK_SEED repeats another run, BONDBOOK_CUTS says how
many cuts.
"""
import os
import random
import shutil
import time
import unittest

import power
import program
import sending

SEED = os.environ.get("BONDBOOK_SEED", "20262")
LONG = bool(os.environ.get("BONDBOOK_LONG"))
CUTS = int(os.environ.get("BONDBOOK_CUTS", "200" if LONG else "20"))
CUTS_A_TRACE = 10
RECORDER = os.environ["BONDBOOK_RECORDER"]
CLIENTS = 8


class Power(unittest.TestCase):
    def setUp(self):
        print("seed", SEED, flush=True)
        self.chance = random.Random(SEED)
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        self.trace = os.path.join(self.register.home, "trace")
        self.env = {"POWER_FOLDER": self.register.data, "POWER_TRACE": self.trace}
        self.wrap = program.preload(RECORDER)

    def railway(self):
        server = program.Server(self.register)
        boss = program.Client(server, "administrator")
        self.bonds = program.railway(boss, 60)
        self.cookie = boss.cookie
        boss.close()
        self.assertEqual(server.stop(), 0)

    def record(self, seed):
        """Two servers one after the other, of which the first is asked to stop and the second killed;
        [(when_ns, id)] of what was acknowledged."""
        acknowledged, unsure = [], []
        for n in range(2):
            server = program.Server(self.register, wrap=self.wrap, env=self.env)
            senders = sending.send_all(server.port, self.cookie, self.bonds, f"{seed}/{n}", CLIENTS,
                                       unsure)
            time.sleep(self.chance.uniform(0.3, 0.8))
            if n == 0:
                self.assertEqual(server.stop(), 0)
            else:
                server.kill()
            _, unsure = sending.stop_all(senders)
            acknowledged += [pair for s in senders for pair in zip(s.when_ns, s.acknowledged)]
        return acknowledged

    def left(self, disk):
        """A register as the cut may leave it."""
        register = program.Register.__new__(program.Register)
        register.home = os.path.join(self.register.home, "left")
        register.data = os.path.join(register.home, "data")
        register.log = os.path.join(register.home, "log")
        shutil.rmtree(register.home, ignore_errors=True)
        os.makedirs(register.data)
        disk.after_cut(self.chance, register.data)
        return register

    def look(self, register, acknowledged, cut):
        self.assertEqual(sending.faults_of(register, acknowledged), [], cut)
        self.assertIn("content", register.run("check"), cut)

    def goes_on(self, register, acknowledged):
        """It serves, and takes what is sent to it."""
        server = program.Server(register)
        senders = sending.send_all(server.port, self.cookie, self.bonds, "on", CLIENTS)
        time.sleep(0.2)
        now, unsure = sending.stop_all(senders)
        self.assertEqual((server.stop(), unsure), (0, []))
        self.look(register, acknowledged + now, "after it went on")

    def test_cut_at_any_moment_it_loses_nothing_acknowledged(self):
        self.railway()
        cuts = kept = 0
        while cuts < CUTS:
            before = os.path.join(self.register.home, "before")
            shutil.rmtree(before, ignore_errors=True)
            shutil.copytree(self.register.data, before)
            if os.path.exists(self.trace):
                os.remove(self.trace)
            acknowledged = self.record(f"{SEED}/{cuts}")
            ops = power.read_trace(self.trace)
            disk, done = power.Disk(before), 0
            for cut in power.near(ops, self.chance, CUTS_A_TRACE):
                for op, fd, at, _, data in ops[done:cut]:
                    disk.do(op, fd, at, data)
                op, fd, at, begun, data = ops[cut]
                disk.do(op, fd, at, data, whole=False)
                done = cut if op == "s" else cut + 1
                sure = [uuid for when, uuid in acknowledged if when < begun]
                self.look(self.left(disk), sure, f"trace at {cuts}, cut {cut} of {len(ops)}")
                kept += len(sure)
                cuts += 1
            self.goes_on(self.left(disk), sure)
        print(cuts, "power cuts,", kept, "acknowledged before them", flush=True)
        self.assertGreater(kept, CUTS * 10)

    def test_cut_while_it_is_made_a_register_is_there_as_a_whole_or_not_at_all(self):
        shutil.rmtree(self.register.data)
        os.mkdir(self.register.data)
        before = os.path.join(self.register.home, "before")
        os.mkdir(before)
        program.run([*self.wrap, program.PROGRAM, "init", "--data", self.register.data, "--zone",
                     "UTC"], env=self.env)
        ops = power.read_trace(self.trace)
        whole = 0
        cuts = {*power.near(ops, self.chance, CUTS), *range(len(ops) - 10, len(ops))}
        for cut in sorted(cuts):
            disk = power.Disk(before)
            for op, fd, at, _, data in ops[:cut]:
                disk.do(op, fd, at, data)
            disk.do(*ops[cut][:3], ops[cut][4], whole=False)
            register = self.left(disk)
            there = os.path.exists(os.path.join(register.data, "register.db"))
            whole += there
            if there:
                self.assertIn("content", register.run("check"), cut)
            else:
                for name in os.listdir(register.data):     # nothing that init would not go over
                    self.assertTrue(name.startswith("register.db.new") or name.endswith("-shm"),
                                    name)
        self.assertGreater(whole, 0)
        print(len(cuts), "cuts while a register was made: there in", whole, flush=True)
        disk = power.Disk(before)
        for op, fd, at, _, data in ops:
            disk.do(op, fd, at, data)
        for _ in range(5):              # after the end it is there, whatever is left of the rest
            self.assertIn("content", self.left(disk).run("check"))


if __name__ == "__main__":
    unittest.main(verbosity=2)

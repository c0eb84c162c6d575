"""The register's files are moved, removed or replaced under the running program, while crews send:
from then on nothing is acknowledged, the program ends by itself, and it removes nothing, so that
whoever puts the files back has all that was acknowledged."""
import os
import shutil
import time
import unittest

import program
import sending

CLIENTS = 8
ENDED_BY_FILES = 74      # EX_IOERR of sysexits.h


class Files(unittest.TestCase):
    def setUp(self):
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        self.data = self.register.data
        self.db = os.path.join(self.data, "register.db")
        server = program.Server(self.register)
        boss = program.Client(server, "administrator")
        self.bonds = program.railway(boss, 60)
        self.cookie = boss.cookie
        boss.close()
        self.assertEqual(server.stop(), 0)

    def change(self, how):
        """Sends, changes the files, sends on until the program has ended; what was acknowledged, and
        how many of that were sent after the change."""
        server = program.Server(self.register)
        senders = sending.send_all(server.port, self.cookie, self.bonds, time.time(), CLIENTS)
        while sum(len(s.acknowledged) for s in senders) < 50:
            time.sleep(0.01)
        how()
        # what is on its way at this moment may have been looked after before the change
        time.sleep(0.5)
        before = [len(s.acknowledged) for s in senders]
        for _ in range(600):
            if server.process.poll() is not None:
                break
            time.sleep(0.1)
        acknowledged, self.unsure = sending.stop_all(senders)
        after = sum(len(s.acknowledged) for s in senders) - sum(before)
        self.assertEqual(server.wait(), ENDED_BY_FILES)
        self.assertIn("was changed under the program", server.logged())
        self.assertEqual([r for s in senders for r in s.refused if r[0] != 503], [])
        self.assertGreaterEqual(len(acknowledged), 50)
        self.assertEqual(after, 0, "acknowledged after the change")
        return acknowledged

    def all_is_there(self, acknowledged):
        """It starts by itself, takes what was unsure, and has all that was acknowledged."""
        server = program.Server(self.register)
        senders = sending.send_all(server.port, self.cookie, self.bonds, "end", CLIENTS, self.unsure)
        time.sleep(0.3)
        now, unsure = sending.stop_all(senders)
        self.assertEqual((server.stop(), unsure), (0, []))
        self.assertEqual(sending.faults_of(self.register, acknowledged + now), [])
        self.assertIn("content", self.register.run("check"))

    def test_the_folder_is_moved_away_and_back(self):
        acknowledged = self.change(lambda: os.rename(self.data, self.data + ".away"))
        self.assertFalse(os.path.exists(self.data))
        os.rename(self.data + ".away", self.data)
        self.all_is_there(acknowledged)

    def test_the_folder_is_deleted(self):
        self.change(lambda: shutil.rmtree(self.data))
        self.assertFalse(os.path.exists(self.data))

    def test_the_log_is_removed(self):
        acknowledged = self.change(lambda: os.remove(self.db + "-wal"))
        self.all_is_there(acknowledged)

    def test_the_log_and_its_index_are_removed(self):
        def remove():
            os.remove(self.db + "-wal")
            os.remove(self.db + "-shm")
        acknowledged = self.change(remove)
        self.all_is_there(acknowledged)

    def test_the_register_is_replaced_and_put_back(self):
        def replace():
            os.link(self.db, self.db + ".kept")
            shutil.copyfile(self.db, self.db + ".copy")
            os.rename(self.db + ".copy", self.db)
        acknowledged = self.change(replace)
        os.rename(self.db + ".kept", self.db)
        self.all_is_there(acknowledged)

    def test_the_folder_is_replaced_by_a_copy_and_put_back(self):
        def replace():
            os.rename(self.data, self.data + ".away")
            shutil.copytree(self.data + ".away", self.data)
        acknowledged = self.change(replace)
        shutil.rmtree(self.data)
        os.rename(self.data + ".away", self.data)
        self.all_is_there(acknowledged)

    def test_asked_to_stop_it_removes_no_log_of_another(self):
        server = program.Server(self.register)
        os.rename(self.db + "-wal", self.db + "-ours")
        with open(self.db + "-wal", "wb") as file:
            file.write(b"of somebody else")
        self.assertIn(server.stop(), (0, ENDED_BY_FILES))
        with open(self.db + "-wal", "rb") as file:
            self.assertEqual(file.read(), b"of somebody else")


if __name__ == "__main__":
    unittest.main(verbosity=2)

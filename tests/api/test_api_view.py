"""An answer sees one state of the register, however often it is written to meanwhile.

One bond's inspection is corrected to and fro: within its limit on one day, over it on the next. Of
every route that shows the bond no answer has something of both. With BONDBOOK_LONG in the environment
20,000 answers are read of each, else a twentieth. Each route has a register of its own, and the
writer pauses: what was corrected stays, and an answer that holds thousands of corrections takes as
many times longer to make.
"""
import os
import threading
import time
import unittest

import program
from program import bond, new_id

ANSWERS = 20000 if os.environ.get("BONDBOOK_LONG") else 1000
PAUSE_S = 0.002

# what only one of the two states says: of the day, the verdict, the grade and what is due
GOOD = (b"2026-03-01", b'"verdict":"within"', b'"grade":"sound"', b",sound,", b"2027-03-01",
        b'"value":500,', b'"shown_uohm":500,')
BAD = (b"2026-03-02", b'"verdict":"over"', b'"grade":"act"', b",act,", b"2026-03-16",
       b'"value":820,', b'"shown_uohm":820,')


def end_to_end(shown_uohm):
    return {"quantity": "end_to_end", "method": "four_wire", "shown_uohm": shown_uohm, "temp_c": 20,
            "instrument": program.METER}


class View(unittest.TestCase):
    def begin(self):
        self.register = program.Register()
        self.server = program.Server(self.register)
        boss = program.Client(self.server, "administrator")
        program.railway(boss)
        # the conductor has 579 µΩ (IEC 60228: 193 µΩ/m), the limit is 778.7 µΩ
        self.bond = boss.must("POST", "/api/bonds", bond(
            "Q1", "1+000", kind="track_cross", b_track="Down", b_rail="left", length_m=3,
            conductor_class=2, latitude=51.5, longitude=-1.2)).json["id"]
        boss.close()
        self.wrong, self.written = [], 0
        self.begun, self.ended = threading.Event(), threading.Event()
        self.writer = threading.Thread(target=self.write)
        self.writer.start()
        self.begun.wait(60)

    def end(self):
        self.ended.set()
        self.writer.join()
        self.assertEqual(self.server.stop(), 0)
        content = self.register.run("check")
        self.assertIn("content", content)
        self.register.remove()

    def visit(self, crew, good, corrects):
        sent = new_id()
        more = {"corrects": corrects, "reason": "The other one."} if corrects else {}
        crew.must("PUT", "/api/inspections/" + sent, {
            "bond_id": self.bond, "day": "2026-03-01" if good else "2026-03-02", "seen_a": "good",
            "seen_b": "good", "readings": [end_to_end(500 if good else 820)], **more})
        return sent

    def write(self):
        crew = program.Client(self.server, "crew")
        good, last = True, None
        try:
            while not self.ended.is_set():
                last = self.visit(crew, good, last)
                good = not good
                self.written += 1
                self.begun.set()
                time.sleep(PAUSE_S)
        except Exception as trouble:                    # told by the test, not by a thread
            self.wrong.append(trouble)
        finally:
            self.begun.set()
            crew.close()

    def one_state(self, answer):
        """Nothing of both states; which words tell of it."""
        good = [word for word in GOOD if word in answer.body]
        bad = [word for word in BAD if word in answer.body]
        if good and bad:
            raise AssertionError(f"{good} and {bad}: {answer.body[:3000]}")
        return good + bad

    def one_reading(self, answer):
        rows = answer.json["rows"]
        self.assertEqual(len(rows), 1, rows)
        self.assertEqual(rows[0]["verdict"], "within" if rows[0]["shown_uohm"] == 500 else "over")
        return rows

    def one_that_counts(self, answer):
        rows = answer.json["rows"]
        self.assertEqual([row["replaced"] for row in rows], [False])
        return rows

    def read(self, path, check):
        crew = program.Client(self.server, "viewer")
        try:
            for _ in range(ANSWERS):
                answer = crew.must("GET", path)
                if not check(answer):
                    raise AssertionError(f"{path} says nothing of the bond: {answer}")
        except Exception as trouble:
            self.wrong.append(trouble)
        finally:
            crew.close()

    def holds_one_state(self, path, check):
        self.begin()
        try:
            before = self.written
            self.read(path.format(bond=self.bond), check)
            self.assertEqual(self.wrong, [])
            self.assertGreater(self.written, before, "it was written to meanwhile")
        finally:
            self.end()
        self.assertEqual(self.wrong, [])

    def test_no_answer_holds_two_states(self):
        for path, check in [
                ("/api/bonds/{bond}", self.one_state),
                ("/api/bonds/{bond}/judgement", self.one_state),
                ("/api/bonds/{bond}/tablet", self.one_state),
                ("/api/lines/1/strip", self.one_state), ("/api/due", self.one_state),
                ("/api/bonds", self.one_state), ("/api/due.csv", self.one_state),
                ("/api/bonds.geojson", self.one_state),
                ("/api/readings?limit=5", self.one_reading),
                ("/api/inspections?limit=20&replaced=no", self.one_that_counts)]:
            with self.subTest(path=path):
                self.holds_one_state(path, check)


if __name__ == "__main__":
    unittest.main()

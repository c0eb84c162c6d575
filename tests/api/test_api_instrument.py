"""What a calibration says of the readings before it, what its figures are, what a meter can do."""
import math
import time
import unittest

import program
from program import inspection, new_id, reading


class Instrument(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.bonds = program.railway(cls.boss, 8)

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        content = cls.register.run("check")
        cls.register.remove()
        assert code == 0, code
        assert "content" in content and "still to be made" not in content, content

    def calibrate(self, serial, day, due, status=(200, 201), **more):
        body = {"serial": serial, "name": "Meter " + serial, "calibrated_day": day,
                "calibration_due_day": due, "uncertainty_percent": 1, "uncertainty_uohm": 0}
        return self.boss.must("POST", "/api/instruments", {**body, **more}, status).json

    def visit(self, number, day, serial):
        """One contact reading of 100 µΩ."""
        name = new_id()
        self.boss.must("PUT", f"/api/inspections/{name}", inspection(
            number, day, readings=[reading("contact_a", instrument=serial)]))
        return name

    def reading(self, visit):
        """The list's row, when the keeper has made again what was to be made."""
        for _ in range(200):
            if self.boss.get("/api/rulebook").json["followed"]:
                break
            time.sleep(0.05)
        return self.boss.get(f"/api/inspections/{visit}").json["reading_rows"][0]

    def test_found_out_of_its_limits_its_readings_since_the_calibration_before_are_no_evidence(self):
        self.calibrate("A", "2023-01-01", "2024-01-01")
        self.calibrate("A", "2024-01-01", "2025-01-01")
        before = self.visit(self.bonds[0], "2023-12-31", "A")
        first = self.visit(self.bonds[1], "2024-01-01", "A")
        last = self.visit(self.bonds[2], "2024-11-30", "A")
        for visit in (before, first, last):
            self.assertEqual(self.reading(visit)["meter"], "in_calibration")
            self.assertIsNotNone(self.reading(visit)["u95"])

        self.calibrate("A", "2024-12-01", "2025-12-01", as_found="out_of_limits")
        after = self.visit(self.bonds[3], "2024-12-02", "A")
        for visit, standing in ((before, "in_calibration"), (first, "found_out"),
                                (last, "found_out"), (after, "in_calibration")):
            self.assertEqual(self.reading(visit)["meter"], standing)
            self.assertEqual(self.reading(visit)["u95"] is None, standing == "found_out")

        # the certificate was read wrongly: the calibration of that day is entered once more
        again = self.calibrate("A", "2024-12-01", "2025-12-01", 201, as_found="within_limits")
        self.assertFalse(again["already"])
        self.assertEqual(self.reading(last)["meter"], "in_calibration")
        # and once more wrongly: what was said before counts again only when it is entered again
        self.assertFalse(self.calibrate("A", "2024-12-01", "2025-12-01",
                                        as_found="out_of_limits")["already"])
        self.assertTrue(self.calibrate("A", "2024-12-01", "2025-12-01", 200,
                                       as_found="out_of_limits")["already"])
        self.assertEqual(self.reading(last)["meter"], "found_out")

    def test_a_calibration_told_of_late_comes_between(self):
        self.calibrate("B", "2023-01-01", "2026-01-01")
        self.calibrate("B", "2025-01-01", "2026-01-01", as_found="out_of_limits")
        early = self.visit(self.bonds[4], "2023-06-01", "B")
        late = self.visit(self.bonds[5], "2024-06-01", "B")
        self.assertEqual(self.reading(early)["meter"], "found_out")
        self.calibrate("B", "2024-01-01", "2026-01-01", as_found="within_limits")
        self.assertEqual(self.reading(early)["meter"], "in_calibration")
        self.assertEqual(self.reading(late)["meter"], "found_out")

    def test_a_limit_is_entered_as_what_it_is_and_u_is_made_of_it(self):
        self.calibrate("C", "2024-01-01", "2025-01-01", figure_kind="limit", uncertainty_uohm=1)
        self.calibrate("D", "2024-01-01", "2025-01-01", uncertainty_uohm=1)
        limit = self.reading(self.visit(self.bonds[6], "2024-06-01", "C"))
        expanded = self.reading(self.visit(self.bonds[6], "2024-06-01", "D"))
        # 1 % of 5 µΩ and 1 µΩ: U of the meter 1.05 µΩ, and 1.05 x 2/√3; the rest of U is the same
        self.assertAlmostEqual(limit["u95"] ** 2 - expanded["u95"] ** 2,
                               (1.05 * 2 / math.sqrt(3)) ** 2 - 1.05 ** 2, places=6)
        rows = {r["serial"]: r for r in self.boss.rows("instruments")}
        self.assertEqual((rows["C"]["figure_kind"], rows["C"]["uncertainty_percent"]), ("limit", 1))
        self.assertEqual(rows["D"]["figure_kind"], "expanded")
        self.assertEqual(rows["D"]["as_found"], "not_stated")

    def test_what_a_tablet_takes_along_says_the_same(self):
        number = self.calibrate("E", "2024-01-01", "2025-01-01", figure_kind="limit",
                                methods=["four_wire"])["id"]
        self.calibrate("E", "2024-12-01", "2025-12-01", as_found="out_of_limits")
        known = self.boss.get(f"/api/bonds/{self.bonds[7]}/tablet").json
        meter = next(one for one in known["instruments"] if one["id"] == number)
        self.assertEqual(meter["methods"], 1)
        self.assertAlmostEqual(meter["calibrations"][0]["percent"], 2 / math.sqrt(3))
        self.assertNotIn("as_found", meter["calibrations"][0])
        self.assertEqual(meter["calibrations"][1]["as_found"], "out_of_limits")

    def test_what_it_can_do_may_be_said_at_any_time_and_stays(self):
        def can():
            row = next(r for r in self.boss.rows("instruments") if r["serial"] == "F")
            return [row[m] for m in ("four_wire", "two_wire", "voltage_drop")]

        self.calibrate("F", "2024-01-01", "2025-01-01", 201)
        self.assertEqual(can(), [None, None, None])
        said = self.calibrate("F", "2024-01-01", "2025-01-01", 201, methods=["two_wire"])
        self.assertFalse(said["already"])
        self.assertEqual(can(), [False, True, False])
        self.assertTrue(self.calibrate("F", "2024-01-01", "2025-01-01", 200)["already"])
        self.calibrate("F", "2025-01-01", "2026-01-01", 201)
        self.assertEqual(can(), [False, True, False])
        self.calibrate("F", "2025-01-01", "2026-01-01", 201, methods=["four_wire", "voltage_drop"])
        self.assertEqual(can(), [True, False, True])

    def test_a_method_or_a_finding_that_is_none_is_refused(self):
        body = {"serial": "G", "name": "Meter", "calibrated_day": "2024-01-01",
                "calibration_due_day": "2025-01-01", "uncertainty_percent": 1, "uncertainty_uohm": 0}
        for wrong, field in (({"methods": ["five_wire"]}, "methods[0]"), ({"as_found": "bad"}, "as_found"),
                             ({"figure_kind": "k3"}, "figure_kind")):
            answer = self.boss.ask("POST", "/api/instruments", {**body, **wrong})
            self.assertEqual((answer.status, answer.fields()), (422, [field]), answer)


if __name__ == "__main__":
    unittest.main(verbosity=2)

"""What can hardly be right is asked before it is judged, and what proves nothing good makes no bond
good.

A cross bond of 3 m copper of class 2, 95 mm²: IEC 60228 has 193 µΩ/m, 579 µΩ for the conductor; with
two contacts of 10 µΩ and 30 % its limit is (579 + 20) x 1.3 = 778.7 µΩ. The meter has 1 % + 0.5 µΩ;
with 2 % repeatability and 3 K (copper: 0.00393 per K) U of 800 µΩ is sqrt(8.5² + 16² + 9.4²) = 20.4.
By the default rulebook asked is: below 0.3 x 579 = 173.7 µΩ, above 3 x 778.7, twice or half the last.
"""
import unittest

import program
from program import bond, inspection, new_id, reading


def end_to_end(shown_uohm, **more):
    return {"quantity": "end_to_end", "method": "four_wire", "shown_uohm": shown_uohm, "temp_c": 20,
            "instrument": program.METER, **more}


class Asked(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.crew = program.Client(cls.server, "crew")
        program.railway(cls.boss)
        cls.boss.must("POST", "/api/instruments", {
            "serial": "OLD", "name": "Lapsed", "calibrated_day": "2020-01-01",
            "calibration_due_day": "2021-01-01", "uncertainty_percent": 1, "uncertainty_uohm": 0.5})
        cls.made = 0

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        cls.crew.close()
        code = cls.server.stop()
        content = cls.register.run("check")
        cls.register.remove()
        assert code == 0, code
        assert "content" in content, content

    def new_bond(self, **more):
        type(self).made += 1
        cross = {"kind": "track_cross", "b_track": "Down", "b_rail": "left", "length_m": 3,
                 "conductor_class": 2}
        return self.boss.must("POST", "/api/bonds", bond(
            f"Q{self.made}", f"{self.made}+000", **{**cross, **more})).json["id"]

    def new_joint(self, **more):
        """The conductor of 0.6 m has 115.8 µΩ."""
        return self.new_bond(kind="rail_joint", b_track=None, b_rail=None, length_m=0.6, **more)

    def visit(self, bond_id, day, *readings, **more):
        return self.crew.must("PUT", "/api/inspections/" + new_id(), {
            "bond_id": bond_id, "day": day, "seen_a": "good", "seen_b": "good",
            "readings": list(readings), **more}).json

    def said(self, told, n=0):
        """Of one reading: verdict, status, questions."""
        got = told["readings"][n]
        return got["verdict"], got["status"], [one["question"] for one in got["asked"]]

    def test_a_slipped_unit_is_asked_and_makes_no_bond_better(self):
        one = self.new_bond()
        over = self.visit(one, "2026-03-01", end_to_end(820))
        self.assertEqual((self.said(over), over["grade"]["grade"]), (("over", "evidence", []), "act"))
        # 4.8 mΩ written down as 4.8 µΩ
        told = self.visit(one, "2026-04-01", end_to_end(4.8))
        self.assertEqual(self.said(told), ("none", "open", ["far_below", "away"]))
        self.assertTrue(all(len(q["sentence"]) > 20 for q in told["readings"][0]["asked"]))
        self.assertEqual((told["grade"]["grade"], told["grade"]["asked"]), ("act", 1))
        self.assertEqual(told["due"]["due_day"], "2026-03-15")      # 14 days to act, as before
        row = self.crew.rows("readings", f"bond={one}&status=open")
        self.assertEqual([r["shown_uohm"] for r in row], [4.8])

    def test_a_lost_digit_is_asked_and_gives_no_better_grade_than_no_reading(self):
        one = self.new_bond()
        self.assertEqual(self.visit(one, "2026-03-01", end_to_end(700))["grade"]["grade"], "watch")
        told = self.visit(one, "2026-04-01", end_to_end(60.2))      # 602 without its last digit
        self.assertEqual(self.said(told), ("none", "open", ["far_below", "away"]))
        self.assertEqual(told["grade"]["grade"], "watch")
        self.assertIn("asked", told["grade"]["reasons"])
        new = self.new_bond()
        told = self.visit(new, "2026-04-01", end_to_end(60.2))
        self.assertEqual(told["grade"]["grade"], "unknown", "as with no reading at all")

    def test_a_lost_digit_of_one_direction_hides_nothing_that_is_over(self):
        volts = {"quantity": "end_to_end", "method": "four_wire", "temp_c": 20, "current_a": 100,
                 "instrument": program.METER}
        one = self.new_bond()
        self.visit(one, "2026-03-01", end_to_end(600))
        # (90000 + 9000) / 2 / 100 = 495 µΩ, which would be within; 90000 / 100 = 900 is over
        told = self.visit(one, "2026-04-01", {**volts, "forward_uv": 90000, "reverse_uv": -9000})
        self.assertEqual(self.said(told), ("none", "open", ["directions", "thermal"]))
        self.assertEqual((told["readings"][0]["would"], told["grade"]["grade"]), ("over", "act"))
        self.assertIn("asked_over", told["grade"]["reasons"])
        told = self.visit(self.new_bond(), "2026-04-01",
                          {**volts, "forward_uv": 60000, "reverse_uv": 60000})
        self.assertEqual(self.said(told), ("none", "open", ["same_sign"]))

    def test_what_is_never_evidence_leaves_the_bond_unknown(self):
        for odd, why in (({"method": "two_wire", "lead_uohm": 0}, ("leads_zero", "in_calibration")),
                         ({"method": "two_wire"}, ("leads_not_recorded", "in_calibration")),
                         ({"method": "two_wire", "lead_uohm": 60}, ("leads_too_large", "in_calibration")),
                         ({"instrument": None}, ("none", "not_recorded"))):
            with self.subTest(odd=odd):
                told = self.visit(self.new_bond(), "2026-03-01", end_to_end(540.7, **odd))
                got = told["readings"][0]
                self.assertEqual((got["verdict"], got["evidence"], got["remark"], got["meter"]),
                                 ("none", False, *why))
                self.assertEqual((told["grade"]["grade"], told["grade"]["reasons"]),
                                 ("unknown", ["no_evidence"]))

    def test_a_meter_out_of_calibration_says_nothing_good_and_is_not_passed_over(self):
        within = self.visit(self.new_bond(), "2026-03-01", end_to_end(540, instrument="OLD"))
        self.assertEqual((self.said(within), within["grade"]["grade"]),
                         (("none", "none", []), "unknown"))
        over = self.visit(self.new_bond(), "2026-03-01", end_to_end(2000, instrument="OLD"))
        self.assertEqual((self.said(over), over["grade"]["grade"]),
                         (("none", "open", ["meter"]), "act"))

    def test_two_readings_of_one_visit_agree_or_the_worse_one_stands(self):
        # each is away from 320 by more than 2 times; they agree, so that answers it
        one = self.new_bond(length_m=2)                 # 386 µΩ, limit (386 + 20) x 1.3 = 527.8
        self.visit(one, "2026-03-01", end_to_end(320))
        told = self.visit(one, "2026-04-01", end_to_end(660), end_to_end(664))
        self.assertEqual([self.said(told, n)[:2] for n in (0, 1)], [("over", "evidence")] * 2)
        two = self.new_bond()
        told = self.visit(two, "2026-03-01", end_to_end(600), end_to_end(830))
        self.assertEqual(self.said(told), ("none", "open", ["twice"]))
        self.assertEqual(told["grade"]["grade"], "act", "830 µΩ would be over")

    def test_a_later_visit_that_agrees_lets_both_count_one_that_does_not_takes_its_place(self):
        one = self.new_bond()
        self.visit(one, "2026-03-01", end_to_end(2400))                 # over three times the limit
        told = self.visit(one, "2026-04-01", end_to_end(2410))
        self.assertEqual(self.said(told)[:2], ("over", "evidence"))
        states = [r["status"] for r in self.crew.rows("readings", f"bond={one}&sort=oldest")]
        self.assertEqual(states, ["evidence", "evidence"])
        two = self.new_bond()
        self.visit(two, "2026-03-01", end_to_end(2400))
        told = self.visit(two, "2026-04-01", end_to_end(600))
        states = [r["status"] for r in self.crew.rows("readings", f"bond={two}&sort=oldest")]
        self.assertEqual(states, ["dropped_over", "evidence"])
        self.assertEqual(told["grade"]["grade"], "act", "only what clears an over clears it")

    def test_what_shows_a_parallel_path_says_nothing_good(self):
        one = self.new_bond()
        told = self.visit(one, "2026-03-01", end_to_end(460))           # 0.8 x 579 = 463.2
        self.assertTrue(told["readings"][0]["parallel"])
        self.assertEqual((self.said(told), told["grade"]["grade"]), (("none", "evidence", []), "unknown"))
        told = self.visit(self.new_bond(), "2026-03-01", end_to_end(466))
        self.assertEqual((told["readings"][0]["parallel"], told["grade"]["grade"]), (False, "sound"))
        told = self.visit(self.new_bond(), "2026-03-01", end_to_end(460), opened="Both lugs")
        self.assertEqual((told["readings"][0]["parallel"], told["grade"]["grade"]), (False, "sound"))

    def test_a_joint_bond_in_circuit_is_proved_by_its_contacts_and_by_sight(self):
        # (115.8 + 20) x 1.3 = 176.5 µΩ
        one = self.new_joint()
        told = self.visit(one, "2026-03-01", end_to_end(100))
        got = told["readings"][0]
        self.assertEqual((got["only_over"], got["verdict"], told["grade"]["grade"]),
                         (True, "none", "unknown"))
        told = self.visit(one, "2026-03-02", reading("contact_a"), reading("contact_b"))
        self.assertEqual((told["grade"]["grade"], told["grade"]["reasons"]),
                         ("unknown", ["not_seen_whole"]))
        told = self.visit(one, "2026-03-03", reading("contact_a"), reading("contact_b"),
                          cables_whole=1)
        self.assertEqual(told["grade"]["grade"], "sound")
        told = self.visit(one, "2026-03-04", end_to_end(190))
        self.assertEqual((self.said(told)[0], told["grade"]["grade"]), ("over", "act"))
        told = self.visit(self.new_joint(), "2026-03-01", reading("contact_a", probed="lug"),
                          reading("contact_b", probed="strands"), cables_whole=1)
        self.assertEqual((told["readings"][0]["remark"], told["grade"]["reasons"]),
                         ("lug_only", ["no_evidence"]))
        told = self.visit(self.new_joint(cables=2), "2026-03-01", reading("contact_a"),
                          reading("contact_b"), cables_whole=1)
        self.assertEqual(told["grade"]["grade"], "act", "one of two cables is lost")

    def test_a_temperature_away_from_the_round_is_asked(self):
        warm = [self.new_bond() for _ in range(3)]
        for one, temp_c in zip(warm, (21, 22)):
            self.visit(one, "2026-05-05", end_to_end(600, temp_c=temp_c), surroundings="open_line")
        told = self.visit(warm[2], "2026-05-05", end_to_end(600, temp_c=38), surroundings="open_line")
        self.assertEqual(self.said(told), ("none", "open", ["temperature"]))
        told = self.visit(self.new_bond(), "2026-05-05", end_to_end(600, temp_c=38),
                          surroundings="tunnel")
        self.assertEqual(self.said(told)[:2], ("within", "evidence"), "another round")
        told = self.visit(self.new_bond(), "2026-05-05", reading("contact_a", temp_c=38),
                          end_to_end(600, temp_c=38), surroundings="open_line")
        self.assertEqual((self.said(told, 0)[1:], self.said(told, 1)[1:]),
                         (("evidence", []), ("open", ["temperature"])), "a contact is not corrected")

    def test_the_tablet_takes_along_what_a_next_reading_is_compared_with(self):
        one = self.new_bond()
        self.assertNotIn("compared", self.crew.get(f"/api/bonds/{one}/tablet").json)
        self.visit(one, "2026-03-01", end_to_end(600), purpose="commissioning")
        self.visit(one, "2026-04-01", end_to_end(620))
        self.visit(one, "2026-05-01", end_to_end(6.2))
        known = self.crew.get(f"/api/bonds/{one}/tablet").json
        self.assertEqual((known["compared"], known["baseline"]),
                         ({"end_to_end": 620}, {"end_to_end": 600}), "6.2 is asked, no evidence")

    def test_a_second_commissioning_is_an_ordinary_reading(self):
        one = self.new_bond()
        self.visit(one, "2026-03-01", end_to_end(500), purpose="commissioning")
        # 1.5 x 500 = 750 µΩ: 780 - 20 is over, by the first commissioning still
        told = self.visit(one, "2026-04-01", end_to_end(780), purpose="commissioning")
        self.assertEqual((self.said(told)[0], told["readings"][0]["limit"]), ("over", 750))

    # ---- what was seen

    def refused(self, fields, **more):
        answer = self.crew.ask("PUT", "/api/inspections/" + new_id(),
                               {"bond_id": self.new_bond(), "day": "2026-03-01", **more})
        self.assertEqual((answer.status, answer.fields()), (422, fields), answer)

    def test_complete_has_a_word_for_each_end(self):
        self.refused(["seen_a", "seen_b"])
        self.refused(["seen_b"], seen_a="good", outcome="complete")
        self.refused(["why_not_seen"], seen_a="good", seen_b="not_visible")
        one = self.new_bond()
        for more in ({"outcome": "partly"}, {"outcome": "not_reached"},
                     {"seen_a": "good", "seen_b": "not_visible", "why_not_seen": "Under ballast"}):
            self.crew.must("PUT", "/api/inspections/" + new_id(),
                           {"bond_id": one, "day": "2026-03-01", **more}, 201)

    def test_a_word_that_tells_of_a_broken_path_asks_whether_it_failed(self):
        for word in ("loose", "damaged", "missing", "strands_broken"):
            self.refused(["failed"], seen_a="good", seen_b=word)
            self.refused(["failed"], seen_a=word, outcome="partly")
        one = self.new_bond()
        told = self.visit(one, "2026-03-01", seen_b="loose", failed=False)
        self.assertEqual(told["due"]["failures_open"], 0)
        told = self.visit(one, "2026-03-02", seen_b="loose", failed=True,
                          failure={"uuid": new_id(), "end": "b", "mode": "detached"})
        self.assertEqual((told["due"]["failures_open"], told["grade"]["grade"]), (1, "act"))

    def test_a_failure_says_what_failed(self):
        body = {"bond_id": self.new_bond(), "found_day": "2026-03-01"}
        answer = self.crew.ask("PUT", "/api/failures/" + new_id(), body)
        self.assertEqual((answer.status, answer.fields()), (422, ["mode"]), answer)
        self.crew.must("PUT", "/api/failures/" + new_id(), {**body, "mode": "not_stated"}, 201)
        self.refused(["failure.mode"], **{**inspection(1), "bond_id": self.new_bond(),
                     "failure": {"uuid": new_id()}})


if __name__ == "__main__":
    unittest.main()

"""What a crew is told at once, and what the desk sees: verdicts, grades and what they rest on.

A contact of a rail joint bond may have 10 µΩ and 30 % by the default rulebook, 13 µΩ; the meter has
1 % + 0.5 µΩ, so that U^2 = (1 % R + 0.5)^2 + (2 % R)^2, worked by hand. Such a bond is proved by both
its contacts and by sight."""
import time
import unittest

import program
from program import bond, inspection, new_id, reading


class Judgement(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        program.railway(cls.boss)

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def new_bond(self, label, chainage):
        return self.boss.must("POST", "/api/bonds", bond(label, chainage)).json["id"]

    def measure(self, bond_id, day, microvolts, **more):
        """Contact A: so many µV over 10 A both ways; contact B is good."""
        uuid = new_id()
        body = {**inspection(bond_id, day), "readings": [
            reading(forward_uv=microvolts, reverse_uv=-microvolts), reading("contact_b")], **more}
        return uuid, self.boss.must("PUT", "/api/inspections/" + uuid, body).json

    def test_the_answer_says_at_once_whether_the_bond_is_good(self):
        one = self.new_bond("A1", "1+000")
        _, told = self.measure(one, "2026-03-31", 80)
        # 8 µΩ: U = sqrt(0.58^2 + 0.16^2) = 0.602
        self.assertEqual(len(told["readings"]), 2)
        got = told["readings"][0]
        self.assertEqual((got["value"], got["limit"], got["limit_kind"], got["verdict"]),
                         (8, 13, "contact", "within"))
        self.assertAlmostEqual(got["u95"], 0.602, 3)
        self.assertEqual((told["grade"]["grade"], told["grade"]["reasons"]), ("sound", []))
        # 15 µΩ: U = sqrt(0.65^2 + 0.3^2) = 0.716, 15 - 0.716 > 13
        _, told = self.measure(one, "2026-04-30", 150)
        self.assertEqual(told["readings"][0]["verdict"], "over")
        self.assertEqual((told["grade"]["grade"], told["grade"]["reasons"]), ("act", ["over"]))
        self.assertTrue(told["grade"]["because"])
        self.assertEqual(told["due"]["due_day"], "2026-05-14")   # 14 days to act

    def test_the_judgement_says_what_it_rests_on(self):
        one = self.new_bond("B1", "2+000")
        uuid, _ = self.measure(one, "2026-03-31", 80)
        got = self.boss.get(f"/api/bonds/{one}/judgement").json
        self.assertEqual([q["quantity"] for q in got["quantities"]],
                         ["end_to_end", "contact_a", "contact_b", "rail_drop"])
        contact = got["quantities"][1]
        self.assertEqual((contact["last"]["value"], contact["limit"], contact["unit"]),
                         (8, 13, "µΩ"))
        limits = {limit["kind"]: limit for limit in contact["limits"]}
        self.assertTrue(limits["contact"]["lowest"])
        self.assertIsNone(limits["baseline"]["value"])
        self.assertTrue(limits["baseline"]["absent_because"])
        self.assertEqual(contact["trend"]["lack"], "too_few")
        # each point is found again among the readings, and says what is asked of it
        number = self.boss.get(f"/api/inspections/{uuid}").json["number"]
        self.assertEqual([(p["inspection"], p["n"], p["status"], p["asked"], p["told"])
                          for p in contact["points"]], [(number, 0, "evidence", [], "within")])
        self.assertEqual({r["number"] for r in self.boss.rows("readings", f"bond={one}")}, {number})
        self.assertEqual(self.boss.ask("GET", "/api/bonds/999999/judgement").status, 404)

    def test_a_trend_can_be_drawn_and_its_days_redone_from_what_is_told(self):
        one = self.new_bond("B2", "2+100")
        for day, microvolts in (("2025-01-01", 60), ("2025-07-20", 70), ("2026-02-05", 80)):
            self.measure(one, day, microvolts)
        trend = self.boss.get(f"/api/bonds/{one}/judgement").json["quantities"][1]["trend"]
        self.assertEqual((trend["rise"], trend["lack"], len(trend["lines"])), ("rising", None, 1))
        line = trend["lines"][0]
        self.assertEqual((line["of"], line["readings"], line["first_day"], line["rise"]),
                         ("all", 3, "2025-01-01", "rising"))
        # 200 days between each: 1 µΩ in 200 days; sigma 1 % of the first 6 µΩ; one meter, so that
        # its (1 % of 6 + 0.5) / 2 stands in the level alone; a further reading: 1 % of the limit, 13
        self.assertAlmostEqual(line["slope_per_day"], 0.005, 12)
        self.assertAlmostEqual(line["level"], 7, 12)
        self.assertAlmostEqual(line["slope_se_per_year"], 365.25 * 0.06 / 80000 ** 0.5, 10)
        self.assertAlmostEqual(line["var_level"], 0.06 ** 2 / 3 + 0.28 ** 2, 10)
        self.assertAlmostEqual(trend["sigma_next"], 0.13, 12)
        # 13 is reached 1200 days after the middle one; three times 400 days after the last
        self.assertEqual((trend["crosses_day"], trend["crosses_line"]), ("2028-11-01", "all"))
        self.assertEqual((line["far_after_day"], trend["crosses_is_far"]), ("2029-05-20", False))
        self.assertLess(trend["early_day"], trend["crosses_low_day"])
        self.assertLess(trend["crosses_low_day"], trend["crosses_day"])
        self.assertLess(trend["crosses_day"], trend["crosses_high_day"])
        words = self.boss.get("/api/words").json
        self.assertIn({"code": "perhaps_rising", "title": "perhaps rising"}, words["trend_rise"])

    def test_the_working_is_told_step_by_step(self):
        one = self.new_bond("C1", "3+000")
        uuid, _ = self.measure(one, "2026-03-31", 80)
        got = self.boss.get(f"/api/inspections/{uuid}/readings/0/working").json
        self.assertEqual((got["verdict"], got["former"]), ("within", []))
        self.assertTrue(all(step["sentence"] for step in got["steps"]))
        self.assertEqual((got["judged"], round(got["judged_u95"], 3)), (8, 0.602))
        for number in ("2", "x", "-1"):
            self.assertEqual(self.boss.ask(
                "GET", f"/api/inspections/{uuid}/readings/{number}/working").status, 404)

    def test_the_working_of_one_of_two_readings_shows_what_was_judged(self):
        one = self.new_bond("C2", "3+500")
        body = {**inspection(one, "2026-03-31"), "readings": [
            reading(forward_uv=80, reverse_uv=-80), reading(forward_uv=82, reverse_uv=-82),
            reading("contact_b")]}
        uuid = new_id()
        self.boss.must("PUT", "/api/inspections/" + uuid, body)
        for number in (0, 1):
            got = self.boss.get(f"/api/inspections/{uuid}/readings/{number}/working").json
            said = {step["step"]: step["sentence"] for step in got["steps"]}
            # (8 + 8.2) / 2; one meter: sqrt((2 % 8)^2 + (2 % 8.2)^2) = 0.22912
            self.assertAlmostEqual(got["judged"], 8.1)
            self.assertTrue(said["visit"].startswith(
                "Mean of 2 readings of this visit that agree: (8 + 8.2) µΩ / 2 = 8.1 µΩ"), said)
            self.assertIn("≤ √(0.164² + 0.16²) = 0.22912 µΩ", said["visit"])
            self.assertTrue(said["verdict"].startswith("Within the limit: 8.1 + "), said)

    def test_lists_filter_and_sort_by_what_was_judged(self):
        worst, good = self.new_bond("D1", "4+000"), self.new_bond("D2", "5+000")
        self.measure(worst, "2026-03-31", 300)
        self.measure(good, "2026-03-31", 30)
        rows = self.boss.rows("due", "grade=act")
        self.assertIn(worst, [r["bond_id"] for r in rows])
        self.assertEqual({r["grade"] for r in rows}, {"act"})
        by_limit = [r["id"] for r in self.boss.rows("bonds", "sort=limit")]
        self.assertEqual(by_limit[0], worst)
        self.assertLess(by_limit.index(worst), by_limit.index(good))
        # 30 of 13 µΩ
        self.assertAlmostEqual(self.boss.rows("bonds", "sort=limit")[0]["limit_percent"], 230.8, 1)
        over = self.boss.rows("readings", "verdict=over")
        self.assertEqual({r["verdict"] for r in over}, {"over"})
        totals = self.boss.get("/api/due?limit=1").json["totals"]
        self.assertEqual(totals["act"], len(rows))

    def test_an_attachment_is_accepted_or_not_with_sentences(self):
        one = self.new_bond("E1", "6+000")
        body = {"bond_id": one, "end": "a", "made_day": "2026-03-01", "method": "brazed_pin",
                "ground_bright": True, "battery_charged": True, "gun_flush": True, "arc_s": 1.0,
                "hold_s": 2.0, "hammer_passed": True, "solder_all_round": True, "stub_mm": 1}
        told = self.boss.must("PUT", "/api/attachments/" + new_id(), body).json
        self.assertEqual(told["acceptance"]["accepted"], "not_accepted")
        arc = [c for c in told["acceptance"]["checks"] if c["check"] == "arc"][0]
        self.assertEqual(arc["is"], "bad")
        self.assertIn("1.5", arc["sentence"])
        self.assertIn("not_accepted", told["grade"]["reasons"])
        self.boss.must("PUT", "/api/attachments/" + new_id(), {**body, "end": "b", "arc_s": 2.0})
        held = self.boss.get(f"/api/bonds/{one}/judgement").json["attachments"]
        self.assertEqual([(a["end"], a["made_day"], a["acceptance"]["accepted"]) for a in held],
                         [("a", "2026-03-01", "not_accepted"), ("b", "2026-03-01", "open")])
        self.assertIn(arc, held[0]["acceptance"]["checks"])

    def test_a_spoilt_spot_of_another_bond_is_kept_not_accepted_and_listed(self):
        one, other = self.new_bond("F1", "7+000"), self.new_bond("F2", "7+000")
        today = time.strftime("%Y-%m-%d")
        body = {"bond_id": one, "end": "b", "made_day": today, "method": "bolted", "offset_mm": 0,
                "ground_bright": True}
        good = self.boss.must("PUT", "/api/attachments/" + new_id(), body).json
        self.assertEqual((good["acceptance"]["accepted"], good["spot"]), ("open", None))
        uuid = new_id()
        told = self.boss.must("PUT", "/api/attachments/" + uuid,
                              {**body, "bond_id": other, "offset_mm": 40}, 201).json
        self.assertEqual(told["acceptance"]["accepted"], "not_accepted")
        self.assertTrue(told["acceptance"]["spoils_spot"])
        self.assertIn({"check": "spot", "is": "bad",
                       "sentence": "It is on a spoilt spot, or inside a clearance."},
                      told["acceptance"]["checks"])
        says = f"40 mm is too near to the live attachment at 0 mm (F1, end B, made on {today}): " \
            "clearance 100 mm."
        self.assertEqual(told["spot"], says)
        row = [r for r in self.boss.rows("used-spots") if r["uuid"] == uuid][0]
        self.assertEqual((row["label"], row["end"], row["made_day"], row["person"],
                          row["recorded_by"], row["offset_mm"], row["live"], row["says"]),
                         ("F2", "b", today, "The administrator", "The administrator", 40, True, says))
        listed = self.boss.rows("attachments", "spot_taken=yes")
        self.assertEqual([r["uuid"] for r in listed], [r["uuid"] for r in self.boss.rows("used-spots")])
        held = self.boss.get(f"/api/bonds/{other}/judgement").json["attachments"]
        self.assertEqual(held[0]["spot"], says)

    def test_a_stub_too_high_is_ground_and_recorded_again(self):
        one = self.new_bond("F3", "7+300")
        uuid = new_id()
        body = {"bond_id": one, "end": "a", "made_day": "2026-03-01", "method": "brazed_pin",
                "ground_bright": True, "battery_charged": True, "gun_flush": True, "arc_s": 2.0,
                "hold_s": 2.0, "hammer_passed": True, "solder_all_round": True, "stub_mm": 3,
                "offset_mm": 300}
        told = self.boss.must("PUT", "/api/attachments/" + uuid, body).json["acceptance"]
        self.assertEqual((told["accepted"], told["spoils_spot"], told["asked"]),
                         ("not_accepted", False, "Grind the stub to at most 2 mm, then record it again."))
        told = self.boss.must("PUT", "/api/attachments/" + new_id(),
                              {**body, "stub_mm": 1.5, "corrects": uuid}).json
        self.assertEqual((told["acceptance"]["accepted"], told["acceptance"]["asked"], told["spot"]),
                         ("open", None, None))

    def test_the_rail_tells_its_clearances_and_the_next_free_place(self):
        one = self.new_bond("R1", "4+500")

        def attach(end, day, offset_mm):
            self.boss.must("PUT", "/api/attachments/" + new_id(), {
                "bond_id": one, "end": end, "made_day": day, "method": "clamp",
                "offset_mm": offset_mm}, 201)

        attach("a", "2026-01-10", 0)
        attach("a", "2026-02-10", 100)
        attach("b", "2026-01-10", 0)
        rail = self.boss.get(f"/api/bonds/{one}/rail").json
        self.assertEqual(rail["clearance_mm"], {"spoilt": 100, "live": 100, "rail_end": 150,
                                                "weld": 200, "bolt_hole": 100})
        self.assertEqual(rail["reach_mm"], 2000)
        # both ends have one place and A's attachment is above B's, at 0: A is on the higher side,
        # where -99 to 199 is taken and up to 600 mm of cable from 0 there is room
        a, b = rail["ends"]
        self.assertEqual((a["end"], a["side"], a["next_free_mm"]), ("a", "higher", 200))
        self.assertEqual((b["end"], b["side"], b["next_free_mm"]), ("b", "lower", -100))
        self.assertEqual([(m["kind"], m["offset_mm"], m["label"], m["end"], m["made_day"],
                           m["until_day"]) for m in b["marks"]],
                         [("spoilt", 0, "R1", "a", "2026-01-10", "2026-02-10"),
                          ("live", 100, "R1", "a", "2026-02-10", None),
                          ("live", 0, "R1", "b", "2026-01-10", None)])
        self.assertEqual([u["what"] for u in b["unknowns"]], ["rail_end", "weld", "bolt_hole"])
        self.assertTrue(b["length_known"])
        self.assertEqual(b["place"], {"rail_known": True, "home_mm": 0, "side": "lower",
                                      "joint_mm": 0, "cable_mm": 600, "other_mm": 100,
                                      "other_known": True, "across": False, "unplaced": 0,
                                      "unstated": 0})
        self.assertEqual(self.boss.ask("GET", "/api/bonds/999999/rail").status, 404)

    def test_what_bonds_are_judged_by_is_followed(self):
        one = self.new_bond("G1", "8+000")
        self.boss.must("POST", "/api/track-rails", {"line": "VAL", "track": "Up",
                       "rail_profile": "60E1", "rail_between_joints_m": 18})
        for _ in range(200):
            got = self.boss.get("/api/rulebook").json
            if got["followed"]:
                break
            time.sleep(0.05)
        self.assertEqual(got["followed_bonds"], got["of_bonds"])
        drop = self.boss.get(f"/api/bonds/{one}/judgement").json["quantities"][3]
        limits = {limit["kind"]: limit for limit in drop["limits"]}
        self.assertAlmostEqual(limits["joint"]["value"], 0.9, 6)   # 5 % of 18 m


if __name__ == "__main__":
    unittest.main()

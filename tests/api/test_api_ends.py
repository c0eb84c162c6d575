"""The two ends of a bond stand in words wherever the API names one of them."""
import csv
import io
import unittest

import program
from program import bond, inspection, new_id, reading

LOWER, HIGHER = "lower-chainage side of the joint", "higher-chainage side of the joint"


class Ends(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        program.railway(cls.boss)
        must = cls.boss.must
        must("POST", "/api/lines", {"code": "LAB", "name": "With labels", "notation": "km_m"})
        must("POST", "/api/tracks", {"line": "LAB", "name": "Up Fast", "left_label": "cess",
                                     "right_label": "six-foot"})
        cls.ids = {}
        for body in (
                bond("JOINT", "1+000", b_chainage="1+001"),
                bond("TURNED", "1+100", b_chainage="1+099", kind="rail_cross"),
                bond("TRACKS", "1+200", kind="track_cross", b_track="Down", b_rail="right"),
                bond("RAILS", "1+300", kind="rail_cross", line="LAB", a_track="Up Fast",
                     b_rail="right"),
                bond("MAST", "1+400", kind="structure", b_on="structure", b_structure="Mast 18/04"),
                bond("ALIKE", "1+500")):
            cls.ids[body["label"]] = must("POST", "/api/bonds", body).json["id"]
        must("POST", "/api/kits", {"code": "K", "name": "kit"})
        cls.visit, cls.failure, cls.attachment = new_id(), new_id(), new_id()
        cls.answer = must("PUT", f"/api/inspections/{cls.visit}", inspection(
            cls.ids["JOINT"], seen_b="loose", failed=False,
            readings=[reading("contact_b"), reading("end_to_end")])).json
        must("PUT", f"/api/failures/{cls.failure}", {"bond_id": cls.ids["JOINT"], "end": "b",
             "found_day": "2026-04-01", "mode": "detached"})
        must("PUT", f"/api/failures/{new_id()}", {"bond_id": cls.ids["JOINT"],
             "found_day": "2026-04-02", "mode": "cable_broken"})
        must("PUT", f"/api/attachments/{cls.attachment}", {"bond_id": cls.ids["JOINT"], "end": "a",
             "made_day": "2025-04-03", "method": "brazed_pin"})
        must("POST", "/api/rail-marks", {"bond_id": cls.ids["JOINT"], "end": "a", "kind": "weld",
                                         "offset_mm": 700})

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def ends(self, label, what=""):
        return self.boss.must("GET", f"/api/bonds/{self.ids[label]}{what}").json

    def test_each_bond_says_what_its_ends_differ_by(self):
        for label, by, short, words in (
                ("JOINT", "chainage", (LOWER, HIGHER),
                 (f"{LOWER}: Up, left rail, at 1+000", f"{HIGHER}: Up, left rail, at 1+001")),
                ("TURNED", "chainage", ("end towards higher chainage", "end towards lower chainage"),
                 ("end towards higher chainage: Up, left rail, at 1+100",
                  "end towards lower chainage: Up, left rail, at 1+099")),
                ("TRACKS", "track", ("Up, left rail", "Down, right rail"),
                 ("Up, left rail, at 1+200", "Down, right rail, at 1+200")),
                ("RAILS", "rail", ("Up Fast, left rail (cess)", "Up Fast, right rail (six-foot)"),
                 ("Up Fast, left rail (cess), at 1+300", "Up Fast, right rail (six-foot), at 1+300")),
                ("MAST", "on", ("Up, left rail", "Mast 18/04"),
                 ("Up, left rail, at 1+400", "Mast 18/04 beside Up, at 1+400")),
                ("ALIKE", "not_told_apart", ("end A, not told apart", "end B, not told apart"),
                 ("end A: not told apart on record from end B, note where it is",
                  "end B: not told apart on record from end A, note where it is"))):
            got = self.ends(label)
            self.assertEqual(got["ends_differ_by"], by, label)
            self.assertEqual([e["end"] for e in got["ends"]], ["a", "b"])
            self.assertEqual(tuple(e["short"] for e in got["ends"]), short, label)
            self.assertEqual(tuple(e["words"] for e in got["ends"]), words, label)

    def test_what_is_asked_of_a_bond_names_its_ends(self):
        contact = f"contact at {HIGHER}"
        self.assertEqual(self.ends("JOINT")["quantity_words"]["contact_b"], contact)
        self.assertEqual([e["short"] for e in self.ends("JOINT", "/rail")["ends"]], [LOWER, HIGHER])
        judged = self.ends("JOINT", "/judgement")
        self.assertEqual([q["quantity_words"] for q in judged["quantities"]],
                         ["end to end", f"contact at {LOWER}", contact,
                          "voltage drop against the rail"])
        self.assertEqual([(a["end"], a["short"]) for a in judged["attachments"]], [("a", LOWER)])
        self.assertEqual(self.ends("JOINT", "/tablet")["ends"], [
            {"end": "a", "short": LOWER, "words": f"{LOWER}: Up, left rail, at 1+000",
             "contact": f"contact at {LOWER}"},
            {"end": "b", "short": HIGHER, "words": f"{HIGHER}: Up, left rail, at 1+001",
             "contact": contact}])
        self.assertEqual([r["quantity_words"] for r in self.answer["readings"]],
                         [contact, "end to end"])
        working = self.boss.must("GET", f"/api/inspections/{self.visit}/readings/0/working").json
        self.assertEqual((working["quantity"], working["quantity_words"]), ("contact_b", contact))

    def test_lists_say_the_words_beside_the_letter(self):
        of = f"bond={self.ids['JOINT']}"
        self.assertEqual([(r["end_words"], r["end"]) for r in self.boss.rows("attachments", of)],
                         [(LOWER, "a")])
        self.assertEqual([(r["end_words"], r["end"]) for r in self.boss.rows("rail-marks", of)],
                         [(LOWER, "a")])
        self.assertEqual([(r["end_words"], r["end"]) for r in self.boss.rows("failures", of)],
                         [(None, None), (HIGHER, "b")])
        self.assertEqual([(r["end_a_words"], r["seen_a"], r["end_b_words"], r["seen_b"])
                          for r in self.boss.rows("inspections", of)],
                         [(LOWER, "good", HIGHER, "loose")])
        self.assertEqual([(r["quantity_words"], r["quantity"])
                          for r in self.boss.rows("readings", of)],
                         [("end to end", "end_to_end"), (f"contact at {HIGHER}", "contact_b")])
        for address in (f"failures/{self.failure}", f"attachments/{self.attachment}"):
            self.assertIn(self.boss.must("GET", f"/api/{address}").json["end_words"],
                          (LOWER, HIGHER))
        text = self.boss.get(f"/api/attachments.csv?{of}").body.decode("utf-8-sig")
        self.assertEqual([row["end_words"] for row in csv.DictReader(io.StringIO(text))], [LOWER])

    def test_bonds_whose_ends_read_alike_are_counted_for_the_planner(self):
        rows = self.boss.rows("odd-data", "what=ends_alike")
        self.assertEqual([r["label"] for r in rows], ["ALIKE"])
        self.assertIn("tells the two ends apart", rows[0]["says"])

    def test_a_changed_bond_is_named_by_what_is_said_of_it_now(self):
        made = self.boss.must("POST", "/api/bonds", bond("MOVED", "3+000")).json["id"]
        self.boss.must("PUT", f"/api/attachments/{new_id()}", {"bond_id": made, "end": "b",
                       "made_day": "2025-04-03", "method": "clamp"})
        self.assertEqual(self.boss.rows("attachments", f"bond={made}")[0]["end_words"],
                         "end B, not told apart")
        self.boss.must("PUT", f"/api/bonds/{made}", bond("MOVED", "3+000", b_chainage="3+001"),
                       headers={"If-Match": '"1"'})
        self.assertEqual(self.boss.rows("attachments", f"bond={made}")[0]["end_words"], HIGHER)


if __name__ == "__main__":
    unittest.main()

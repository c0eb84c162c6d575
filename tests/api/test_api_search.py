"""The one search box: what is typed is looked for everywhere at once."""
import unittest
from urllib.parse import quote

import program
from program import bond


class Search(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.bonds = program.railway(cls.boss, 60)   # B00001 at 0+020 ... B00060 at 1+200
        must = cls.boss.must
        must("POST", "/api/lines", {"code": "MAP", "name": "Mapped line", "notation": "km_m"})
        for track in ("Up", "Siding"):
            must("POST", "/api/tracks", {"line": "MAP", "name": track})
        # 5+000 to 5+200 does not exist, 8+900 to 9+000 exists twice, it ends at 12+000
        must("POST", "/api/maps", {"line": "MAP", "stretches": [
            {"distance_m": 0, "start_m": 0, "end_m": 5000},
            {"distance_m": 5000, "start_m": 5200, "end_m": 9000},
            {"distance_m": 8800, "start_m": 8900, "end_m": 12000}]})
        for label, where in (("M1", "4+990"), ("M2", "5+210"), ("M3", "8+950 #1"), ("M4", "8+950 #2")):
            must("POST", "/api/bonds", bond(label, where, line="MAP"))
        must("POST", "/api/maps", {"line": "MAP", "track": "Siding", "stretches": [
            {"distance_m": 3000, "start_m": 100, "end_m": 600}]})
        must("POST", "/api/lines", {"code": "MIL", "name": "Mile line", "notation": "miles_chains"})
        must("POST", "/api/tracks", {"line": "MIL", "name": "Up"})
        must("POST", "/api/bonds", bond("X 5.40", "5m 40ch", line="MIL"))
        must("POST", "/api/instruments", {"serial": "M-204", "name": "micro-ohmmeter, blue",
                                          "calibrated_day": "2026-01-01", "calibration_due_day": "2027-01-01",
                                          "uncertainty_percent": 1, "uncertainty_uohm": 1})

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def find(self, text, client=None):
        """{kind: rows} of what was found."""
        answer = (client or self.boss).must("GET", "/api/search?q=" + quote(text)).json
        for group in answer["groups"]:
            self.assertLessEqual(len(group["rows"]), 8)
        return {group["kind"]: group["rows"] for group in answer["groups"]}

    def titles(self, text, kind):
        return [row["title"] for row in self.find(text).get(kind, [])]

    def test_a_label_and_its_beginning(self):
        row = self.find("B00003")["bond"][0]
        self.assertEqual((row["title"], row["href"]), ("B00003", f"/bonds/{self.bonds[2]}"))
        self.assertEqual(row["detail"], "rail joint bond, VAL Up, left rail, 0+060")
        self.assertEqual(self.titles("b0005", "bond"), [f"B{n:05}" for n in range(50, 58)])

    def test_a_number_is_found_however_it_is_parted(self):
        for label, at, mast in (("SB 40/08", "0+005", "mast 40/08"), ("SB 4/008", "0+006", "4-008"),
                                ("SB 40/09", "0+007", "18/04")):
            self.boss.must("POST", "/api/bonds", bond(label, at, kind="structure", b_on="structure",
                                                      b_structure=mast))
        for typed in ("SB 40 08", "sb40/08", "sb40-08", "SB.40.08", "SB 40/08"):
            self.assertEqual(self.titles(typed, "bond"), ["SB 40/08"], typed)
        for typed in ("mast 40/08", "Mast 40-08", "mast40/08", "40/08", "mast 40 08"):
            self.assertEqual(self.titles(typed, "bond"), ["SB 40/08"], typed)
        self.assertEqual(self.titles("mast 18/04", "bond"), ["SB 40/09"])
        self.assertEqual(self.titles("18 04", "bond"), ["SB 40/09"])
        self.assertEqual(self.titles("mast 18/05", "bond"), [])
        self.assertEqual(self.titles("40 8", "bond"), [], "8 is not 08")
        row, = self.find("mast 18/04")["bond"]
        self.assertIn("at 18/04: structure bond", row["detail"])

    def test_a_line_and_a_chainage_give_the_place_and_the_bonds_on_either_side(self):
        rows = self.find("VAL 0+105")["place"]
        self.assertEqual([row["title"] for row in rows], ["VAL 0+105", "B00003", "B00004", "B00005",
                                                          "B00006", "B00007", "B00008"])
        self.assertTrue(rows[0]["href"].endswith("?at=105000"))
        # 100 m and 120 m along the line
        self.assertTrue(rows[3]["detail"].startswith("5.0 m before: rail joint bond"))
        self.assertTrue(rows[4]["detail"].startswith("15.0 m beyond: "))

    def test_a_bond_at_the_very_place_is_here(self):
        rows = self.find("VAL 0+100")["place"]
        self.assertTrue(rows[4]["detail"].startswith("here: "), rows)

    def test_the_beginning_of_a_code_small_letters_and_no_space(self):
        for text in ("va 0+105", "val0+105", "VAL  0 + 105", "val 000+105"):
            self.assertEqual(self.titles(text, "place")[0], "VAL 0+105", text)

    def test_the_notation_is_the_lines(self):
        self.assertEqual(self.titles("MIL 5.40", "place"), ["MIL 5m 40ch", "X 5.40"])
        self.assertEqual(self.titles("MIL 5m 40ch", "place")[0], "MIL 5m 40ch")

    def test_what_is_no_chainage_of_a_line_says_why(self):
        # 80 chains make a mile: 79 are the most beside whole miles
        for text in ("MIL 5m 81ch", "mil 5m 80ch", "MIL5m 81ch"):
            rows = self.find(text)["place"]
            self.assertEqual(len(rows), 1, rows)
            self.assertIn("a mile has 80 chains, so they go up to 79", rows[0]["detail"])
            self.assertRegex(rows[0]["href"], r"^/lines/\d+$")
        self.assertEqual(self.find("MIL 5m 81ch")["place"][0]["title"], "MIL 5m 81ch")
        self.assertNotIn("81", self.titles("MIL 5m 79ch", "place")[0])
        self.assertEqual(self.find("MIL 5" + "é" * 40)["place"][0]["title"], "MIL …")
        self.assertIn("write kilometres + metres", self.find("VAL 12m 3ch")["place"][0]["detail"])

    def test_the_beginning_of_a_code_alone_explains_nothing_nor_does_a_word_after_a_code(self):
        for text in ("MI 5m 81ch", "MIL Mile", "MIL", "X 5.40"):
            self.assertEqual(self.find(text).get("place"), None, text)

    def test_a_chainage_that_exists_twice_is_each_place_with_its_qualifier(self):
        rows = self.find("MAP 8+950")["place"]
        self.assertEqual([row["title"] for row in rows],
                         ["MAP 8+950 #1", "M2", "M3", "MAP 8+950 #2", "M3", "M4"])
        # 8+950 is 3,750 m into the stretch from 5,000 m on, and 50 m into that from 8,800 m on
        self.assertTrue(rows[0]["href"].endswith("?at=8750000"))
        self.assertTrue(rows[3]["href"].endswith("?at=8850000"))
        self.assertEqual(self.titles("MAP 8+950 #2", "place")[0], "MAP 8+950 #2")

    def test_a_chainage_in_a_gap_says_so_with_both_sides(self):
        rows = self.find("MAP 5+100")["place"]
        self.assertIn("does not exist", rows[0]["detail"])
        self.assertIn("5+000 to 5+200", rows[0]["detail"])
        self.assertTrue(rows[0]["href"].endswith("?at=5000000"))
        self.assertEqual([row["title"] for row in rows[1:3]], ["M1", "M2"])
        self.assertTrue(rows[1]["detail"].startswith("10.0 m before"))
        self.assertTrue(rows[2]["detail"].startswith("10.0 m beyond"))

    def test_a_chainage_off_the_line_says_where_it_runs(self):
        rows = self.find("MAP 12+500")["place"]
        self.assertEqual(len(rows), 1, rows)
        self.assertIn("runs from 0+000 to 12+000", rows[0]["detail"])

    def test_a_track_that_counts_for_itself_is_another_place(self):
        titles = self.titles("MAP 0+300", "place")
        self.assertIn("MAP 0+300", titles)
        self.assertIn("MAP 0+300 on Siding", titles)

    def test_lines_by_code_and_by_any_word_of_the_name(self):
        self.assertEqual(self.titles("map", "line"), ["MAP Mapped line"])
        self.assertEqual(self.titles("line", "line"), ["MAP Mapped line", "MIL Mile line", "VAL Vale line"])
        self.assertRegex(self.find("vale")["line"][0]["href"], r"^/lines/\d+$")

    def test_instruments_by_serial_and_by_any_word_of_the_name(self):
        self.assertEqual(self.titles("m-2", "instrument"), ["M-204"])
        self.assertEqual(self.titles("blue", "instrument"), ["M-204"])
        self.assertIn("calibration due 2027-01-01", self.find("m-2")["instrument"][0]["detail"])

    def test_people_only_for_those_who_may_read_them(self):
        self.assertEqual(self.titles("planner", "person"), ["The planner"])
        for role, sees in (("viewer", False), ("crew", False), ("planner", True), ("manager", True)):
            client = program.Client(self.server, role)
            self.assertEqual("person" in self.find("planner", client), sees, role)
            client.close()

    def test_anything_may_be_typed(self):
        for text in ("", "   ", "%", "_", "'", "\\", "' OR 1=1 --", "VAL", "VAL ", "VAL +", "VAL 0+", "#1",
                     "0+100", "12 12 12 12 12 12", "\u202f", "éèê", "VAL 999999999999999999+1", "x" * 100):
            self.find(text)
        self.assertEqual(self.find(""), {})
        answer = self.boss.get("/api/search?q=" + "x" * 101)
        self.assertEqual((answer.status, answer.fields()), (422, ["q"]))
        self.assertEqual(self.boss.get("/api/search").json, {"groups": []})

    def test_a_stranger_is_told_to_sign_in(self):
        stranger = program.Client(self.server)
        self.assertEqual(stranger.get("/api/search?q=B").status, 401)
        stranger.close()


if __name__ == "__main__":
    unittest.main(verbosity=2)

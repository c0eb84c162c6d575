"""The strip of a line: counts or single bonds, never more than a screenful, by the due list's filters."""
import unittest

import program
from program import bond

# bonds 20 m apart from 0+020 on, a cross bond every tenth; MAP's figures are worked by hand
BONDS = 450
# 5+000 to 5+200 does not exist, 8+900 to 9+000 exists twice, it ends at 12+000
STRETCHES = [{"distance_m": 0, "start_m": 0, "end_m": 5000},
             {"distance_m": 5000, "start_m": 5200, "end_m": 9000},
             {"distance_m": 8800, "start_m": 8900, "end_m": 12000}]


class Strip(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        program.railway(cls.boss)
        must = cls.boss.must
        for n in range(1, BONDS + 1):
            cross = {"kind": "track_cross", "b_track": "Down", "b_rail": "left"}
            must("POST", "/api/bonds", bond(f"B{n:05}", f"{n // 50}+{n % 50 * 20:03}",
                                            **(cross if n % 10 == 0 else {})))
        must("POST", "/api/lines", {"code": "MAP", "name": "Mapped line", "notation": "km_m"})
        must("POST", "/api/lines", {"code": "NEW", "name": "New line", "notation": "km_m"})
        for name in ("Up", "Siding"):
            must("POST", "/api/tracks", {"line": "MAP", "name": name})
        must("POST", "/api/maps", {"line": "MAP", "stretches": STRETCHES})
        must("POST", "/api/maps", {"line": "MAP", "track": "Siding", "stretches": [
            {"distance_m": 1000, "start_m": 0, "end_m": 500}]})
        cls.lines = {row["code"]: row["id"] for row in cls.boss.rows("lines")}

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def strip(self, line="VAL", **query):
        words = "&".join(f"{name}={value}" for name, value in query.items())
        return self.boss.must("GET", f"/api/lines/{self.lines[line]}/strip?{words}").json

    def test_the_whole_line_is_counted_and_adds_up_to_the_list(self):
        got = self.strip()
        self.assertIsNone(got["bonds"])
        self.assertEqual(got["extent"], {"from_mm": 20000, "to_mm": BONDS * 20000})
        self.assertEqual(sum(b["count"] for b in got["buckets"]), BONDS)
        self.assertEqual(got["count"], BONDS)
        totals = self.boss.get("/api/due?limit=1").json["totals"]
        for state in ("later", "soon", "due", "overdue", "deferred", "unknown", "sound", "watch", "act"):
            count = totals[state]
            self.assertEqual(sum(b["states"].get(state, 0) + b["grades"].get(state, 0)
                                 for b in got["buckets"]), count, state)
        self.assertEqual(sum(b["kinds"].get("track_cross", 0) for b in got["buckets"]), BONDS / 10)

    def test_a_stretch_has_the_very_bonds_that_lie_in_it(self):
        got = self.strip(from_mm=0, to_mm=9000000, buckets=9)
        self.assertEqual(got["step_mm"], 1000000)
        # 49 bonds before 1+000, 50 a kilometre from there on, and the one at 9+000
        self.assertEqual([(b["from_mm"], b["count"]) for b in got["buckets"]],
                         [(0, 49), *((km * 1000000, 50) for km in range(1, 9)), (9000000, 1)])

    def test_more_to_either_side_is_given_than_was_asked_about(self):
        got = self.strip(from_mm=1000000, to_mm=2000000, more_mm=500000, buckets=4)
        self.assertEqual((got["from_mm"], got["to_mm"]), (500000, 3000000))
        self.assertEqual([end["text"] for end in got["axes"][0]["ends"]], ["1+000", "2+000"])

    def test_few_bonds_are_given_one_by_one_with_both_ends(self):
        got = self.strip(from_mm=180000, to_mm=220000)
        self.assertIsNone(got["buckets"])
        cross = next(b for b in got["bonds"] if b["label"] == "B00010")
        tracks = {t["name"]: t["id"] for t in got["tracks"]}
        self.assertEqual((cross["track_id"], cross["b_track_id"]), (tracks["Up"], tracks["Down"]))
        self.assertEqual((cross["distance_mm"], cross["b_distance_mm"]), (200000, 200000))
        self.assertEqual(cross["chainage"], "0+200")
        self.assertIn(cross["state"], ("overdue", "due", "soon", "later"))

    def test_it_is_never_more_than_a_screenful(self):
        for buckets in (1, 60, 400):
            got = self.strip(buckets=buckets)
            self.assertLessEqual(len(got["bonds"] or ()), 400)
            self.assertLessEqual(len(got["buckets"] or ()), 2 * (buckets + 2))

    def test_the_filters_are_the_due_lists(self):
        got = self.strip(kind="track_cross")
        self.assertEqual([b["label"] for b in got["bonds"]],
                         [f"B{n:05}" for n in range(10, BONDS + 1, 10)])
        self.assertEqual(self.strip(q="B0001")["count"], 10)
        self.assertEqual(self.strip(state="deferred")["count"], 0)

    def test_jumps_of_the_map_are_given_with_both_sides_for_each_map(self):
        line, siding = self.strip("MAP")["axes"]
        self.assertEqual(line["breaks"], [
            {"mm": 5000000, "before": "5+000", "after": "5+200", "jump_mm": 200000},
            {"mm": 8800000, "before": "9+000", "after": "8+900", "jump_mm": -100000}])
        ticks = {tick["mm"]: tick["text"] for tick in line["ticks"]}
        self.assertEqual(ticks[4000000], "4+000")
        self.assertEqual(ticks[5800000], "6+000")
        self.assertEqual(siding["breaks"], [])
        self.assertEqual(siding["ticks"][0], {"mm": 1000000, "text": "0+000"})

    def test_a_line_with_nothing_on_it_is_drawn_too(self):
        got = self.strip("NEW")
        self.assertEqual((got["count"], got["bonds"], got["tracks"]), (0, [], []))

    def test_what_is_wrong_is_named(self):
        where = f"/api/lines/{self.lines['VAL']}/strip"
        for query, field in (("from_mm=x", "from_mm"), ("buckets=0", "buckets"),
                             ("buckets=401", "buckets"), ("from_mm=9&to_mm=8", "to_mm"),
                             ("to_mm=1e9", "to_mm"), ("state=late", "state"), ("colour=red", "colour"),
                             ("line=2", "line"), ("to_mm=100000000001", "to_mm")):
            answer = self.boss.get(f"{where}?{query}")
            self.assertEqual((answer.status, answer.fields()), (422, [field]), answer)
        self.assertEqual(self.boss.get("/api/lines/999999/strip").status, 404)

    def test_the_api_description_has_its_filters(self):
        operation = self.boss.get("/api").json["paths"]["/api/lines/{id}/strip"]["get"]
        names = [parameter["name"] for parameter in operation["parameters"]]
        for name in ("id", "state", "kind", "from_mm", "to_mm"):
            self.assertIn(name, names)


if __name__ == "__main__":
    unittest.main(verbosity=2)

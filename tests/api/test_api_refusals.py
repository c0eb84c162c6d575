"""What is refused: a clear problem that names the member at fault, and nothing half-written."""
import datetime
import json
import socket
import unittest
from urllib.parse import quote

import program
from program import bond, inspection, new_id, reading

TODAY = datetime.datetime.now(datetime.timezone.utc).date()


class Refusals(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.bonds = program.railway(cls.boss, 3)
        must = cls.boss.must
        must("POST", "/api/lines", {"code": "MIL", "name": "Mile line", "notation": "miles_chains"})
        must("POST", "/api/lines", {"code": "MAP", "name": "Mapped line", "notation": "km_m"})
        for line in ("MIL", "MAP"):
            must("POST", "/api/tracks", {"line": line, "name": "Up"})
        # 5+000 to 5+200 does not exist, 8+900 to 9+000 exists twice, it ends at 12+000
        must("POST", "/api/maps", {"line": "MAP", "stretches": [
            {"distance_m": 0, "start_m": 0, "end_m": 5000},
            {"distance_m": 5000, "start_m": 5200, "end_m": 9000},
            {"distance_m": 8800, "start_m": 8900, "end_m": 12000}]})
        cls.visit = new_id()
        must("PUT", "/api/inspections/" + cls.visit, inspection(cls.bonds[0], "2026-02-02"), 201)
        cls.failure = new_id()
        must("PUT", "/api/failures/" + cls.failure,
             {"bond_id": cls.bonds[0], "found_day": "2025-07-07", "mode": "burnt"}, 201)

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        content = cls.register.run("check")
        cls.register.remove()
        assert code == 0, code
        assert "content" in content, content

    def setUp(self):
        self.before = self.register.counts()

    def tearDown(self):
        self.assertEqual(self.register.counts(), self.before, "something was written")

    def refused(self, answer, status, slug, fields=(), *words):
        """A problem of RFC 9457 that names exactly these members and says these words."""
        self.assertEqual(answer.status, status, answer)
        self.assertEqual(answer.headers["Content-Type"], "application/problem+json")
        problem = answer.json
        self.assertEqual((problem["type"], problem["status"]), ("/problems/" + slug, status))
        self.assertEqual(answer.fields(), sorted(fields), answer)
        self.assertGreater(len(problem["title"]), 3)
        self.assertRegex(problem["detail"], r"^[^ ].{8,}", answer)
        for word in words:
            self.assertIn(word.lower(), json.dumps(problem, ensure_ascii=False).lower())
        for secret in ("sqlite", "SELECT", "INSERT", "errno", "0x", "/tmp", ".c:"):
            self.assertNotIn(secret, answer.body.decode())
        return problem

    def visit_with(self, **more):
        return self.boss.ask("PUT", "/api/inspections/" + new_id(),
                             {**inspection(self.bonds[1]), **more})

    def raw(self, body, path=None, method="PUT"):
        return self.boss.ask(method, path or "/api/inspections/" + new_id(), body)

    # ---- what is no JSON object

    def test_text_that_is_no_json(self):
        for body in (b"{", b"[]", b"3", b"null", b'"x"', b"{'day':1}", b'{"day":}', b"{} {}",
                     b'{"day":1,}', b'{"day":NaN}', b'{"day":1e999}', b"\xef\xbb\xbf{}", b"day=1",
                     b'{"day":"\\u0000"}', b'{"day":"\\ud800"}', b'{"day":"a\nb"}'):
            with self.subTest(body=body):
                answer = self.raw(body)
                self.refused(answer, 400, "malformed")

    def test_bytes_that_are_not_utf8_name_the_place(self):
        self.refused(self.raw(b'{"note":"caf\xe9"}'), 400, "malformed", (), "12")
        self.refused(self.raw(b'{"note":"\xc0\x80"}'), 400, "malformed")
        self.refused(self.raw(b'{"note":"\xed\xa0\x80"}'), 400, "malformed")

    def test_a_member_sent_twice(self):
        self.refused(self.raw(b'{"day":"2026-01-01","day":"2026-01-02"}'), 400, "malformed", (),
                     "day")

    def test_json_that_is_too_deep(self):
        for opened, closed in ((b"[", b"]"), (b'{"a":', b"}")):
            for depth in (20, 5000, 100000):
                answer = self.raw(b'{"readings":' + opened * depth + b"1" + closed * depth + b"}")
                self.assertIn(answer.status, (400, 422), answer)

    def test_no_body_and_an_empty_one(self):
        where = "/api/inspections/" + new_id()
        self.refused(self.boss.ask("PUT", where, b""), 400, "malformed")
        self.refused(self.boss.ask("PUT", where), 400, "malformed")

    def test_a_body_of_another_media_type(self):
        for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data",
                     "application/json; charset=latin1"):
            answer = self.boss.ask("PUT", "/api/inspections/" + new_id(), b"{}",
                                   {"Content-Type": kind})
            self.refused(answer, 415, "media-type")

    def test_a_body_that_is_too_large(self):
        client = program.Client(self.server, cookie=self.boss.cookie)
        answer = client.ask("PUT", "/api/inspections/" + new_id(), b" " * ((1 << 20) + 1))
        self.refused(answer, 413, "too-large")
        client.close()
        # chunked: nothing says beforehand how long it is
        with socket.create_connection(("127.0.0.1", self.server.port), timeout=20) as link:
            link.sendall(f"PUT /api/inspections/{new_id()} HTTP/1.1\r\nHost: x\r\n"
                         f"Cookie: {self.boss.cookie}\r\nContent-Type: application/json\r\n"
                         "Transfer-Encoding: chunked\r\n\r\n".encode())
            try:
                for _ in range(40):
                    link.sendall(b"10000\r\n" + b" " * 65536 + b"\r\n")
            except OSError:
                pass
            self.assertIn(b" 413 ", link.recv(4000).split(b"\r\n")[0])

    # ---- members

    def test_every_wrong_member_is_named_at_once(self):
        answer = self.boss.ask("PUT", "/api/inspections/" + new_id(), {
            "bond_id": "three", "day": "2026-02-30", "purpose": "fun", "seen_a": 3,
            "note": ["x"], "colour": "red",
            "readings": [reading(), reading(current_a=-1, method="five_wire"), 7]})
        problem = self.refused(answer, 422, "value", (
            "bond_id", "day", "purpose", "seen_a", "note", "colour", "readings[1].current_a",
            "readings[1].method", "readings[2]"), "2026-02-30", "fun", "colour")
        self.assertTrue(all(len(e["detail"]) > 10 for e in problem["errors"]))

    def test_more_wrong_members_than_are_shown_are_counted(self):
        answer = self.raw({f"x{n}": n for n in range(50)})
        self.assertEqual(answer.status, 422)
        problem = answer.json
        self.assertGreaterEqual(len(problem["errors"]) + problem["more"], 50)

    def test_a_required_member_is_missed(self):
        self.refused(self.raw({"bond_id": self.bonds[1]}), 422, "value", ("day",))
        self.refused(self.raw({"bond_id": self.bonds[1], "day": None}), 422, "value", ("day",))

    def test_a_wrong_type_is_named_with_what_would_be_right(self):
        for member, value in (("bond_id", 1.5), ("bond_id", True), ("bond_id", "1"),
                              ("bond_id", 10 ** 18), ("day", 20260101), ("note", 5),
                              ("readings", {}), ("readings", "none"), ("failure", []),
                              ("corrects", "x"), ("seen_a", "shiny"), ("outcome", None)):
            answer = self.visit_with(**{member: value}) if value is not None else None
            if answer is not None:
                with self.subTest(member=member, value=value):
                    self.refused(answer, 422, "value", (member,))

    def test_control_characters_in_text(self):
        self.refused(self.visit_with(note="bell \x07"), 422, "value", ("note",))
        self.refused(self.visit_with(note="x" * 3000), 422, "value", ("note",), "2000")

    def test_too_many_readings(self):
        self.refused(self.visit_with(readings=[reading()] * 41), 422, "value", ("readings",), "40")

    def test_numbers_beyond_what_can_be_measured(self):
        for more in ({"temp_c": 121}, {"temp_c": -61}, {"current_a": 0}, {"forward_uv": 1e10}):
            member = "readings[0]." + next(iter(more))
            self.refused(self.visit_with(readings=[reading(**more)]), 422, "value", (member,))

    # ---- days

    def test_days_that_do_not_exist(self):
        for day in ("2026-02-29", "2025-04-31", "2026-13-01", "2026-00-10", "2026-01-00",
                    "1900-02-29", "26-01-01", "2026-1-1", "01/02/2026", "2026-01-01T00:00:00Z", " "):
            with self.subTest(day=day):
                self.refused(self.visit_with(day=day), 422, "value", ("day",))

    def test_an_inspection_after_today(self):
        tomorrow = TODAY + datetime.timedelta(days=2)
        self.refused(self.visit_with(day=tomorrow.isoformat()), 422, "value", ("day",),
                     tomorrow.isoformat())

    def test_before_the_bond_was_installed(self):
        # the bonds of the railway were installed on 2020-03-31
        answer = self.visit_with(day="2020-03-30")
        self.assertEqual((answer.status, answer.fields()), (422, ["day"]), answer)
        answer = self.raw({"bond_id": self.bonds[1], "found_day": "2020-03-30", "mode": "burnt"},
                          "/api/failures/" + new_id())
        self.assertEqual((answer.status, answer.fields()), (422, ["found_day"]), answer)
        answer = self.raw({"bond_id": self.bonds[1], "end": "a", "made_day": "2020-03-30",
                           "method": "bolted"}, "/api/attachments/" + new_id())
        self.assertEqual((answer.status, answer.fields()), (422, ["made_day"]), answer)

    def test_made_good_before_it_was_found(self):
        answer = self.raw({"failure": self.failure, "day": "2025-07-06", "how": "Tightened"},
                          "/api/repairs/" + new_id())
        self.assertEqual((answer.status, answer.fields()), (422, ["day"]), answer)

    def test_a_deferral_without_reason_or_to_no_later_day(self):
        where = "/api/deferrals/" + new_id()
        until = (TODAY + datetime.timedelta(days=4000)).isoformat()
        for reason in (None, "", "   "):
            self.refused(self.raw({"bond_id": self.bonds[1], "until_day": until, "reason": reason},
                                  where), 422, "value", ("reason",))
        self.refused(self.raw({"bond_id": self.bonds[1], "until_day": TODAY.isoformat(),
                               "reason": "Snow"}, where), 422, "value", ("until_day",))

    # ---- what is not registered

    def test_references_to_nothing(self):
        self.refused(self.visit_with(bond_id=999999), 422, "value", ("bond_id",), "999999")
        seen = {"day": "2026-01-01", "seen_a": "good", "seen_b": "good"}
        answer = self.raw({"line": "VAL", "bond": "NONE", **seen})
        self.refused(answer, 422, "value", ("bond",), "NONE")
        answer = self.raw({"line": "GONE", "bond": "B00001", **seen})
        self.refused(answer, 422, "value", ("line",), "GONE")
        self.refused(self.visit_with(corrects=new_id()), 422, "value", ("corrects",))
        self.refused(self.visit_with(readings=[reading(instrument="NO-1")]), 422, "value",
                     ("readings[0].instrument",), "NO-1")
        self.refused(self.visit_with(readings=[reading(), reading(instrument_id=77)]), 422, "value",
                     ("readings[1].instrument",), "77")
        answer = self.raw({"failure": new_id(), "day": "2026-01-01", "how": "x"},
                          "/api/repairs/" + new_id())
        self.refused(answer, 422, "value", ("failure",))

    def test_a_correction_of_another_bonds_inspection(self):
        answer = self.visit_with(corrects=self.visit)
        self.refused(answer, 422, "rule", ("corrects",))

    def test_an_id_that_is_no_uuid(self):
        for uuid in ("1", "x" * 36, "0190c2a4-7f3e-7a61-9b1e-3f5d2c8a4b7", "0" * 36):
            self.refused(self.raw(inspection(self.bonds[1]), "/api/inspections/" + uuid), 422,
                         "value", ("id",))

    # ---- chainages

    def place(self, line, chainage):
        return self.boss.ask("POST", "/api/bonds", {"line": line, "label": "NEW",
                             "kind": "rail_joint", "a_track": "Up", "a_rail": "left",
                             "a_chainage": chainage})

    def test_a_chainage_in_a_gap_names_both_sides(self):
        self.refused(self.place("MAP", "5+100"), 422, "chainage-in-gap", ("a_chainage",),
                     "5+000", "5+200")

    def test_a_chainage_that_exists_twice_lists_both(self):
        problem = self.refused(self.place("MAP", "8+950"), 422, "chainage-ambiguous",
                               ("a_chainage",))
        self.assertGreaterEqual(problem["detail"].count("8+950"), 2, problem)

    def test_a_chainage_outside_of_the_line(self):
        for text in ("12+001", "-0+100", "99+000"):
            self.refused(self.place("MAP", text), 422, "chainage-outside", ("a_chainage",))

    def test_a_chainage_that_cannot_be(self):
        for line, text in (("MIL", "3 mi 81 ch"), ("MIL", "3.81"), ("MAP", "5+1200"),
                           ("MAP", "five"), ("MAP", "5++100"), ("MAP", "5+100 Z"), ("VAL", "1,5,0")):
            with self.subTest(text=text):
                answer = self.place(line, text)
                self.refused(answer, 422, "chainage-syntax", ("a_chainage",))

    def test_ends_that_are_too_far_apart(self):
        answer = self.boss.ask("POST", "/api/bonds", bond("FAR", "1+000", b_chainage="90+000"))
        self.assertEqual((answer.status, answer.fields()), (422, ["b_chainage"]), answer)

    def test_a_map_without_length_names_the_stretch(self):
        answer = self.boss.ask("POST", "/api/maps", {"line": "MAP", "stretches": [
            {"distance_m": 0, "start_m": 5, "end_m": 5}]})
        self.refused(answer, 422, "rule", ("stretches",), "Stretch 1 has no length")

    def test_a_map_that_is_none(self):
        for stretches in ([], [{"distance_m": 0, "start_m": 5, "end_m": 4}],
                          [{"distance_m": 9, "start_m": 0, "end_m": 100},
                           {"distance_m": 5, "start_m": 100, "end_m": 200}]):
            answer = self.boss.ask("POST", "/api/maps", {"line": "MAP", "stretches": stretches})
            self.assertEqual(answer.status, 422, answer)

    def test_several_wrong_ends_and_words_of_a_bond(self):
        answer = self.boss.ask("POST", "/api/bonds", {
            "line": "VAL", "label": "NEW", "kind": "wire", "a_chainage": "1+000",
            "conductor_class": 7, "area_mm2": -2, "cables": 0, "latitude": 91})
        self.refused(answer, 422, "value",
                     ("kind", "conductor_class", "area_mm2", "cables", "latitude"))

    # ---- people

    def test_people_who_cannot_be(self):
        person = {"login": "new", "name": "New", "role": "crew"}
        for wrong, field in (({"role": "king"}, "role"),
                             ({"login": "two words"}, "login"), ({"name": ""}, "name")):
            answer = self.boss.ask("POST", "/api/people", {**person, **wrong})
            self.assertEqual((answer.status, answer.fields()), (422, [field]), answer)
        answer = self.boss.ask("POST", "/api/people", {**person, "login": "Crew"})
        self.assertEqual((answer.status, answer.fields()), (409, ["login"]), answer)

    # ---- addresses

    def test_queries_that_no_list_takes(self):
        for query, field in (("colour=red", "colour"), ("limit=0", "limit"), ("limit=1001", "limit"),
                             ("limit=x", "limit"), ("sort=colour", "sort"), ("state=blue", "state"),
                             ("line=x", "line"), ("line=-1", "line"), ("until=2026-02-30", "until"),
                             ("surveyed=maybe", "surveyed"), ("line=1&line=2", "line"),
                             ("q=" + "x" * 101, "q")):
            with self.subTest(query=query):
                self.refused(self.boss.get("/api/due?" + query), 422, "value", (field,))
                self.refused(self.boss.get("/api/due.csv?" + query), 422, "value", (field,))

    def test_several_wrong_queries_are_named_at_once(self):
        self.refused(self.boss.get("/api/due?colour=red&limit=0&state=blue"), 422, "value",
                     ("colour", "limit", "state"))

    def test_cursors_that_no_list_gave(self):
        good = self.boss.get("/api/due?limit=1").json["next"]
        for cursor in ("x", "AAAA", good[:-3], good + "A", good * 30, "%00", "..", "ZHVlHzEfMQ=="):
            with self.subTest(cursor=cursor[:40]):
                answer = self.boss.get("/api/due?after=" + cursor)
                self.refused(answer, 400, "malformed", ("after",))
        # of another sort
        answer = self.boss.get("/api/due?sort=place&after=" + good)
        self.refused(answer, 400, "malformed", ("after",))

    def test_addresses_that_two_programs_could_read_in_two_ways(self):
        for path in ("/api/due?q=a%00b", "/api/due%00", "/api/..%2fdue", "/api/%2e%2e/due",
                     "/api/due?q=%zz", "/api/due?q=%ff", "/api/%zz", "/api/bonds/1%2f2"):
            with self.subTest(path=path):
                answer = self.boss.get(path)
                self.assertEqual(answer.status, 400, answer)
                self.assertEqual(answer.json["type"], "/problems/malformed")

    def test_text_that_sql_would_like(self):
        for text in ("'", "\"", "x' OR 1=1 --", "%", "_", "\\", "*", "é"):
            answer = self.boss.get("/api/due?q=" + quote(text))
            self.assertEqual((answer.status, answer.json["rows"]), (200, []), answer)


if __name__ == "__main__":
    unittest.main(verbosity=2)

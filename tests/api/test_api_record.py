"""What people register and record through the API, and how lists give it back."""
import csv
import datetime
import io
import unittest

import program
from program import bond, inspection, new_id, reading

LISTS = ("due", "bonds", "inspections", "readings", "failures", "repairs", "repeat-places",
         "deferrals", "attachments", "lines", "tracks", "instruments", "kits", "people")

FORMULA = '=HYPERLINK("http://elsewhere.example","go")'


class Record(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.crew = program.Client(cls.server, "crew")
        cls.bonds = program.railway(cls.boss, 120)
        cls.today = datetime.datetime.now(datetime.timezone.utc).date()

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        cls.crew.close()
        code = cls.server.stop()
        content = cls.register.run("check")
        cls.register.remove()
        assert code == 0, code
        assert "content" in content, content

    def row(self, name, query, **wanted):
        """The only row of a list that has these values."""
        rows = [r for r in self.crew.rows(name, query)
                if all(r[k] == v for k, v in wanted.items())]
        self.assertEqual(len(rows), 1, rows)
        return rows[0]

    # ---- what the manager registers

    def test_a_line_with_its_tracks_and_its_map(self):
        made = self.boss.must("POST", "/api/lines", {"code": "GAP", "name": "Gap line",
                              "notation": "km_m", "electrification": "dc"}, 201)
        self.assertEqual(made.headers["Location"], f"/api/lines/{made.json['id']}")
        again = self.boss.must("POST", "/api/lines", {"code": "GAP", "name": "Gap line",
                               "notation": "km_m", "electrification": "dc"}, 200)
        self.assertTrue(again.json["already"])
        other = self.boss.ask("POST", "/api/lines", {"code": "GAP", "name": "Another",
                              "notation": "km_m"})
        self.assertEqual((other.status, other.fields()), (409, ["code"]), other)
        line = self.crew.must("GET", made.headers["Location"]).json
        self.assertEqual((line["code"], line["notation"], line["electrification"]),
                         ("GAP", "km_m", "dc"))
        track = self.boss.must("POST", "/api/tracks", {"line": "GAP", "name": "Single",
                               "left_label": "field", "right_label": "platform"}, 201).json["id"]
        # 5 km counted from 0, then the count jumps from 5+000 to 5+200
        stretches = [{"distance_m": 0, "start_m": 0, "end_m": 5000},
                     {"distance_m": 5000, "start_m": 5200, "end_m": 9000}]
        self.boss.must("POST", "/api/maps", {"line": "GAP", "stretches": stretches})
        again = self.boss.must("POST", "/api/maps", {"line": "GAP", "stretches": stretches}, 200)
        self.assertTrue(again.json["already"])
        kept = self.crew.must("GET", f"/api/tracks/{track}/map").json
        self.assertEqual([(s["distance_mm"], s["start_mm"], s["end_mm"])
                          for s in kept["stretches"]],
                         [(0, 0, 5000000), (5000000, 5200000, 9000000)])
        # a bond at 5+250 is 50 m behind the jump: 5050 m from the datum
        made = self.boss.must("POST", "/api/bonds", {"line": "GAP", "label": "G1",
                              "kind": "rail_joint", "a_track": "Single", "a_rail": "right",
                              "a_chainage": "5+250"}, 201).json["id"]
        self.assertEqual(self.row("bonds", "q=G1")["distance_mm"], 5050000)
        self.assertEqual(self.row("bonds", "q=G1")["id"], made)

    def test_an_instrument_a_further_calibration_and_a_kit(self):
        meter = {"serial": "M-17", "name": "Ten amp meter", "calibrated_day": "2025-06-01",
                 "calibration_due_day": "2026-06-01", "uncertainty_percent": 0.5,
                 "uncertainty_uohm": 0.2}
        self.boss.must("POST", "/api/instruments", meter, 201)
        self.assertTrue(self.boss.must("POST", "/api/instruments", meter, 200).json["already"])
        self.boss.must("POST", "/api/instruments", {**meter, "calibrated_day": "2026-05-20",
                       "calibration_due_day": "2027-05-20"})
        self.row("instruments", "", serial="M-17")
        for more in ({}, {"calibrated_day": "2026-05-21"}):
            other = self.boss.ask("POST", "/api/instruments", {**meter, "name": "Hammer", **more})
            self.assertEqual((other.status, other.fields()), (409, ["name"]), other)
        self.assertEqual(self.row("instruments", "", serial="M-17")["name"], "Ten amp meter")
        self.assertEqual(self.row("instruments", "", serial="M-17")["calibrated_day"], "2026-05-20")
        for status in (201, 200):
            self.boss.must("POST", "/api/kits", {"code": "K4", "name": "Kit four"}, status)
        self.row("kits", "", code="K4")
        other = self.boss.ask("POST", "/api/kits", {"code": "K4", "name": "Another"})
        self.assertEqual((other.status, other.fields()), (409, ["code"]))

    def test_what_the_railway_adds_to_the_tables_keeps_its_number_when_sent_again(self):
        for path, row in (("/api/conductors", {"material": "copper", "conductor_class": 5,
                           "area_mm2": 52.5, "uohm_per_m": 371, "source": "Data sheet"}),
                          ("/api/rail-profiles", {"code": "GAP 49", "uohm_per_m": 37.5,
                           "source": "Measured"})):
            first = self.boss.must("POST", path, row, 201).json
            self.assertGreater(first["id"], 0)
            self.assertEqual(self.boss.must("POST", path, row, 200).json,
                             {**first, "already": True})
            other = self.boss.must("POST", path, {**row, "uohm_per_m": 380}, 201).json
            self.assertGreater(other["id"], first["id"])

    def test_a_bond_changes_only_for_who_has_seen_its_version(self):
        made = self.boss.must("POST", "/api/bonds", bond("EDIT", "3+000"), 201)
        where = made.headers["Location"]
        seen = self.crew.must("GET", where)
        self.assertEqual((seen.json["label"], seen.json["material"]), ("EDIT", "copper"))
        etag = seen.headers["ETag"]
        changed = bond("EDIT", "3+000", note="New lug", reason="Seen on site")
        absent = self.boss.ask("PUT", where, changed)
        self.assertEqual((absent.status, absent.json["type"]),
                         (428, "/problems/needs-if-match"), absent)
        done = self.boss.must("PUT", where, changed, 200, {"If-Match": etag})
        self.assertEqual(done.json["note"], "New lug")
        self.assertNotEqual(done.headers["ETag"], etag)
        old = self.boss.ask("PUT", where, bond("EDIT", "3+000", note="Lost update"),
                            {"If-Match": etag})
        self.assertEqual((old.status, old.json["type"]), (412, "/problems/changed"), old)
        now = self.crew.must("GET", where)
        self.assertEqual((now.json["note"], now.headers["ETag"]),
                         ("New lug", done.headers["ETag"]))
        self.boss.must("PUT", where, bond("EDIT", "3+000", note="Newer"), 200,
                       {"If-Match": done.headers["ETag"]})
        missing = self.boss.ask("PUT", "/api/bonds/999999", changed, {"If-Match": etag})
        self.assertEqual(missing.status, 404)

    def test_a_bond_is_not_installed_after_work_on_record(self):
        works = (("inspections", {"day": "2024-03-04", "outcome": "partly"}, "An inspection on 2024-03-04"),
                 ("attachments", {"end": "a", "made_day": "2024-03-04", "method": "clamp"},
                  "An attachment made on 2024-03-04"),
                 ("failures", {"found_day": "2024-03-04", "mode": "burnt"},
                  "A failure found on 2024-03-04"))
        for n, (what, body, says) in enumerate(works):
            with self.subTest(what=what):
                label, place = f"INST{n}", f"3+{200 + n * 20}"
                made = self.boss.must("POST", "/api/bonds", bond(label, place)).headers["Location"]
                number = int(made.rsplit("/", 1)[1])
                wrong = new_id()
                self.boss.must("PUT", f"/api/{what}/{wrong}", {"bond_id": number, **body})
                etag = self.crew.must("GET", made).headers["ETag"]

                def change(day, **more):
                    return self.boss.ask("PUT", made, bond(label, place, installed_day=day, **more),
                                         {"If-Match": etag})
                late = change("2024-03-05")
                self.assertEqual((late.status, late.fields()), (422, ["installed_day"]), late)
                self.assertIn(says, late.json["errors"][0]["detail"])
                self.assertIn("2024-03-05", late.json["errors"][0]["detail"])
                self.assertEqual(self.crew.must("GET", made).headers["ETag"], etag)
                same = change("2024-03-04")
                self.assertEqual(same.status, 200, same)
                # the entry is corrected to a later day: so may be the installation
                day = "found_day" if what == "failures" else "made_day" if what == "attachments" else "day"
                self.boss.must("PUT", f"/api/{what}/{new_id()}", {
                    "bond_id": number, **body, day: "2024-05-01", "corrects": wrong})
                etag = same.headers["ETag"]
                self.assertEqual(change("2024-05-01").status, 200)

    def test_a_label_in_use_with_other_content_is_a_conflict(self):
        first = self.boss.must("POST", "/api/bonds", bond("TWICE", "3+100"), 201).json["id"]
        again = self.boss.must("POST", "/api/bonds", bond("TWICE", "3+100"), 200).json
        self.assertEqual((again["id"], again["already"]), (first, True))
        other = self.boss.ask("POST", "/api/bonds", bond("TWICE", "3+120"))
        self.assertEqual(other.status, 409, other)

    # ---- what crews send under ids of their own

    def sent(self, noun, body, other, client=None):
        """Puts it twice, then something else under the same id; the id and the first answer."""
        client = client or self.crew
        where = f"/api/{noun}/{new_id()}"
        first = client.must("PUT", where, body, 201)
        again = client.must("PUT", where, body, 200)
        # a crew whose first answer was lost is told the same by the second
        self.assertEqual(again.json, {**first.json, "already": True})
        self.assertFalse(first.json["already"])
        self.assertIn("grade", first.json)
        self.assertEqual(first.headers["Location"], where)
        self.assertIn(first.json["id"], client.must("GET", where).body.decode())
        conflict = client.ask("PUT", where, other)
        self.assertEqual(conflict.status, 409, conflict)
        self.assertEqual(conflict.json["type"], "/problems/conflict")
        return where.rsplit("/", 1)[1], first.json

    def test_an_inspection_with_readings_is_kept_once_and_moves_the_due_day(self):
        one = self.bonds[0]
        before = self.row("due", "", bond_id=one)["due_day"]
        day = (self.today - datetime.timedelta(days=3)).isoformat()
        uuid, first = self.sent("inspections", inspection(one, day), inspection(one, day, note="x"))
        row = self.row("inspections", f"bond={one}", uuid=uuid)
        self.assertEqual((row["day"], row["outcome"]), (day, "complete"))
        self.assertEqual(len(self.crew.rows("readings", f"bond={one}")), 2)
        self.assertGreater(self.row("due", "", bond_id=one)["due_day"], before)
        self.assertEqual(first["due"]["due_day"], self.row("due", "", bond_id=one)["due_day"])

    def test_a_correction_replaces_and_nothing_is_lost(self):
        two = self.bonds[1]
        wrong = new_id()
        self.crew.must("PUT", f"/api/inspections/{wrong}", inspection(two, "2026-03-01"), 201)
        right = new_id()
        self.crew.must("PUT", f"/api/inspections/{right}",
                       inspection(two, "2026-03-02", corrects=wrong), 201)
        rows = {r["uuid"]: r["replaced"] for r in self.crew.rows("inspections", f"bond={two}")}
        self.assertEqual(rows, {wrong: True, right: False})
        again = self.crew.ask("PUT", f"/api/inspections/{new_id()}",
                              inspection(two, "2026-03-03", corrects=wrong))
        self.assertEqual((again.status, again.fields()), (409, ["corrects"]), again)

    def test_failures_a_repair_and_the_place_where_they_repeat(self):
        ids = []
        for day in ("2025-02-01", "2025-06-01", "2025-11-01"):
            body = {"bond_id": self.bonds[10], "end": "a", "found_day": day,
                    "mode": "detached"}
            ids.append(self.sent("failures", body, {**body, "mode": "burnt"})[0])
        self.sent("repairs", {"failure": ids[0], "day": "2025-02-03", "how": "Brazed anew"},
                  {"failure": ids[0], "day": "2025-02-04", "how": "Brazed anew"})
        failed = self.row("failures", "", uuid=ids[0])
        self.assertEqual((failed["made_good_day"], failed["made_good_how"]),
                         ("2025-02-03", "Brazed anew"))
        self.assertEqual({r["uuid"] for r in self.crew.rows("failures", "open=yes")}
                         & set(ids), set(ids[1:]))
        place = [p for p in self.crew.rows("repeat-places") if p["id"] == failed["place_id"]]
        self.assertEqual(len(place), 1)
        whole = self.crew.must("GET", f"/api/repeat-places/{place[0]['id']}").json
        self.assertEqual({f["uuid"] for f in whole["failures"]}, set(ids))
        self.assertEqual((whole["first_day"], whole["last_day"]), ("2025-02-01", "2025-11-01"))

    def test_a_repair_that_is_corrected_opens_the_failure_that_it_was_not_of(self):
        ids = [new_id(), new_id()]
        for uuid, bond_id in zip(ids, self.bonds[20:22]):
            self.crew.must("PUT", f"/api/failures/{uuid}", {
                "bond_id": bond_id, "end": "a", "found_day": "2025-02-01", "mode": "burnt"}, 201)
        wrong = new_id()
        body = {"failure": ids[0], "day": "2025-02-03", "how": "Brazed anew"}
        self.crew.must("PUT", f"/api/repairs/{wrong}", body, 201)
        right = self.crew.must("PUT", f"/api/repairs/{new_id()}",
                               {**body, "failure": ids[1], "corrects": wrong}, 201).json
        self.assertNotIn("failure_open", right["grade"]["reasons"])
        grades = [self.crew.get(f"/api/bonds/{one}").json for one in self.bonds[20:22]]
        self.assertEqual([one["due"]["failures_open"] for one in grades], [1, 0])
        self.assertEqual(grades[0]["grade"]["grade"], "act")
        listed = self.row("bonds", "", id=self.bonds[20])
        self.assertEqual(listed["grade"], "act")

    def failure(self, bond_id, **more):
        uuid = new_id()
        self.crew.must("PUT", f"/api/failures/{uuid}", {
            "bond_id": bond_id, "found_day": "2025-02-01", "mode": "burnt", **more}, 201)
        return uuid

    def repair(self, failure, day, how):
        self.crew.must("PUT", f"/api/repairs/{new_id()}",
                       {"failure": failure, "day": day, "how": how}, 201)

    def open_and_good(self, bond_id):
        """How many failures are open, and what made the entries good that stand now."""
        bond_now = self.crew.get(f"/api/bonds/{bond_id}").json
        return bond_now["due"]["failures_open"], [
            (f["made_good_day"], f["made_good_how"])
            for f in self.crew.rows("failures", f"bond={bond_id}&replaced=no")]

    def test_a_failure_that_is_corrected_stays_made_good(self):
        one, other = self.bonds[22:24]
        wrong = self.failure(one)
        self.repair(wrong, "2025-02-03", "Brazed anew")
        right = self.failure(one, mode="detached", corrects=wrong)
        self.assertEqual(self.open_and_good(one), (0, [("2025-02-03", "Brazed anew")]))
        # found after it was made good it cannot be, and the answer says what to do
        late = self.crew.ask("PUT", f"/api/failures/{new_id()}", {
            "bond_id": one, "found_day": "2025-02-04", "mode": "burnt", "corrects": right})
        self.assertEqual((late.status, late.fields()), (422, ["found_day"]), late)
        # nor is the repair lost when it turns out to have been another bond
        self.failure(other, mode="detached", corrects=right, reason="It was the next bond.")
        self.assertEqual(self.open_and_good(one), (0, []))
        self.assertEqual(self.open_and_good(other), (0, [("2025-02-03", "Brazed anew")]))

    def test_an_entry_that_was_corrected_is_no_open_failure(self):
        bond_id = self.bonds[25]
        wrong = self.failure(bond_id)
        self.repair(wrong, "2025-02-03", "Brazed anew")
        right = self.failure(bond_id, mode="detached", corrects=wrong)
        query = f"bond={bond_id}&open="
        self.assertEqual(self.crew.rows("failures", query + "yes"), [])
        self.assertEqual([f["uuid"] for f in self.crew.rows("failures", query + "no")], [right])
        still = self.failure(bond_id, found_day="2025-03-01")
        newest = self.failure(bond_id, found_day="2025-03-02", corrects=still)
        self.assertEqual([f["uuid"] for f in self.crew.rows("failures", query + "yes")], [newest])

    def test_a_repair_sent_after_the_correction_is_of_what_stands_now(self):
        bond_id = self.bonds[24]
        wrong = self.failure(bond_id)
        self.failure(bond_id, mode="detached", corrects=wrong)
        self.assertEqual(self.open_and_good(bond_id), (1, [(None, None)]))
        self.repair(wrong, "2025-02-05", "Brazed late")
        self.assertEqual(self.open_and_good(bond_id), (0, [("2025-02-05", "Brazed late")]))

    def test_a_deferral_until_after_the_due_day(self):
        four = self.bonds[3]
        due = datetime.date.fromisoformat(self.row("due", "", bond_id=four)["due_day"])
        until = max(due, self.today) + datetime.timedelta(days=20)
        body = {"bond_id": four, "until_day": until.isoformat(), "reason": "Tunnel is closed"}
        self.sent("deferrals", body, {**body, "reason": "Snow"}, self.boss)
        row = self.row("due", "", bond_id=four)
        self.assertEqual((row["state"], row["deferred_to_day"], row["deferral_reason"]),
                         ("deferred", until.isoformat(), "Tunnel is closed"))
        self.row("deferrals", "live=yes", bond_id=four)

    def test_a_deferral_is_taken_back_by_who_may_defer_and_stays_readable(self):
        made = new_id()
        self.boss.must("PUT", "/api/deferrals/" + made, {"bond_id": self.bonds[9],
                       "until_day": (self.today + datetime.timedelta(days=900)).isoformat(),
                       "reason": "No possession"}, 201)
        back = {"entry": "deferral", "entry_id": made, "reason": "Another bond was meant"}
        crew = self.crew.ask("PUT", "/api/withdrawals/" + new_id(), back)
        self.assertEqual((crew.status, crew.fields()), (403, ["entry"]), crew)
        self.row("deferrals", "live=yes", uuid=made)
        self.sent("withdrawals", back, {**back, "reason": "Snow"}, self.boss)
        self.assertEqual(self.crew.rows("deferrals", "live=yes&bond=%d" % self.bonds[9]), [])
        self.assertTrue(self.row("deferrals", "bond=%d" % self.bonds[9], uuid=made)["withdrawn"])
        said = self.row("withdrawals", "bond=%d" % self.bonds[9], entry_id=made)
        self.assertEqual((said["entry"], said["reason"], said["waits"]),
                         ("deferral", "Another bond was meant", False))

    def test_what_was_recorded_of_a_withdrawn_bond_stays_readable_by_its_id(self):
        made = self.boss.must("POST", "/api/bonds", bond("GONE", "11+500"), 201).json["id"]
        visit, failure, put_off, fixed = (new_id() for _ in range(4))
        self.boss.must("PUT", "/api/inspections/" + visit, inspection(
            made, "2024-03-01", readings=[reading()]), 201)
        self.boss.must("PUT", "/api/failures/" + failure, {
            "bond_id": made, "found_day": "2024-03-02", "mode": "burnt"}, 201)
        self.boss.must("PUT", "/api/deferrals/" + put_off, {
            "bond_id": made, "until_day": (self.today + datetime.timedelta(days=900)).isoformat(),
            "reason": "No possession", "names": program.named(self.boss, made)}, 201)
        self.boss.must("PUT", "/api/attachments/" + fixed, {
            "bond_id": made, "end": "a", "made_day": "2024-03-03", "method": "bolted"}, 201)
        entries = (("inspection", visit), ("failure", failure), ("deferral", put_off),
                   ("attachment", fixed))
        for entry, uuid in entries:
            self.boss.must("PUT", "/api/withdrawals/" + new_id(), {
                "entry": entry, "entry_id": uuid, "reason": "It is another bond"}, 201)
        self.boss.must("PUT", "/api/withdrawals/" + new_id(), {
            "entry": "bond", "entry_number": made, "reason": "It stands on no drawing"}, 201)
        for entry, uuid in entries:
            row = self.crew.must("GET", "/api/%ss/%s" % (entry, uuid)).json
            self.assertEqual((row["uuid"], row["bond_id"]), (uuid, made))
        row = self.crew.must("GET", "/api/inspections/" + visit).json
        self.assertEqual((row["label"], row["line"], len(row["reading_rows"])), ("GONE", "VAL", 1))
        since = self.crew.rows("recorded-since", "bond=%d" % made)
        self.assertTrue({uuid for _, uuid in entries} <= {r["uuid"] for r in since})
        self.assertEqual(self.crew.rows("inspections", "bond=%d" % made), [])

    def test_a_wrong_map_is_taken_back_and_the_one_before_it_holds_again(self):
        self.boss.must("POST", "/api/lines", {"code": "MAPS", "name": "Mapped",
                       "notation": "km_m"}, 201)
        for end_m in (1500, 2500):
            self.boss.must("POST", "/api/maps", {"line": "MAPS", "stretches": [
                {"distance_m": 0, "start_m": 0, "end_m": end_m}]}, 201)
        ask = lambda: [m for m in self.crew.rows("maps") if m["line"] == "MAPS"]
        self.assertEqual([(m["in_force"], m["withdrawn"]) for m in ask()],
                         [(True, False), (False, False)])
        back = {"entry": "map", "entry_number": ask()[0]["id"], "reason": "Of another line"}
        self.assertEqual(self.crew.ask("PUT", "/api/withdrawals/" + new_id(), back).status, 403)
        self.boss.must("PUT", "/api/withdrawals/" + new_id(), back, 201)
        self.assertEqual([(m["in_force"], m["withdrawn"], m["withdrawn_why"]) for m in ask()],
                         [(False, True, "Of another line"), (True, False, None)])

    def test_a_wrong_calibration_is_taken_back_by_an_engineer_and_stays_readable(self):
        self.boss.must("POST", "/api/instruments", {"serial": "M-77", "name": "Microhmmeter",
                       "calibrated_day": "2024-02-01", "calibration_due_day": "2025-02-01",
                       "uncertainty_percent": 1, "uncertainty_uohm": 0.5}, 201)
        made = [c for c in self.boss.rows("calibrations") if c["instrument"] == "M-77"][0]
        self.assertFalse(made["withdrawn"])
        back = {"entry": "calibration", "entry_number": made["id"], "reason": "Of another meter"}
        crew = self.crew.ask("PUT", "/api/withdrawals/" + new_id(), back)
        self.assertEqual((crew.status, crew.fields()), (403, ["entry"]), crew)
        self.boss.must("PUT", "/api/withdrawals/" + new_id(), back, 201)
        again = self.boss.ask("PUT", "/api/withdrawals/" + new_id(), back)
        self.assertEqual((again.status, again.fields()), (409, ["entry_number"]), again)
        row = [c for c in self.boss.rows("calibrations") if c["instrument"] == "M-77"][0]
        self.assertEqual((row["withdrawn"], row["withdrawn_why"]), (True, "Of another meter"))
        self.assertTrue(row["withdrawn_by"])
        said = self.boss.rows("withdrawals", "number=%d" % made["id"])
        self.assertEqual([(w["entry"], w["entry_number"], w["what"]) for w in said],
                         [("calibration", made["id"], "M-77")])
        meter = [m for m in self.boss.rows("instruments") if m["serial"] == "M-77"][0]
        self.assertIsNone(meter["calibrated_day"])

    def test_an_attachment_with_its_checks(self):
        self.boss.must("POST", "/api/kits", {"code": "K7", "name": "Kit seven"})
        body = {"bond_id": self.bonds[4], "end": "b", "made_day": "2025-05-05",
                "method": "brazed_pin", "kit": "K7", "batch": "P-88", "ground_bright": True,
                "hammer_passed": True, "stub_mm": 3}
        uuid, _ = self.sent("attachments", body, {**body, "batch": "P-89"})
        row = self.row("attachments", "", uuid=uuid)
        self.assertEqual((row["end"], row["method"]), ("b", "brazed_pin"))

    def test_two_crews_results_of_one_bond_are_both_kept(self):
        five = self.bonds[5]
        for crew in (self.crew, self.boss):
            crew.must("PUT", f"/api/inspections/{new_id()}", inspection(five, "2026-04-01"), 201)
        self.assertEqual(len(self.crew.rows("inspections", f"bond={five}")), 2)

    # ---- lists

    def test_pages_followed_to_the_end_give_every_row_once_in_every_order(self):
        description = self.crew.get("/api").json["paths"]
        for sort in ("due", "place"):
            path, seen, pages = f"/api/due?line=1&q=B0&limit=7&sort={sort}", [], 0
            while path:
                answer = self.crew.must("GET", path)
                rows, link = answer.json["rows"], answer.headers["Link"]
                self.assertLessEqual(len(rows), 7)
                seen += rows
                pages += 1
                path = link[1:link.index(">")] if link else None
                self.assertEqual(answer.json["next"] is not None, path is not None)
            self.assertEqual(pages, 18)                         # 120 = 17 x 7 + 1
            self.assertEqual(sorted(r["bond_id"] for r in seen), sorted(self.bonds))
            keys = [(r["due_day"] if sort == "due" else r["distance_mm"], r["bond_id"])
                    for r in seen]
            self.assertEqual(keys, sorted(keys))
        self.assertIn("/api/due", description)

    def test_a_page_is_not_moved_by_what_is_added_before_it(self):
        first = self.crew.must("GET", "/api/bonds?line=1&q=B0&sort=label&limit=60").json
        self.boss.must("POST", "/api/bonds", bond("B00000", "2+999"), 201)
        later = self.crew.must("GET", "/api/bonds?line=1&q=B0&sort=label&limit=1000&after="
                               + first["next"]).json
        self.assertEqual([r["label"] for r in first["rows"] + later["rows"]],
                         [f"B{n:05}" for n in range(1, 121)])
        where = f"/api/bonds/{self.row('bonds', 'q=B00000')['id']}"
        etag = self.crew.get(where).headers["ETag"]
        self.boss.must("PUT", where, {**bond("X00000", "2+999")}, 200, {"If-Match": etag})

    def as_text(self, value):
        if value is None:
            return ""
        if isinstance(value, bool):
            return "true" if value else "false"
        return value if isinstance(value, str) else repr(value)

    def test_every_list_is_the_same_rows_as_json_and_as_csv(self):
        for name in LISTS:
            with self.subTest(list=name):
                rows = self.boss.rows(name)
                answer = self.boss.must("GET", f"/api/{name}.csv")
                self.assertTrue(answer.headers["Content-Type"].startswith("text/csv"))
                self.assertIn(f'filename="{name}.csv"', answer.headers["Content-Disposition"])
                text = answer.body.decode("utf-8-sig")
                self.assertTrue(text.endswith("\r\n"))
                cells = list(csv.DictReader(io.StringIO(text, newline="")))
                self.assertEqual(len(cells), len(rows))
                for wanted, got in zip(rows, cells):
                    self.assertEqual(list(got), list(wanted))
                    for column, value in wanted.items():
                        if isinstance(value, float):
                            self.assertEqual(float(got[column]), value, column)
                        elif value != FORMULA:
                            self.assertEqual(got[column], self.as_text(value), column)

    def test_a_text_that_a_spreadsheet_would_run_is_only_text_there(self):
        self.boss.must("POST", "/api/kits", {"code": "K9", "name": FORMULA}, 201)
        self.assertEqual(self.row("kits", "", code="K9")["name"], FORMULA)
        text = self.boss.must("GET", "/api/kits.csv").body.decode("utf-8-sig")
        row = [r for r in csv.DictReader(io.StringIO(text, newline="")) if r["code"] == "K9"]
        self.assertEqual(row[0]["name"], "'" + FORMULA)

    # ---- addresses and methods

    def test_a_known_address_with_another_method_tells_which_it_takes(self):
        for method, path, allowed in (
                ("DELETE", "/api/bonds/1", {"GET", "HEAD", "PUT"}),
                ("PUT", "/api/due", {"GET", "HEAD"}),
                ("GET", "/api/imports/wrong-rows", {"POST"}),
                ("POST", "/api/bonds/1", {"GET", "HEAD", "PUT"})):
            answer = self.boss.ask(method, path, {} if method != "GET" else None)
            self.assertEqual((answer.status, answer.json["type"]), (405, "/problems/method"))
            self.assertEqual(set(answer.headers["Allow"].split(", ")), allowed | {"OPTIONS"})
        for path in ("/api/nothing", "/api/due/", "/api/bonds/1/2", "/api/bonds/x", "/api/bonds/0",
                     "/api/bonds/-1", "/api/bonds/99999999999999999999", "/nothing.html"):
            answer = self.boss.get(path)
            self.assertEqual(answer.status, 404, path)
        self.assertEqual(self.boss.ask("FROB", "/api/due").status, 501)

    def test_head_has_the_headers_of_get_and_no_body(self):
        for path in ("/api/due", f"/api/bonds/{self.bonds[0]}", "/api", "/livez"):
            got, head = self.crew.get(path), self.crew.ask("HEAD", path)
            self.assertEqual((head.status, head.body), (200, b""))
            for name in ("Content-Type", "ETag", "Content-Length", "Link"):
                self.assertEqual(head.headers[name], got.headers[name], (path, name))

    def test_a_gzipped_answer_is_the_same(self):
        import gzip
        plain = self.crew.get("/api/bonds?limit=100")
        packed = self.crew.get("/api/bonds?limit=100", Accept_Encoding="gzip")
        self.assertEqual(packed.headers["Content-Encoding"], "gzip")
        self.assertEqual(gzip.decompress(packed.body), plain.body)
        self.assertLess(len(packed.body), len(plain.body) // 3)

    def test_a_renewal_of_a_rail_names_every_bond_that_needs_an_answer(self):
        one = self.boss.must("POST", "/api/bonds", bond("W1", "60+000")).json["id"]
        two = self.boss.must("POST", "/api/bonds", bond("W2", "60+050")).json["id"]
        body = {"line": "VAL", "track": "Up", "rails": "left", "from": "60+000", "to": "60+100",
                "day": "2026-03-01", "person": "Track gang 4", "reason": "Worn"}
        uuid = new_id()
        with self.subTest("a crew may not"):
            crew = program.Client(self.server, "crew")
            self.assertEqual(crew.ask("PUT", "/api/renewals/" + uuid, body).status, 403)
            crew.close()
        told = self.boss.must("PUT", "/api/renewals/" + uuid, body, 201).json
        self.assertEqual(told["open"], 4)
        self.assertEqual(told["ends"][0], {
            "bond_id": one, "label": "W1", "kind": "rail_joint", "end": "a", "chainage": "60+000",
            "answer": "none", "answer_day": None, "is_open": True})
        again = self.boss.ask("PUT", "/api/renewals/" + uuid, body)
        self.assertEqual((again.status, again.json["already"]), (200, True))
        for end in "ab":
            self.boss.must("PUT", "/api/attachments/" + new_id(), {
                "bond_id": two, "end": end, "made_day": "2026-03-01", "method": "bolted"})
        kept = self.boss.get("/api/renewals/" + uuid).json
        self.assertEqual((kept["uuid"], kept["track"], kept["person"], kept["open"]),
                         (uuid, "Up", "Track gang 4", 2))
        self.assertEqual([(e["label"], e["end"], e["answer"], e["answer_day"])
                          for e in kept["ends"]],
                         [("W1", "a", "none", None), ("W1", "b", "none", None),
                          ("W2", "a", "attached", "2026-03-01"), ("W2", "b", "attached", "2026-03-01")])
        row = [r for r in self.boss.rows("renewals") if r["uuid"] == uuid][0]
        self.assertEqual((row["taken_off"], row["without_answer"]), (4, 2))
        self.assertEqual(self.boss.ask("GET", "/api/renewals/" + new_id()).status, 404)


if __name__ == "__main__":
    unittest.main(verbosity=2)

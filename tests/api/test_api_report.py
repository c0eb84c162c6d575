"""The report of a day and a set of lines: figures by hand, and each figure is the number of rows of
the list that stands beside it."""
import datetime
import unittest

import program
from program import bond

PAST = "2024-06-30"


def from_today(days):
    return (datetime.date.today() + datetime.timedelta(days)).isoformat()


def reading(quantity="contact_a", **more):
    """5 µΩ: well within what a contact may have, so that the calendar alone decides."""
    return program.reading(quantity, **more)


def inspection(bond_id, day):
    return program.inspection(bond_id, day, readings=[reading(), reading("contact_b")])


class Report(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        must = cls.boss.must
        program.railway(cls.boss)
        must("POST", "/api/lines", {"code": "K&M", "name": "Kiln & mill", "notation": "km_m"})
        must("POST", "/api/lines", {"code": "NEW", "name": "New line", "notation": "km_m"})
        must("POST", "/api/tracks", {"line": "K&M", "name": "Up"})
        cls.ids = {}
        # rail joint bonds, normal: every 12 months, 14 days of grace (rules/rulebook.h)
        for body in (bond("A", "1+000"), bond("B", "1+100", criticality="high"),
                     bond("C", "1+200"),
                     {"line": "VAL", "label": "D", "kind": "rail_joint", "a_chainage": "1+300"},
                     {"line": "VAL", "label": "H", "kind": "rail_joint", "a_chainage": "1+500",
                      "surveyed": False},
                     bond("E", "1+400", status="removed", removed_day="2024-07-01"),
                     bond("F", "1+000", installed_day=PAST),
                     bond("G", "2+000", line="K&M", kind="feeder_lead", conductor_class=2)):
            cls.ids[body["label"]] = must("POST", "/api/bonds", body).json["id"]
        leads = reading("contact_b", method="two_wire", lead_uohm=50)   # below ten times its leads
        # a feeder lead is proved from end to end too: 0.6 m of 193 µΩ/m (IEC 60228) and 10 µΩ
        lead = {"readings": [reading("end_to_end", forward_uv=1258, reverse_uv=-1258), reading(),
                             reading("contact_b")]}
        for label, day, more in (
                ("A", "2021-03-31", {}), ("A", "2022-04-14", {}), ("A", "2023-04-29", {}),
                ("B", "2021-03-31", {"outcome": "partly", "readings": [
                    reading(forward_uv=1e6, reverse_uv=-1.1e6)]}),
                ("B", "2022-04-14", {"outcome": "partly", "readings": [reading(), leads]}),
                ("B", "2023-04-29", {"outcome": "partly", "readings": [reading()]}),
                ("A", "2024-01-15", {"outcome": "not_reached", "readings": []}),
                ("C", "2023-04-30", {"purpose": "commissioning"}),
                ("C", "2023-05-01", {}),
                ("G", "2023-12-31", lead), ("G", "2024-07-14", lead), ("G", "2025-01-29", lead)):
            must("PUT", f"/api/inspections/{program.new_id()}",
                 {**inspection(cls.ids[label], day), **more})
        must("PUT", f"/api/deferrals/{program.new_id()}",
             {"bond_id": cls.ids["C"], "until_day": from_today(30), "reason": "No possession."})
        for day in ("2022-01-01", "2023-01-01"):
            must("PUT", f"/api/failures/{program.new_id()}",
                 {"bond_id": cls.ids["B"], "found_day": day, "mode": "corroded"})

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def report(self, query=""):
        return self.boss.must("GET", f"/api/report?{query}").json

    def count(self, address):
        """Rows of a list as its address stands in the report."""
        name, _, query = address.removeprefix("/api/").partition("?")
        return len(self.boss.rows(name, query))

    def groups(self, report):
        return {(g["line"], g["criticality"]): g for g in report["overdue"]["groups"]}

    def test_a_past_day_is_told_as_it_was(self):
        got = self.report(f"day={PAST}&lines=VAL")
        groups = self.groups(got)
        normal, high = groups["VAL", "normal"], groups["VAL", "high"]
        # A due 2024-04-29, 62 days over; C due 2024-05-01, 60; E due 2021-03-31, 1187; F later
        self.assertEqual((normal["bonds"], normal["overdue"], normal["deferred"]), (4, 3, 0))
        self.assertEqual(normal["inspections"], {"overdue": 3, "by_band": [0, 2, 0, 1],
                         "oldest_due_day": "2021-03-31", "deferred": 0})
        self.assertEqual(normal["mendings"]["overdue"], 0)
        # B, high: every 6 months, installed 2020-03-31; its failures are not made good: due after
        # half of that. Over since 2021-03-31, to be mended within 14 days: 2021-04-14
        self.assertEqual((high["bonds"], high["overdue"]), (1, 1))
        for what, day in (("inspections", "2020-06-30"), ("mendings", "2021-04-14")):
            self.assertEqual((high[what]["by_band"], high[what]["oldest_due_day"]),
                             ([0, 0, 0, 1], day))
        self.assertEqual(len(groups), 2)
        rows = {r["label"]: r for r in self.boss.rows("bond-states", f"day={PAST}&lines=VAL")}
        self.assertEqual({label: (r["state"], r["days_over"]) for label, r in rows.items()},
                         {"A": ("overdue", 62), "B": ("overdue", 1461), "C": ("overdue", 60),
                          "E": ("overdue", 1187), "F": ("later", -365)})

    def test_months_count_what_was_on_time(self):
        got = self.report("day=2023-05-15&lines=VAL")["on_time"]["months"]
        self.assertEqual((len(got), got[0]["from"], got[-1]["from"], got[-1]["to"]),
                         (24, "2021-06-01", "2023-05-01", "2023-05-15"))
        told = {m["from"]: (m["on_time"], m["late"], m["not_judged"]) for m in got
                if m["on_time"] + m["late"] + m["not_judged"]}
        # 2022-04-14 is the last day of grace; 2023-04-29 is one day after it (due 2023-04-14)
        self.assertEqual(told, {"2022-04-01": (1, 0, 0), "2023-04-01": (0, 1, 1),
                                "2023-05-01": (1, 0, 0)})
        late = self.boss.rows("timeliness", "from=2021-06-01&to=2023-05-15&lines=VAL&timely=late")
        self.assertEqual([(r["label"], r["day"], r["before_day"], r["due_day"], r["last_day"],
                           r["days_over"]) for r in late],
                         [("A", "2023-04-29", "2022-04-14", "2023-04-14", "2023-04-28", 15)])

    def test_months_count_what_is_still_not_done(self):
        got = self.report(f"day={PAST}&lines=VAL")
        # grace ended on 2024-05-13 for A and 2024-05-15 for C; B's and E's two years before
        told = {m["from"]: m["not_done"] for m in got["on_time"]["months"] if m["not_done"]}
        self.assertEqual(told, {"2024-05-01": 2})
        rows = self.boss.rows("bond-states", f"day={PAST}&lines=VAL&state=overdue"
                              "&last_from=2024-05-14&last_to=2024-05-15")
        self.assertEqual([(r["label"], r["last_day"]) for r in rows], [("C", "2024-05-15")])
        self.assertEqual((got["rulebook"], got["rulebook_from"]), (1, "1900-01-01"))

    def test_a_feeder_lead_is_judged_by_its_own_interval(self):
        rows = self.boss.rows("timeliness", "from=2023-01-01&to=2025-12-31&lines=K%26M")
        # every 6 months: due 2024-06-30 and 2025-01-14; one day before and one after the grace ends
        self.assertEqual([(r["day"], r["timely"], r["due_day"]) for r in rows],
                         [("2023-12-31", "late", "2020-09-30"), ("2024-07-14", "on_time",
                          "2024-06-30"), ("2025-01-29", "late", "2025-01-14")])

    def test_today_is_what_the_due_list_says(self):
        due = {r["label"]: (r["state"], r["due_day"], r["days_over"], r["deferred_to_day"])
               for r in self.boss.rows("due")}
        told = {r["label"]: (r["state"], r["due_day"], r["days_over"], r["deferred_to_day"])
                for r in self.boss.rows("bond-states")}
        self.assertEqual(told, due)
        self.assertEqual(told["C"][0], "deferred")
        totals = self.boss.get("/api/due?limit=1").json["totals"]
        groups = self.report()["overdue"]["groups"]
        for state in ("overdue", "deferred"):
            self.assertEqual(sum(g[state] for g in groups), totals[state], state)
            for what in ("inspections", "mendings"):
                self.assertEqual(sum(g[what][state] for g in groups), totals[f"{what}_{state}"])
        for what in ("inspection", "mending"):
            shown = [{(r["label"], r["what"], r["state"], r["due_day"], r["days_over"],
                       r["inspect_day"], r["mend_day"], r["basis"], r["deferred_to_day"], r["asked"])
                      for r in self.boss.rows(name, f"what={what}")} for name in ("due", "bond-states")]
            self.assertEqual(shown[0], shown[1])
            self.assertEqual({row[1] for row in shown[0]}, {what})

    def test_a_filter_leaves_the_rows_that_it_fits_today_and_on_a_past_day(self):
        for base in (f"day={from_today(0)}", f"day={PAST}", "what=inspection", "what=mending"):
            whole = self.boss.rows("bond-states", base)
            found = [(f"{name}={word}", [r for r in whole if r[name] == word])
                     for name, words in {
                         "state": ("not_due", "later", "soon", "due", "overdue", "deferred"),
                         "kind": ("rail_joint", "feeder_lead", "track_cross"),
                         "criticality": ("normal", "high", "safety")}.items() for word in words]
            found += [("asked=yes", [r for r in whole if r["asked"] > 0]),
                      ("asked=no", [r for r in whole if r["asked"] == 0])]
            for over in sorted({r["days_over"] for r in whole}):
                found += [(f"over_from={over}&over_to={over}",
                           [r for r in whole if r["days_over"] == over]),
                          (f"over_from={over}", [r for r in whole if r["days_over"] >= over]),
                          (f"over_to={over}", [r for r in whole if r["days_over"] <= over])]
            for last in sorted({r["last_day"] for r in whole if r["last_day"]}):
                found += [(f"last_from={last}", [r for r in whole if (r["last_day"] or "") >= last]),
                          (f"last_to={last}", [r for r in whole if (r["last_day"] or "") <= last])]
            self.assertTrue(whole)
            for query, rows in found:
                with self.subTest(base=base, query=query):
                    self.assertEqual(self.boss.rows("bond-states", f"{base}&{query}"), rows)

    def test_inspections_and_mendings_are_counted_apart_and_listed_together(self):
        # B has failed, its mending is late since 2021-04-14, and its inspection since before that
        rows = {r["label"]: r for r in self.boss.rows("due", "sort=worst")}
        mended = {r["label"]: r for r in self.boss.rows("due", "what=mending")}
        self.assertEqual(list(mended), ["B"])
        self.assertEqual((rows["B"]["what"], rows["B"]["due_day"], rows["B"]["inspect_day"],
                          rows["B"]["mend_day"]),
                         ("inspection", "2020-06-30", "2020-06-30", "2021-04-14"))
        self.assertEqual((mended["B"]["due_day"], mended["B"]["state"], mended["B"]["basis"]),
                         ("2021-04-14", "overdue", "act"))
        totals = self.boss.get("/api/due?limit=1&what=mending").json["totals"]
        self.assertEqual((totals["overdue"], totals["mendings_overdue"]), (1, 1))
        self.assertEqual(totals["inspections_overdue"],
                         len(self.boss.rows("due", "what=inspection&state=overdue")))
        due = self.boss.get(f"/api/bonds/{self.ids['B']}").json["due"]
        self.assertEqual((due["what"], due["inspect_day"], due["mend_day"]),
                         ("inspection", "2020-06-30", "2021-04-14"))
        # B is criticality high, and act: the worst of what is due
        self.assertEqual(list(rows)[0], "B")

    def test_every_figure_is_the_length_of_its_list(self):
        for query in ("", "lines=VAL", "lines=VAL,K%26M", f"day={PAST}", "lines=NEW"):
            got = self.report(query)
            bands = got["overdue"]["bands"]
            for m in got["on_time"]["months"]:
                for timely in ("on_time", "late", "not_judged", "deferred"):
                    self.assertEqual(self.count(f"{m['list']}&timely={timely}"), m[timely])
                self.assertEqual(self.count(m["not_done_list"]), m["not_done"])
            for g in got["overdue"]["groups"]:
                self.assertEqual(self.count(g["list"]), g["bonds"])
                self.assertEqual(self.count(g["list"] + "&state=deferred"), g["deferred"])
                self.assertEqual(self.count(g["list"] + "&state=overdue"), g["overdue"])
                for what in ("inspection", "mending"):
                    for state in ("overdue", "deferred"):
                        self.assertEqual(self.count(f"{g['list']}&what={what}&state={state}"),
                                         g[what + "s"][state])
                    for band, figure in zip(bands, g[what + "s"]["by_band"]):
                        most = band["to_days"] or 10 ** 6
                        self.assertEqual(self.count(
                            f"{g['list']}&what={what}&state=overdue&over_from="
                            f"{band['from_days']}&over_to={most}"), figure)
            self.assertEqual(self.count(got["overdue"]["list"]),
                             sum(g["bonds"] for g in got["overdue"]["groups"]))
            self.assertEqual(self.count(got["asked"]["list"]), got["asked"]["bonds"])
            self.assertEqual(self.count(got["better_by_correction"]["list"]),
                             got["better_by_correction"]["count"])
            self.assertEqual(self.count(got["repeat_places"]["list"]),
                             len(got["repeat_places"]["rows"]))
            self.assertEqual(got["repeat_places"]["count"], len(got["repeat_places"]["rows"]))
            for row in got["unsurveyed"]["rows"]:
                self.assertEqual(self.count(row["list"]), row["bonds"])
            for row in got["odd"]["rows"]:
                self.assertEqual(self.count(row["list"]), row["count"])
            self.assertEqual(self.count(got["odd"]["list"]),
                             sum(row["count"] for row in got["odd"]["rows"]))

    def test_what_looks_wrong_is_found_and_nothing_else(self):
        rows = self.boss.rows("odd-data")
        self.assertEqual([(r["what"], r["label"], r["day"]) for r in rows],
                         [("ends_alike", "G", None), ("no_rail", "D", None), ("same_place", "A", None),
                          ("reading_far_off", "B", "2021-03-31"),
                          ("reading_no_evidence", "B", "2022-04-14"),
                          ("no_installation_day", "D", None), ("ends_alike", "A", None),
                          ("ends_alike", "F", None), ("ends_alike", "B", None),
                          ("ends_alike", "C", None), ("ends_alike", "D", None)])
        says = {r["what"]: r["says"] for r in rows}
        self.assertIn("Both ends: on a rail", says["no_rail"])
        self.assertIn("F, of the same kind", says["same_place"])
        # (1000000 + 1100000) / 2 / 10 A; the others are 5
        self.assertEqual(says["reading_far_off"], "Reading of contact at end A, not told apart: "
                         "105000 µΩ at 20 °C; the median of 3 is 5.0 µΩ.")
        self.assertEqual([r["what"] for r in self.boss.rows("odd-data", "what=reading_no_evidence")],
                         ["reading_no_evidence"])

    def test_the_rest_of_the_figures(self):
        got = self.report("lines=VAL")
        self.assertEqual([(p["count"], p["line"]) for p in got["repeat_places"]["rows"]],
                         [(2, "VAL")])
        self.assertEqual([(r["line"], r["bonds"]) for r in got["unsurveyed"]["rows"]],
                         [("VAL", 1)])
        self.assertEqual([line["code"] for line in self.report()["lines"]], ["K&M", "NEW", "VAL"])
        self.assertEqual(self.report("lines=NEW")["overdue"]["groups"], [])

    def test_a_report_can_be_followed_by_an_id_and_a_wrong_id_is_refused(self):
        got = self.report(f"day={PAST}&lines=VAL&progress={program.new_id()}")
        self.assertEqual(got, self.report(f"day={PAST}&lines=VAL"))
        answer = self.boss.get("/api/report?progress=soon")
        self.assertEqual((answer.status, answer.fields()), (422, ["progress"]))

    def test_a_wrong_question_is_told(self):
        for query, field in ((f"day={from_today(1)}", "day"), ("day=2026-02-30", "day"),
                             ("lines=VAL,NONE", "lines"), ("lines=,", "lines"), ("line=1", "line")):
            answer = self.boss.get(f"/api/report?{query}")
            self.assertEqual((answer.status, answer.fields()), (422, [field]), query)
        for name in ("bond-states", "timeliness", "odd-data"):
            answer = self.boss.get(f"/api/{name}?lines=NONE")
            self.assertEqual((answer.status, answer.fields()), (422, ["lines"]), name)
        self.assertEqual(self.boss.get(f"/api/bond-states?day={from_today(1)}").status, 422)

    def test_everybody_who_may_read_may_have_it(self):
        viewer = program.Client(self.server, "viewer")
        self.assertEqual(viewer.get("/api/report").status, 200)
        viewer.close()
        stranger = program.Client(self.server)
        self.assertEqual(stranger.get("/api/report").status, 401)
        stranger.close()


class Waiting(unittest.TestCase):
    """A correction by another than the author betters nothing until an engineer confirms it; a
    reading that can hardly be right waits for an answer."""

    def test_what_waits_is_listed_first_and_counted(self):
        register = program.Register()
        server = program.Server(register)
        boss, crew = program.Client(server, "administrator"), program.Client(server, "crew")
        program.railway(boss)
        ids, wrong = [], []
        for label in ("A", "B"):
            ids.append(boss.must("POST", "/api/bonds", bond(label, "1+000" if label == "A" else
                                                            "2+000")).json["id"])
            wrong.append(program.new_id())
            crew.must("PUT", f"/api/inspections/{wrong[-1]}", {
                **inspection(ids[-1], from_today(-3)),
                "readings": [reading(forward_uv=200, reverse_uv=-200), reading("contact_b")]})
        for client, bond_id, uuid in ((boss, ids[0], wrong[0]), (crew, ids[1], wrong[1])):
            client.must("PUT", f"/api/inspections/{program.new_id()}", {
                **inspection(bond_id, from_today(-3)), "corrects": uuid,
                "reason": "The point of the figure was in the wrong place."})
        odd = boss.must("POST", "/api/bonds", bond("C", "3+000")).json["id"]
        boss.must("PUT", f"/api/inspections/{program.new_id()}", {   # 500 µΩ, over 3 times 13
            **inspection(odd, from_today(-3)),
            "readings": [reading(forward_uv=5000, reverse_uv=-5000), reading("contact_b")]})
        report = boss.must("GET", "/api/report").json
        self.assertEqual(report["asked"]["bonds"], 1)
        self.assertEqual(boss.get("/api/due?limit=1").json["totals"]["asked"], 1)
        self.assertEqual([(r["label"], r["asked"]) for r in boss.rows("due", "asked=yes")], [("C", 1)])
        got = report["better_by_correction"]
        self.assertEqual((got["count"], got["waiting"]), (2, 1))
        self.assertEqual([(r["label"], r["waits"], r["grade_before"]) for r in got["rows"]],
                         [("A", True, "act"), ("B", False, "act")])
        self.assertEqual(boss.get(f"/api/bonds/{ids[0]}").json["grade"]["grade"], "act")
        self.assertEqual(boss.get(f"/api/bonds/{ids[1]}").json["grade"]["grade"], "sound")
        self.assertEqual([r["label"] for r in boss.rows("better-by-correction", "waits=yes")], ["A"])
        totals = boss.get("/api/better-by-correction?limit=1").json["totals"]
        self.assertEqual(totals, {"waiting": 1, "counting": 1})
        boss.close()
        crew.close()
        self.assertEqual(server.stop(), 0)
        register.remove()


if __name__ == "__main__":
    unittest.main()

"""A shift that ends after midnight is dated by its own day, and a tablet's clock may be wrong."""
import datetime
import unittest
import zoneinfo

import program
from program import bond, inspection, new_id

ZONE = "Europe/Vilnius"


def ahead(days):
    today = datetime.datetime.now(zoneinfo.ZoneInfo(ZONE)).date()
    return (today + datetime.timedelta(days=days)).isoformat()


class NightShift(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register, env={"TZ": ZONE})
        cls.boss = program.Client(cls.server, "administrator")
        cls.boss.must("PUT", "/api/register/zone", {"zone": ZONE,
                                                     "reason": "The railway is there."})
        cls.bonds = program.railway(cls.boss, 12)

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        content = cls.register.run("check")
        cls.register.remove()
        assert code == 0, code
        assert "content" in content, content

    def bodies(self, number, days):
        """Each thing that a crew sends, dated so many days ahead: what, its member, its body."""
        failed = new_id()
        self.boss.must("PUT", f"/api/failures/{failed}",
                       {"bond_id": number, "found_day": ahead(-3), "mode": "burnt"})
        return [("inspections", "day", inspection(number, ahead(days))),
                ("attachments", "made_day", {"bond_id": number, "end": "a", "made_day": ahead(days),
                                             "method": "brazed_pin"}),
                ("failures", "found_day", {"bond_id": number, "found_day": ahead(days),
                                           "mode": "burnt"}),
                ("repairs", "day", {"failure": failed, "day": ahead(days), "how": "new lug"})]

    def row(self, what, name):
        return self.boss.get(f"/api/{what}/{name}").json

    def test_a_day_one_ahead_is_taken_and_marked_from_anywhere(self):
        for n, origin in enumerate((None, "desk", "tablet")):
            for what, _, body in self.bodies(self.bonds[n], 1):
                name = new_id()
                self.boss.must("PUT", f"/api/{what}/{name}",
                               {**body, **({"sent_from": origin} if origin else {})})
                self.assertEqual(self.row(what, name)["days_ahead"], 1, what)

    def test_today_is_not_marked(self):
        for what, _, body in self.bodies(self.bonds[3], 0):
            name = new_id()
            self.boss.must("PUT", f"/api/{what}/{name}", body)
            self.assertIsNone(self.row(what, name)["days_ahead"], what)

    def test_a_day_two_ahead_is_refused_at_the_desk_and_nothing_is_kept(self):
        for origin in (None, "desk"):
            for what, field, body in self.bodies(self.bonds[4], 2):
                name = new_id()
                answer = self.boss.ask("PUT", f"/api/{what}/{name}",
                                       {**body, **({"sent_from": origin} if origin else {})})
                self.assertEqual((answer.status, answer.fields()), (422, [field]), answer)
                self.assertIn("more than one day after today", answer.json["errors"][0]["detail"])
                self.assertEqual(self.boss.get(f"/api/{what}/{name}").status, 404)

    def test_what_a_tablet_kept_is_taken_and_marked_however_far_ahead(self):
        for days in (2, 400):
            for what, _, body in self.bodies(self.bonds[5], days):
                name = new_id()
                self.boss.must("PUT", f"/api/{what}/{name}", {**body, "sent_from": "tablet"})
                self.assertEqual(self.row(what, name)["days_ahead"], days, what)

    def test_sent_again_from_elsewhere_it_is_the_same(self):
        name = new_id()
        body = inspection(self.bonds[6], ahead(0))
        self.boss.must("PUT", f"/api/inspections/{name}", body, 201)
        for origin in ("tablet", "desk"):
            again = self.boss.must("PUT", f"/api/inspections/{name}",
                                   {**body, "sent_from": origin}, 200)
            self.assertTrue(again.json["already"])

    def test_a_failure_found_by_a_tablets_visit_comes_with_it(self):
        name, failure = new_id(), new_id()
        body = inspection(self.bonds[7], ahead(40), sent_from="tablet",
                          failure={"uuid": failure, "mode": "burnt"})
        self.boss.must("PUT", f"/api/inspections/{name}", body)
        self.assertEqual(self.row("failures", failure)["days_ahead"], 40)
        # the day was slipped: corrected at the desk, nothing is ahead any more
        right = new_id()
        self.boss.must("PUT", f"/api/inspections/{right}",
                       {**body, "day": ahead(0), "corrects": name, "sent_from": "desk"})
        self.assertIsNone(self.row("inspections", right)["days_ahead"])
        live = [f for f in self.boss.rows("failures", f"bond={self.bonds[7]}") if not f["replaced"]]
        self.assertEqual([f["days_ahead"] for f in live], [None])

    def test_what_made_it_good_far_ahead_goes_along_with_a_correction_at_the_desk(self):
        failure, right = new_id(), new_id()
        body = {"bond_id": self.bonds[8], "found_day": ahead(0), "mode": "burnt"}
        self.boss.must("PUT", f"/api/failures/{failure}", body)
        self.boss.must("PUT", f"/api/repairs/{new_id()}", {"failure": failure, "day": ahead(40),
                       "how": "new lug", "sent_from": "tablet"})
        self.boss.must("PUT", f"/api/failures/{right}", {**body, "mode": "corroded",
                                                         "corrects": failure})
        self.assertEqual(self.row("failures", right)["made_good_days_ahead"], 40)

    def test_a_bond_is_not_installed_tomorrow(self):
        answer = self.boss.ask("POST", "/api/bonds", bond("N1", "5+000", installed_day=ahead(1)))
        self.assertEqual((answer.status, answer.fields()), (422, ["installed_day"]), answer)


if __name__ == "__main__":
    unittest.main(verbosity=2)

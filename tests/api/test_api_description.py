"""The API description: valid, whole, and true of what the program answers.

The check against JSON Schema (2020-12, which OpenAPI 3.1 uses) is by python3-jsonschema.
"""
import datetime
import hashlib
import os
import re
import unittest

import jsonschema

import program
from program import bond, inspection, new_id, reading

# what every route of the register must be found under, written down here on purpose
PATHS = """/api /livez /readyz /metrics /api/backup /api/words /api/session /api/lines
    /api/lines/{id}
    /api/tracks /api/tracks/{id}/map /api/maps /api/bonds /api/bonds/{id} /api/bonds/{id}/rail /api/bonds/{id}/code
    /api/due
    /api/inspections /api/inspections/{uuid} /api/readings /api/failures /api/failures/{uuid}
    /api/repairs /api/repairs/{uuid} /api/deferrals /api/deferrals/{uuid} /api/attachments
    /api/attachments/{uuid} /api/used-spots /api/renewals /api/renewals/{uuid} /api/repeat-places /api/repeat-places/{id} /api/instruments /api/kits
    /api/kit-checks /api/kit-checks/{uuid} /api/kit-services /api/competences /api/rounds
    /api/rounds/{uuid} /api/rounds/{uuid}/tablet /api/round-bonds /api/round-steps
    /api/round-steps/{uuid} /api/round-people /api/round-minutes /api/bridges /api/bridges/{uuid}
    /api/bridges-off/{uuid} /api/photos /api/photos/{uuid} /api/photos/{uuid}/picture
    /api/photos/{uuid}/small /api/photo-files/{sha256}
    /api/found-bonds /api/found-bonds/{uuid} /api/found-answers/{uuid}
    /api/people /api/people/{id} /api/rulebook /api/rulebooks""".split()


PICTURE = os.path.join(os.path.dirname(__file__), "../fuzz/corpus/picture/canvas-opaque.png")

# what a list is not given without
NEEDED = {"/api/recorded-since": "?bond=1"}


class Description(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.paths = cls.boss.must("GET", "/api").json["paths"]
        cls.whole = cls.boss.get("/api").json
        one = program.railway(cls.boss, 5)[0]
        must = cls.boss.must
        must("POST", "/api/instruments", {"serial": "M1", "name": "Meter", "calibrated_day":
             "2026-01-01", "calibration_due_day": "2027-01-01", "uncertainty_percent": 0.5,
             "uncertainty_uohm": 1})
        must("POST", "/api/kits", {"code": "K", "name": "Kit"})
        must("POST", "/api/tokens", {"name": "Screen", "scope": "read", "ends_day":
             str(datetime.date.today())})
        must("POST", "/api/lines", {"code": "MAP", "name": "Mapped", "notation": "km_m"})
        must("POST", "/api/maps", {"line": "MAP", "stretches": [
             {"distance_m": 0, "start_m": 0, "end_m": 1500}]})
        must("PUT", "/api/kit-checks/" + new_id(), {"kit": "K", "checked_day": "2026-01-01",
             "note": "Dry", **dict.fromkeys(("battery", "leads", "gun", "clamp", "pins",
                                             "eye_shields"), "good")})
        must("POST", "/api/bonds", bond("ODD", "9+000", installed_day=None))   # looks wrong
        for day in ("2025-01-01", "2026-01-01"):
            failure = new_id()
            must("PUT", "/api/inspections/" + new_id(), inspection(one, day, note="ok", readings=[
                reading(instrument="M1"), reading("end_to_end", forward_uv=12345.678)],
                failure={"uuid": failure, "mode": "burnt", "end": "b", "cause": "Arc"}))
        must("PUT", "/api/repairs/" + new_id(), {"failure": failure, "day": "2026-01-02",
             "how": "Brazed"})
        must("PUT", "/api/deferrals/" + new_id(), {"bond_id": one, "until_day": "2099-01-01",
             "reason": "Closed", "names": program.named(cls.boss, one)})
        must("PUT", "/api/rulings/" + new_id(), {"kind": "clears_over", "bond_id": one,
             "quantity": "contact_a", "reason": "Read with a wet clip"})
        wrong = new_id()
        for more in ({}, {"corrects": wrong, "mode": "missing", "bond_id": one, "reason": "Other"}):
            must("PUT", f"/api/failures/{new_id() if more else wrong}", {
                "bond_id": one + 1, "found_day": "2026-01-03", "mode": "burnt", **more})
        made = new_id()
        must("PUT", "/api/inspections/" + made, inspection(one + 1, "2024-05-05"))
        must("PUT", "/api/withdrawals/" + new_id(), {"entry": "inspection", "entry_id": made,
             "reason": "Another bond"})
        book = must("GET", "/api/rulebook").json["rulebook"]
        must("POST", "/api/rulebooks", {"reason": "Ours", "rulebook": {**book,
             "from_day": "2099-01-01"}})
        must("PUT", "/api/attachments/" + new_id(), {"bond_id": one, "end": "a", "made_day":
             "2026-01-02", "method": "direct_braze", "kit": "K", "ground_bright": False})
        for offset in (0, 50):   # the second is on a spoilt spot
            must("PUT", "/api/attachments/" + new_id(), {"bond_id": one, "end": "b", "made_day":
                 "2026-01-02", "method": "bolted", "offset_mm": offset})
        must("PUT", "/api/renewals/" + new_id(), {"line": "VAL", "track": "Up", "rails": "both",
             "from": "90+000", "to": "90+100", "day": "2026-01-02", "reason": "Worn"})
        must("POST", "/api/conductors", {"material": "copper", "conductor_class": 5, "area_mm2": 55,
             "uohm_per_m": 350, "source": "Data sheet"})
        must("POST", "/api/rail-profiles", {"code": "OWN 50", "mass_kg_m": 50.1, "area_cm2": 63.9,
             "uohm_per_m": 36, "source": "Measured"})
        must("POST", "/api/rail-marks", {"bond_id": one, "end": "a", "kind": "weld",
             "offset_mm": 700, "note": "Seen"})
        cls.rounds(one)

    @classmethod
    def rounds(cls, one):
        """A round, what its crew may do and did, what a shift needs."""
        must, made = cls.boss.must, new_id()
        must("POST", "/api/kit-services", {"kit": "K", "serviced_day": "2026-01-01", "due_day":
             "2027-01-01", "note": "Cleaned"})
        must("POST", "/api/competences", {"person_id": 1, "what": "Brazing", "expires_day":
             "2027-01-01"})
        must("POST", "/api/round-minutes", {"kind": "rail_joint", "work": "mend", "minutes": 40,
             "reason": "Timed"})
        must("PUT", "/api/rounds/" + made, {"work": "inspect", "crew": "Crew 1", "persons":
             ["Jo Fern"], "shift_day": "2099-01-01", "begins": "23:00", "ends": "03:00",
             "note": "Wet", "bonds": [one]})
        must("PUT", "/api/round-steps/" + new_id(), {"round": made, "step": "withdrawn",
             "said": "No possession"})
        must("PUT", "/api/round-steps/" + new_id(), {"round": made, "step": "wish", "said": "Later",
             "kit": "K", "instrument": "M1", "possession": "J. Moor", "isolation": "J. Moor",
             "at": "2026-01-03T01:00:00Z"})
        must("PUT", "/api/inspections/" + new_id(), {"bond_id": one, "day": "2026-01-04",
             "outcome": "not_reached", "note": "A train", "round": made})
        bridge = new_id()
        must("PUT", "/api/bridges/" + bridge, {"bond_id": one, "on_day": "2026-01-03",
             "round": made, "place": "Rail to rail", "note": "Red clamp"})
        must("PUT", "/api/bridges-off/" + new_id(), {"bridge": bridge, "off_day": "2026-01-04"})
        with open(PICTURE, "rb") as file:
            picture = file.read()
        sha256 = hashlib.sha256(picture).hexdigest()
        cls.boss.must("PUT", "/api/photo-files/" + sha256, picture,
                      headers={"Content-Type": "image/png"})
        must("PUT", "/api/photos/" + new_id(), {"bond_id": one, "taken_day": "2026-01-03",
             "sha256": sha256, "small_sha256": sha256})
        found = new_id()
        must("PUT", "/api/found-bonds/" + found, {"line": "VAL", "round": made, "near_bond_id": one,
             "place": "4 m past the post", "track": "Up", "rail": "left", "kind": "structure",
             "joins": "rail to mast", "seen": "whole", "measured_uohm": 465.5,
             "measured_how": "end to end", "found_day": "2026-01-03",
             "at": "2026-01-03T01:00:00Z", "found_by": "Jo Fern", "note": "No plate"})
        must("PUT", "/api/found-answers/" + new_id(), {"found": found, "bond_id": one,
             "said": "Its plate was lost"})

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def operations(self):
        for path, methods in self.paths.items():
            for method, operation in methods.items():
                yield path, method, operation

    def test_it_is_openapi_3_1_with_what_that_requires(self):
        self.assertRegex(self.whole["openapi"], r"^3\.1\.\d+$")
        self.assertTrue(self.whole["info"]["title"] and self.whole["info"]["version"])
        for path, method, operation in self.operations():
            with self.subTest(path=path, method=method):
                self.assertTrue(path.startswith("/"))
                self.assertIn(method, ("get", "put", "post", "delete"))
                self.assertRegex(operation["summary"], r"^[A-Z].*\.$")
                self.assertTrue(operation["responses"])
                for code, response in operation["responses"].items():
                    self.assertRegex(code, r"^([1-5](XX|\d\d)|default)$")
                    self.assertTrue(response["description"])
                named = {p["name"] for p in operation["parameters"] if p["in"] == "path"}
                self.assertEqual(named, set(re.findall(r"{(\w+)}", path)))
                names = [(p["in"], p["name"]) for p in operation["parameters"]]
                self.assertEqual(len(names), len(set(names)), "a parameter twice")

    def test_every_route_is_in_it(self):
        for path in PATHS:
            self.assertIn(path, self.paths)

    def test_what_is_in_it_is_served(self):
        for path in self.paths:
            where = path.replace("{id}", "1").replace("{uuid}", new_id())
            answer = self.boss.ask("OPTIONS", where)
            allowed = answer.headers["Allow"].lower().split(", ")
            self.assertEqual(set(self.paths[path]), set(allowed) - {"head", "options"}, path)

    def schemas(self, node):
        if isinstance(node, dict):
            for key, value in node.items():
                if key in ("schema", "schemas"):
                    yield from ([value] if key == "schema" else value.values())
                yield from self.schemas(value)
        elif isinstance(node, list):
            for value in node:
                yield from self.schemas(value)

    def test_every_schema_is_one(self):
        schemas = list(self.schemas(self.whole))
        self.assertGreater(len(schemas), 50)
        for schema in schemas:
            jsonschema.Draft202012Validator.check_schema(schema)

    def closed(self, schema):
        """The same, but a member that is not described is refused."""
        if isinstance(schema, dict):
            out = {k: self.closed(v) for k, v in schema.items()}
            if "properties" in schema and "additionalProperties" not in schema:
                out["additionalProperties"] = False
                out["required"] = sorted(schema["properties"])
            return out
        return [self.closed(v) for v in schema] if isinstance(schema, list) else schema

    def test_every_list_answers_with_all_that_is_described_and_nothing_else(self):
        looked_at = 0
        for path, method, operation in self.operations():
            content = operation["responses"]["2XX"].get("content", {})
            if method != "get" or "application/json" not in content or "{" in path:
                continue
            answer = self.boss.must("GET", path + NEEDED.get(path, "")).json
            with self.subTest(path=path):
                if path not in ("/api/imports", "/api/import-mappings"):
                    self.assertGreater(len(answer.get("rows", [1])), 0, "nothing to look at")
                jsonschema.validate(answer, self.closed(content["application/json"]["schema"]),
                                    jsonschema.Draft202012Validator,
                                    format_checker=jsonschema.FormatChecker())
                looked_at += 1
        self.assertGreater(looked_at, 10)

    def test_a_problem_is_as_described(self):
        schema = self.whole["components"]["schemas"]["Problem"]
        for answer in (self.boss.get("/api/bonds/99"), self.boss.get("/api/due?limit=x"),
                       self.boss.ask("POST", "/api/bonds", {})):
            jsonschema.validate(answer.json, schema, jsonschema.Draft202012Validator)
            self.assertIn("detail", answer.json)

    def body_schema(self, path, method):
        return self.paths[path][method]["requestBody"]["content"]["application/json"]["schema"]

    def test_what_is_taken_is_what_is_described(self):
        good = (("/api/bonds", "post", bond("N1", "1+000")),
                ("/api/inspections/{uuid}", "put", inspection(1)),
                ("/api/lines", "post", {"code": "X", "name": "X", "notation": "m"}),
                ("/api/session", "post", {"login": "crew", "password": program.PASSWORD}))
        bad = (("/api/bonds", "post", {**bond("N1", "1+000"), "kind": "wire"}),
               ("/api/bonds", "post", {**bond("N1", "1+000"), "colour": "red"}),
               ("/api/bonds", "post", {**bond("N1", "1+000"), "cables": 0}),
               ("/api/inspections/{uuid}", "put", {"bond_id": 1}),
               ("/api/inspections/{uuid}", "put", inspection(1, readings=[{}])),
               ("/api/inspections/{uuid}", "put", inspection(1, readings=[reading()] * 41)))
        for bodies, right in ((good, True), (bad, False)):
            for path, method, body in bodies:
                valid = jsonschema.Draft202012Validator(self.body_schema(path, method)).is_valid(body)
                answer = self.boss.ask(method.upper(), path.replace("{uuid}", new_id()), body)
                self.assertEqual((valid, answer.status < 300), (right, right), (body, answer))

    def test_the_words_of_the_enumerations_are_told(self):
        words = self.boss.must("GET", "/api/words").json
        kinds = self.body_schema("/api/bonds", "post")["properties"]["kind"]["enum"]
        self.assertEqual([w["code"] for w in words["bond_kind"]],
                         [k for k in kinds if k is not None])
        for name, entries in words.items():
            for word in entries:
                self.assertRegex(word["code"], r"^[a-z][a-z0-9_]*$", name)
                self.assertTrue(word["title"])

    def test_the_metrics_are_in_the_text_format(self):
        answer = self.boss.must("GET", "/metrics")
        self.assertIn("version=0.0.4", answer.headers["Content-Type"])
        text = answer.body.decode()
        self.assertTrue(text.endswith("\n"))
        for line in text.splitlines():
            self.assertRegex(line, r"^(# (HELP|TYPE) \w+ .+|\w+(\{\w+=\"[^\"]*\"\})? [0-9.e+]+)$")
        self.assertRegex(text, r"(?m)^bondbook_commits_total [1-9]")

    def test_the_health_addresses_ask_for_nothing(self):
        stranger = program.Client(self.server)
        self.assertEqual(stranger.get("/livez").status, 200)
        self.assertEqual(stranger.get("/readyz").status, 200)
        self.assertEqual(stranger.get("/metrics").status, 401)
        stranger.close()


if __name__ == "__main__":
    unittest.main(verbosity=2)

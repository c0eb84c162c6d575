"""Photos: their pictures are sent first and may come in several goes, the photo names them; what is
no picture, or more than one, is refused in words; who was cut off goes on from there."""
import hashlib
import os
import socket
import subprocess
import time
import unittest
import zlib

import program
from program import inspection, new_id


def number(value, size):
    return value.to_bytes(size, "big")


def chunk(name, data):
    return number(len(data), 4) + name + data + number(zlib.crc32(name + data), 4)


def png(width, height, seed=0, more=b""):
    """A whole grey picture of its own for each seed, not packed: one byte a pixel."""
    rows = b"".join(b"\0" + hashlib.shake_128(number(seed * 10000 + y, 8)).digest(width)
                    for y in range(height))
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", number(width, 4) + number(height, 4) + b"\x08\0\0\0\0")
            + more + chunk(b"IDAT", zlib.compress(rows, 0)) + chunk(b"IEND", b""))


def sha(data):
    return hashlib.sha256(data).hexdigest()


class Photos(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.crew = program.Client(cls.server, "crew")
        cls.viewer = program.Client(cls.server, "viewer")
        cls.bonds = program.railway(cls.boss, 6)
        cls.small = png(16, 12)
        cls.file(cls.crew, cls.small)

    @classmethod
    def tearDownClass(cls):
        for client in (cls.boss, cls.crew, cls.viewer):
            client.close()
        code = cls.server.stop()
        content = cls.register.run("check")
        cls.register.remove()
        assert code == 0, code
        assert "content" in content and "photos looked at" in content, content

    @staticmethod
    def file(client, data, of=None, kind="image/png", query=""):
        return client.ask("PUT", f"/api/photo-files/{of or sha(data)}{query}", data,
                          {"Content-Type": kind})

    def photo(self, data, **more):
        return {"taken_day": "2026-03-31", "sha256": sha(data), "small_sha256": sha(self.small),
                **more}

    def put(self, body, status=201, client=None, uuid=None):
        uuid = uuid or new_id()
        return uuid, (client or self.crew).must("PUT", f"/api/photos/{uuid}", body, status)

    # ---- a photo that is right

    def test_what_was_sent_is_served_byte_for_byte_and_can_do_nothing(self):
        data = png(320, 200, seed=1)
        self.assertEqual(self.file(self.crew, data).status, 201)
        uuid, made = self.put(self.photo(data, bond_id=self.bonds[0], end="a", note="lug loose"))
        self.assertFalse(made.json["already"])
        got = self.viewer.must("GET", f"/api/photos/{uuid}/picture")
        self.assertEqual(sha(got.body), sha(data))
        self.assertEqual(got.headers["Content-Type"], "image/png")
        self.assertEqual(got.headers["X-Content-Type-Options"], "nosniff")
        self.assertIn("sandbox", got.headers["Content-Security-Policy"])
        self.assertIn("private", got.headers["Cache-Control"])
        self.assertEqual(self.viewer.must("GET", f"/api/photos/{uuid}/small").body, self.small)
        self.assertEqual(self.viewer.get(f"/api/photos/{uuid}/picture",
                                         If_None_Match=got.headers["ETag"]).status, 304)
        row = self.viewer.must("GET", f"/api/photos/{uuid}").json
        self.assertEqual((row["bond_id"], row["end"], row["width"], row["height"], row["bytes"],
                          row["note"], row["done_by"]),
                         (self.bonds[0], "a", 320, 200, len(data), "lug loose", "The crew"))
        self.assertIn(uuid, [r["uuid"] for r in self.viewer.rows("photos",
                                                                 f"bond={self.bonds[0]}")])

    def test_sent_twice_it_is_kept_once(self):
        data = png(40, 30, seed=2)
        self.assertEqual([self.file(self.crew, data).status for _ in range(2)], [201, 200])
        body = self.photo(data, bond_id=self.bonds[1])
        uuid, _ = self.put(body)
        self.assertTrue(self.put(body, 200, uuid=uuid)[1].json["already"])
        other = self.crew.ask("PUT", f"/api/photos/{uuid}", {**body, "note": "other"})
        self.assertEqual(other.status, 409)
        self.assertEqual(len(self.crew.rows("photos", f"bond={self.bonds[1]}")), 1)

    def test_a_photo_of_an_entry_is_of_its_bond(self):
        data = png(40, 30, seed=3)
        self.file(self.crew, data)
        visit, failure = new_id(), new_id()
        self.crew.must("PUT", f"/api/inspections/{visit}", inspection(self.bonds[2]))
        self.crew.must("PUT", f"/api/failures/{failure}", {"bond_id": self.bonds[3],
                       "found_day": "2026-03-31", "mode": "not_stated"})
        uuid, _ = self.put(self.photo(data, entry="inspection", entry_id=visit))
        self.assertEqual(self.crew.must("GET", f"/api/photos/{uuid}").json["bond_id"],
                         self.bonds[2])
        self.put(self.photo(data, entry="failure", entry_id=failure, bond_id=self.bonds[3]))
        self.assertEqual([r["uuid"] for r in self.crew.rows("photos", f"entry_id={visit}")], [uuid])
        wrong = self.crew.ask("PUT", f"/api/photos/{new_id()}", self.photo(
            data, entry="failure", entry_id=failure, bond_id=self.bonds[4]))
        self.assertEqual((wrong.status, wrong.fields()), (422, ["bond_id"]), wrong)
        early = self.crew.ask("PUT", f"/api/photos/{new_id()}", self.photo(
            data, entry="failure", entry_id=new_id()))
        self.assertEqual((early.status, early.fields()), (422, ["entry_id"]), early)

    def test_a_place_has_photos_too(self):
        data = png(40, 30, seed=4)
        self.file(self.crew, data)
        uuid, _ = self.put(self.photo(data, line="VAL", chainage="0+060"))
        row = self.crew.must("GET", f"/api/photos/{uuid}").json
        self.assertEqual((row["bond_id"], row["line"], row["chainage"]), (None, "VAL", "0+060"))
        self.assertIn(uuid, [r["uuid"] for r in self.crew.rows("photos", "place=yes")])
        nothing = self.crew.ask("PUT", f"/api/photos/{new_id()}", self.photo(data))
        self.assertEqual(nothing.status, 422, nothing)

    # ---- who may

    def test_a_viewer_adds_none_and_a_stranger_sees_none(self):
        data = png(40, 30, seed=5)
        self.assertEqual(self.file(self.viewer, data).status, 403)
        self.file(self.crew, data)
        body = self.photo(data, bond_id=self.bonds[0])
        self.assertEqual(self.viewer.ask("PUT", f"/api/photos/{new_id()}", body).status, 403)
        uuid, _ = self.put(body)
        stranger = program.Client(self.server)
        for path in (f"/api/photos/{uuid}/picture", f"/api/photos/{uuid}/small",
                     f"/api/photos/{uuid}", f"/api/photo-files/{sha(data)}", "/api/photos"):
            self.assertEqual(stranger.get(path).status, 401, path)
        stranger.close()

    def test_one_that_is_withdrawn_is_out_of_sight_with_its_reason(self):
        data = png(40, 30, seed=6)
        self.file(self.crew, data)
        uuid, _ = self.put(self.photo(data, bond_id=self.bonds[5]))
        self.crew.must("PUT", f"/api/withdrawals/{new_id()}", {"entry": "photo", "entry_id": uuid,
                       "reason": "A colleague's face."})
        for which in ("picture", "small"):
            gone = self.viewer.get(f"/api/photos/{uuid}/{which}")
            self.assertEqual(gone.status, 404)
            self.assertIn("A colleague's face.", gone.json["detail"])
        row, = self.viewer.rows("photos", f"bond={self.bonds[5]}")
        self.assertTrue(row["withdrawn"])
        self.assertEqual(self.viewer.rows("photos", f"bond={self.bonds[5]}&withdrawn=no"), [])
        said, = self.viewer.rows("withdrawals", "entry=photo")
        self.assertEqual(said["entry_id"], uuid)

    # ---- what is refused

    def refused(self, data, words, status=422, **how):
        before = sorted(os.listdir(os.path.join(self.register.data, "photos")))
        client = program.Client(self.server, cookie=self.crew.cookie)   # (it may be ended)
        answer = self.file(client, data, **how)
        client.close()
        self.assertEqual(answer.status, status, answer)
        self.assertIn(words, answer.json["detail"])
        self.assertEqual(sorted(os.listdir(os.path.join(self.register.data, "photos"))), before)

    def test_what_is_no_picture_or_more_than_one_is_refused_in_words(self):
        plain = png(40, 30, seed=7)
        self.refused(b"GIF89a" + bytes(40), "JPEG, PNG and WebP")
        self.refused(plain, "said to be image/jpeg and is a PNG", kind="image/jpeg")
        self.refused(plain + b"PK\3\4", "behind its end")
        self.refused(png(40, 30, more=chunk(b"eXIf", b"MM\0*")), "EXIF")
        self.refused(png(40, 30, more=chunk(b"tEXt", b"a\0<script>")), "text")
        self.refused(plain[:-6], "cut short")
        self.refused(png(1601, 1), "1601 x 1 pixels")
        self.refused(plain, "a byte was lost or changed", of=sha(b"another"), status=409)
        answer = self.file(self.crew, b"<svg/>", kind="text/html")
        self.assertEqual(answer.status, 415)
        self.assertEqual(self.file(self.crew, plain, of="..%2Fregister.db").status, 400)
        self.assertEqual(self.file(self.crew, plain, of="A" * 64).status, 404)

    def test_a_flood_of_pixels_is_refused_before_the_rest_has_come(self):
        head = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", number(65000, 4) * 2 + b"\x08\0\0\0\0")
        link = socket.create_connection(("127.0.0.1", self.server.port))
        link.sendall(f"PUT /api/photo-files/{'0' * 64} HTTP/1.1\r\nHost: x\r\n"
                     f"Cookie: {self.crew.cookie}\r\nContent-Type: image/png\r\n"
                     "Content-Length: 3000000\r\n\r\n".encode() + head)
        link.settimeout(20)
        said = b""
        while b"65000 x 65000" not in said:
            came = link.recv(4096)
            self.assertTrue(came, said)
            said += came
        self.assertIn(b" 422 ", said)
        link.close()

    def test_more_than_3_MB_are_refused_by_their_length_alone(self):
        link = socket.create_connection(("127.0.0.1", self.server.port))
        link.sendall(f"PUT /api/photo-files/{'0' * 64} HTTP/1.1\r\nHost: x\r\n"
                     f"Cookie: {self.crew.cookie}\r\nContent-Type: image/png\r\n"
                     f"Content-Length: {(3 << 20) + 1}\r\n\r\n".encode())
        link.settimeout(20)
        self.assertIn(b" 413 ", link.recv(4096))
        link.close()

    def test_a_photo_whose_file_has_not_come_is_not_taken(self):
        data = png(40, 30, seed=8)
        answer = self.crew.ask("PUT", f"/api/photos/{new_id()}",
                               self.photo(data, bond_id=self.bonds[0]))
        self.assertEqual((answer.status, answer.fields()), (409, ["sha256"]), answer)
        large = png(401, 30, seed=9)
        self.file(self.crew, data)
        self.file(self.crew, large)
        answer = self.crew.ask("PUT", f"/api/photos/{new_id()}", {
            **self.photo(data, bond_id=self.bonds[0]), "small_sha256": sha(large)})
        self.assertEqual((answer.status, answer.fields()), (422, ["small_sha256"]), answer)

    # ---- cut off

    def came(self, data):
        return self.crew.must("GET", f"/api/photo-files/{sha(data)}").json

    def cut_off(self, data, upto, begin=0):
        """The client goes away in the middle."""
        query = f"?from={begin}" if begin else ""
        link = socket.create_connection(("127.0.0.1", self.server.port))
        link.sendall(f"PUT /api/photo-files/{sha(data)}{query} HTTP/1.1\r\nHost: x\r\n"
                     f"Cookie: {self.crew.cookie}\r\nContent-Type: image/png\r\n"
                     f"Content-Length: {len(data) - begin}\r\n\r\n".encode() + data[begin:upto])
        link.close()

    def wait_for(self, data, received):
        for _ in range(200):
            if self.came(data)["received"] >= received:
                return self.came(data)
            time.sleep(0.05)
        self.fail(f"{self.came(data)} has come, not {received}")

    def test_who_was_cut_off_asks_how_far_it_came_and_sends_the_rest(self):
        data = png(600, 500, seed=10)
        self.assertEqual(self.came(data), {"received": 0, "whole": False})
        self.cut_off(data, 100000)
        self.assertEqual(self.wait_for(data, 100000), {"received": 100000, "whole": False})
        self.cut_off(data, 180000, begin=100000)
        self.wait_for(data, 180000)
        early = self.file(self.crew, data[200000:], of=sha(data), query="?from=200000")
        self.assertEqual(early.status, 409, early)
        self.assertIn("Only 180000 bytes", early.json["detail"])
        rest = self.file(self.crew, data[180000:], of=sha(data), query="?from=180000")
        self.assertEqual((rest.status, rest.json), (201, {"received": len(data), "whole": True}))
        self.assertEqual(self.came(data), {"received": len(data), "whole": True})
        self.assertEqual([name for name in os.listdir(os.path.join(self.register.data, "photos-coming"))
                          if sha(data) in name], [])
        uuid, _ = self.put(self.photo(data, bond_id=self.bonds[0]))
        self.assertEqual(sha(self.crew.must("GET", f"/api/photos/{uuid}/picture").body), sha(data))

    def test_what_came_of_one_person_is_nothing_to_another(self):
        data = png(300, 200, seed=11)
        self.cut_off(data, 40000)
        self.wait_for(data, 40000)
        self.assertEqual(self.boss.must("GET", f"/api/photo-files/{sha(data)}").json["received"], 0)

    def test_a_rest_that_does_not_fit_is_refused_and_begun_anew(self):
        data = png(300, 200, seed=12)
        self.cut_off(data, 40000)
        self.wait_for(data, 40000)
        wrong = self.file(self.crew, bytes(len(data) - 40000), of=sha(data), query="?from=40000")
        self.assertEqual(wrong.status, 409, wrong)
        self.assertEqual(self.came(data), {"received": 0, "whole": False})
        self.assertEqual(self.file(self.crew, data).status, 201)


class Files(unittest.TestCase):
    """What the files beside the register go through."""

    def setUp(self):
        self.register = program.Register()
        self.server = program.Server(self.register)
        self.crew = program.Client(self.server, "crew")
        boss = program.Client(self.server, "administrator")
        self.bond, = program.railway(boss, 1)
        boss.close()
        self.data = png(320, 200)
        self.small = png(16, 12)
        for data in (self.data, self.small):
            self.assertEqual(Photos.file(self.crew, data).status, 201)

    def tearDown(self):
        self.crew.close()
        self.server.stop()
        self.register.remove()

    def path(self, data):
        return os.path.join(self.register.data, "photos", sha(data))

    def keep(self):
        uuid = new_id()
        self.crew.must("PUT", f"/api/photos/{uuid}", {"taken_day": "2026-03-31",
                       "bond_id": self.bond, "sha256": sha(self.data),
                       "small_sha256": sha(self.small)})
        return uuid

    def restart(self):
        self.crew.close()
        self.server.stop()
        self.server = program.Server(self.register)
        self.crew = program.Client(self.server, "crew")

    def test_a_file_that_is_missing_or_changed_is_said_and_found(self):
        uuid = self.keep()
        os.rename(self.path(self.data), self.path(self.data) + ".away")
        gone = self.crew.get(f"/api/photos/{uuid}/picture")
        self.assertEqual(gone.status, 404)
        self.assertIn("missing on the server", gone.json["detail"])
        cached = self.crew.get(f"/api/photos/{uuid}/picture", If_None_Match=f'"{sha(self.data)}"')
        self.assertEqual(cached.status, 404, "no cache hides that")
        with open(self.path(self.small), "r+b") as file:
            file.seek(60)
            file.write(b"x")
        changed = self.crew.get(f"/api/photos/{uuid}/small")
        self.assertEqual(changed.status, 503)
        self.assertIn("was changed", changed.json["detail"])
        told = self.register.run("check", code=65)
        self.assertIn(f"Photo {uuid}: The picture of this photo is missing", told)
        self.assertIn(f"Photo {uuid}: The picture of this photo is not what it was", told)
        self.assertIn("2 pictures are missing or changed", told)
        os.rename(self.path(self.data) + ".away", self.path(self.data))
        self.assertIn("1 pictures are", self.register.run("check", code=65))

    def test_a_backup_holds_the_pictures_that_a_photo_names(self):
        uuid = self.keep()
        stray = png(40, 30, seed=3)
        Photos.file(self.crew, stray)
        store, back = (os.path.join(self.register.home, name) for name in ("backups", "back"))
        self.register.run("backup", "--to", store)
        made, = os.listdir(store)
        self.assertEqual(sorted(os.listdir(os.path.join(store, made, "photos"))),
                         sorted([sha(self.data), sha(self.small)]))
        said = subprocess.run([program.PROGRAM, "restore", "--from", os.path.join(store, made),
                               "--data", back], stdout=subprocess.PIPE, text=True, check=True).stdout
        self.assertIn("1 photos looked at", said)
        with open(os.path.join(back, "photos", sha(self.data)), "rb") as file:
            self.assertEqual(file.read(), self.data, uuid)

    def test_only_what_no_photo_names_goes_after_a_week(self):
        uuid = self.keep()
        stray, young = png(40, 30, seed=1), png(40, 30, seed=2)
        for data in (stray, young):
            Photos.file(self.crew, data)
        old = time.time() - 8 * 86400
        for data in (stray, self.data, self.small):
            os.utime(self.path(data), (old, old))
        self.restart()
        for _ in range(200):
            if not os.path.exists(self.path(stray)):
                break
            time.sleep(0.05)
        self.assertEqual([os.path.exists(self.path(data))
                          for data in (stray, young, self.data, self.small)],
                         [False, True, True, True])
        self.assertEqual(self.crew.get(f"/api/photos/{uuid}/picture").status, 200)

    def test_a_file_is_its_owners_alone(self):
        self.assertEqual(os.stat(self.path(self.data)).st_mode & 0o777, 0o600)
        self.assertEqual(os.stat(os.path.dirname(self.path(self.data))).st_mode & 0o777, 0o700)

    def test_what_was_answered_for_is_there_after_a_kill(self):
        uuid = self.keep()
        self.crew.close()
        self.server.kill()
        self.server = program.Server(self.register)
        self.crew = program.Client(self.server, "crew")
        self.assertEqual(sha(self.crew.get(f"/api/photos/{uuid}/picture").body), sha(self.data))


if __name__ == "__main__":
    unittest.main()

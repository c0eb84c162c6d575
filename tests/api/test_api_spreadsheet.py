"""What people take away: the .xlsx as LibreOffice reads it, the same cells as the CSV; no text of
ours runs as a formula; GeoJSON by RFC 7946. Skipped (77) where LibreOffice is not installed."""
import csv
import io
import os
import re
import shutil
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree
import zipfile

import program
from program import bond, inspection

# what a spreadsheet would run, or take for something else
LABELS = ["=1+2", "+49 30", "-2+3", "@SUM(A1)", "=cmd|' /C calc'!A0", "=HYPERLINK(\"http://x\")",
          "http://example.invalid/", "'t Hof", "1/2", "2026-03-31", "007", "1e5", "TRUE",
          "a, \"b\"", "Grün µΩ", "<b>&amp;", "_x0041_"]
OFFICE = shutil.which("soffice") or shutil.which("libreoffice")
SHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def rows_of(text):
    return list(csv.reader(io.StringIO(text)))


def without_guard(cell):
    """As the importer takes it off again (base/guard.h)."""
    return cell[1:] if re.match("'+[=+@\t\r\n-]", cell) else cell


def as_cell(text):
    """A cell as both files mean it: numbers as numbers, LibreOffice's TRUE as true."""
    if text in ("TRUE", "FALSE"):
        return text.lower()
    try:
        return round(float(text), 9) if re.fullmatch(r"-?\d+(\.\d+)?(E-?\d+)?", text) else text
    except ValueError:
        return text


class Spreadsheet(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.folder = tempfile.mkdtemp(prefix="bondbook-office-")
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        program.railway(cls.boss)
        ids = [cls.boss.must("POST", "/api/bonds", bond(
            label, f"1+{n:03}", **({"longitude": 7.5 + n / 1000, "latitude": -51.25}
                                   if n % 2 == 0 else {}))).json["id"]
            for n, label in enumerate(LABELS)]
        for n, label in enumerate(LABELS):
            cls.boss.must("PUT", f"/api/inspections/{program.new_id()}",
                          inspection(ids[n], day=f"2021-03-{n + 1:02}", note=label))

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        cls.register.remove()
        shutil.rmtree(cls.folder)
        assert code == 0, code

    def file(self, name):
        answer = self.boss.must("GET", f"/api/{name}")
        self.assertEqual(int(answer.headers["Content-Length"]), len(answer.body))
        self.assertEqual(answer.headers["Content-Disposition"], f'attachment; filename="{name}"')
        return answer

    def through_office(self, names):
        """The rows of lists' .xlsx as LibreOffice shows them, in one go: it is slow to start."""
        paths = [os.path.join(self.folder, f"{name}.xlsx") for name in names]
        for path in paths:
            with open(path, "wb") as out:
                out.write(self.file(os.path.basename(path)).body)
        # 44: comma, 34: quote, 76: UTF-8, cells as shown (LibreOffice, "CSV filter parameters")
        subprocess.run([OFFICE, "--headless", f"-env:UserInstallation=file://{self.folder}/profile",
                        "--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true",
                        "--outdir", self.folder, *paths], check=True, stdout=subprocess.DEVNULL,
                       stderr=subprocess.DEVNULL, timeout=250)
        for path in paths:
            with open(path.replace(".xlsx", ".csv"), encoding="utf-8", newline="") as got:
                yield rows_of(got.read())

    def test_libreoffice_shows_the_cells_of_the_csv(self):
        rows = {"bonds": len(LABELS), "due": len(LABELS), "inspections": len(LABELS),
                "readings": 2 * len(LABELS), "failures": 0}
        for name, shown in zip(rows, self.through_office(rows)):
            plain = rows_of(self.file(f"{name}.csv").body.decode("utf-8-sig"))
            self.assertEqual(shown[0], plain[0])
            self.assertEqual((name, len(shown), len(plain)), (name, *2 * (1 + rows[name],)))
            for got, expected in zip(shown[1:], plain[1:]):
                self.assertEqual([as_cell(cell) for cell in got],
                                 [as_cell(without_guard(cell)) for cell in expected])

    def test_a_text_is_never_a_formula(self):
        plain = rows_of(self.file("bonds.csv").body.decode("utf-8-sig"))
        at = plain[0].index("label")
        for row in plain[1:]:
            self.assertNotRegex(row[at], r"^[=+@\t\r-]")
        self.assertEqual(sorted(without_guard(row[at]) for row in plain[1:]), sorted(LABELS))
        with zipfile.ZipFile(io.BytesIO(self.file("bonds.xlsx").body)) as book:
            self.assertIsNone(book.testzip())
            self.assertFalse([name for name in book.namelist() if "rels/sheet" in name])  # no links
            sheet = ElementTree.fromstring(book.read("xl/worksheets/sheet1.xml"))
        self.assertEqual(list(sheet.iter(SHEET + "f")), [])
        self.assertEqual(list(sheet.iter(SHEET + "hyperlink")), [])

    def test_cells_have_types_and_the_sheet_is_ready_to_work_with(self):
        with zipfile.ZipFile(io.BytesIO(self.file("due.xlsx").body)) as book:
            sheet = ElementTree.fromstring(book.read("xl/worksheets/sheet1.xml"))
            names = ElementTree.fromstring(book.read("xl/workbook.xml"))
        self.assertEqual([s.get("name") for s in names.iter(SHEET + "sheet")], ["Due"])
        pane = next(sheet.iter(SHEET + "pane"))
        self.assertEqual((pane.get("ySplit"), pane.get("state")), ("1", "frozen"))
        heading = rows_of(self.file("due.csv").body.decode("utf-8-sig"))[0]
        last = next(sheet.iter(SHEET + "autoFilter")).get("ref")
        self.assertTrue(last.startswith("A1:") and last.endswith(str(1 + len(LABELS))), last)
        widths = [float(c.get("width")) for c in sheet.iter(SHEET + "col")
                  for _ in range(int(c.get("min")), int(c.get("max")) + 1)]
        self.assertEqual(len(widths), len(heading))
        for name, width in zip(heading, widths):
            self.assertGreater(width, len(name))
        row = list(sheet.iter(SHEET + "row"))[1]
        types = {heading[i]: cell.get("t") for i, cell in enumerate(row)}
        self.assertEqual((types["bond_id"], types["due_day"], types["surveyed"], types["label"],
                          types["kind"]), (None, None, "b", "inlineStr", "inlineStr"))

    def test_only_lists_with_coordinates_are_maps_too(self):
        answer = self.file("bonds.geojson")
        self.assertEqual(answer.headers["Content-Type"], "application/geo+json")
        got = answer.json
        self.assertEqual((got["type"], set(got)), ("FeatureCollection", {"type", "features"}))
        self.assertEqual(len(got["features"]), (len(LABELS) + 1) // 2)
        for feature in got["features"]:
            self.assertEqual(set(feature), {"type", "geometry", "properties"})
            n = LABELS.index(feature["properties"]["label"])
            self.assertEqual(feature["geometry"],
                             {"type": "Point", "coordinates": [7.5 + n / 1000, -51.25]})
        self.assertEqual(self.boss.get("/api/due.geojson").status, 404)
        paths = self.boss.get("/api").json["paths"]
        self.assertIn("/api/bonds.geojson", paths)
        self.assertNotIn("/api/due.geojson", paths)
        self.assertIn("/api/due.xlsx", paths)


if __name__ == "__main__":
    if OFFICE is None:
        print("skipped: LibreOffice is not installed")
        sys.exit(77)
    unittest.main()

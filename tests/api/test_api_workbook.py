"""Workbooks are read as the CSV file of a sheet would be; what cannot be is refused in words."""
import datetime
import json
import os
import unittest
import zipfile
from urllib.parse import quote

import importing
import program
import workbooks as w

HEADINGS = ["line", "label", "kind", "a_chainage", "installed_day", "area_mm2", "note"]
ROWS = [HEADINGS,
        ["VAL", "W 1", "rail joint bond", "1+200", datetime.date(2020, 3, 31), 120, 'a "quoted", text'],
        ["VAL", "W 2", "rail joint bond", "1+300", datetime.date(2021, 12, 13), 70.5, None]]
COLUMNS = [{"field": name, "column": name} for name in HEADINGS]
SETTINGS = {"decimal": "point", "day_order": "ymd", "columns": COLUMNS}


class Workbook(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        program.railway(cls.boss)

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        try:
            assert code == 0, code
            assert "content" in cls.register.run("check")
            assert os.listdir(cls.register.data + "/imports") == []
        finally:
            cls.register.remove()

    def propose(self, file, **given):
        return self.boss.ask("POST", "/api/imports/propose?kind=bonds&settings="
                             + quote(json.dumps(given)), file, importing.CSV)

    def read(self, file, **given):
        """The cells of a file below its first row."""
        answer = self.propose(file, **given)
        self.assertEqual(answer.status, 200, answer)
        return answer.json["preview"]

    def take(self, file, dry=True, **more):
        return self.boss.ask("POST", importing.path("book.xlsx", dry, kind="bonds",
                                                    settings={**SETTINGS, **more}), file, importing.CSV)

    def refused(self, file, *words, **given):
        answer = self.propose(file, **given)
        self.assertIn(answer.status, (400, 413, 422), answer)
        for word in words:
            self.assertIn(word, json.dumps(answer.json))

    def both(self, rows):
        return [self.read(w.xlsx(rows)), self.read(w.ods(rows))]

    def test_a_sheet_has_the_rows_of_its_csv_file_with_days_and_numbers_as_they_are(self):
        want = [["VAL", "W 1", "rail joint bond", "1+200", "2020-03-31", "120", 'a "quoted", text'],
                ["VAL", "W 2", "rail joint bond", "1+300", "2021-12-13", "70.5", ""]]
        for got in self.both(ROWS):
            self.assertEqual(got, want)

    def test_what_is_typed_is_written_as_the_texts_beside_it_are_read(self):
        rows = [["kind", "day", "figure"], ["a", datetime.date(2020, 3, 4), 0.35],
                ["b", "31.03.2020", "0,35"]]
        for file in (w.xlsx(rows), w.ods(rows)):
            self.assertEqual(self.read(file, day_order="dmy", decimal="comma"),
                             [["a", "04.03.2020", "0,35"], ["b", "31.03.2020", "0,35"]])
            self.assertEqual(self.read(file, day_order="mdy", decimal="point")[0],
                             ["a", "03/04/2020", "0.35"])

    def test_a_number_is_a_day_by_its_format_and_by_the_year_that_the_workbook_counts_from(self):
        # ECMA-376-1, 18.17.4.1: in the 1900 system 1 is 1 January 1900, and 60 a day that never was
        rows = [["x", "y"], *([str(i), w.Number(n, w.DAY)] for i, n in
                              enumerate((1, 59, 60, 61, 43921, 43921.5, 2958466)))]
        self.assertEqual([row[1] for row in self.read(w.xlsx(rows))],
                         ["1900-01-01", "1900-02-28", "60", "1900-03-01", "2020-03-31",
                          "2020-03-31 12:00", "2958466"])
        day = datetime.date(2020, 3, 31)
        book = w.packed(w.xlsx_parts({"S": [["x", "y"], ["a", day]]}, from_1904=True))
        self.assertEqual(self.read(book), [["a", "2020-03-31"]])
        rows = [["x", "y"], *([str(i), cell] for i, cell in enumerate((
            w.Number(43921, w.DAY_BUILT_IN), w.Number(0.573611111, w.TIME), w.Number(123, w.DIGITS),
            w.Number(43921, w.QUOTED), w.Number(0.30000000000000004, 0), w.Number(1e-05, 0))))]
        self.assertEqual([row[1] for row in self.read(w.xlsx(rows))],
                         ["2020-03-31", "13:46", "00123", "43921", "0.3", "1e-05"])
        self.assertEqual(self.read(w.ods([["x", "y"], ["a", w.Number(123, w.DIGITS)]])),
                         [["a", "00123"]])

    def test_texts_are_whole_however_they_are_kept(self):
        parts = w.xlsx_parts({"S": [["a", "b", "c"], [
            "put in", ('<c r="B2" t="inlineStr"><is><r><t>in</t></r><r><t>line</t></r>'
                       '<rPh sb="0" eb="1"><t>spoken</t></rPh></is></c>',),
            ('<c r="C2" t="str"><f>A1</f><v>made</v></c>',)]]})
        parts["xl/sharedStrings.xml"] = parts["xl/sharedStrings.xml"].replace(
            "<t>put in</t>", "<r><rPr><b/></rPr><t>put</t></r><r><t xml:space='preserve'> in &amp; "
            "out</t></r><rPh sb='0' eb='1'><t>spoken</t></rPh>")
        self.assertEqual(self.read(w.packed(parts)), [["put in & out", "inline", "made"]])
        cell = ('<table:table-cell office:value-type="string"><office:annotation><text:p>aside</text:p>'
                '</office:annotation><text:p>two<text:s text:c="2"/><text:span>words</text:span></text:p>'
                '<text:p>more</text:p></table:table-cell>',)
        covered = ('<table:covered-table-cell office:value-type="string"><text:p>under</text:p>'
                   '</table:covered-table-cell>',)
        self.assertEqual(self.read(w.ods([["a", "b", "c"], [cell, covered, "c"]])),
                         [["two  words\nmore", "", "c"]])

    def test_cells_and_rows_that_are_written_once_with_a_count_stand_as_often(self):
        twice = ('<table:table-cell table:number-columns-repeated="2" office:value-type="float" '
                 'office:value="7"><text:p>7</text:p></table:table-cell>',)
        rows = [["a", "b", "c"], [twice, "end"],
                ('<table:table-row table:number-rows-repeated="2"><table:table-cell '
                 'office:value-type="string"><text:p>x</text:p></table:table-cell><table:table-cell '
                 'table:number-columns-repeated="16383"/></table:table-row>',),
                ('<table:table-row table:number-rows-repeated="1048572"><table:table-cell '
                 'table:number-columns-repeated="16384"/></table:table-row>',)]
        self.assertEqual(self.read(w.ods(rows)), [["7", "7", "end"], ["x", "", ""], ["x", "", ""]])

    def test_a_flag_is_yes_or_no(self):
        for got in self.both([["a", "b"], [True, False], ["x", True]]):
            self.assertEqual(got, [["yes", "no"], ["x", "yes"]])

    def test_the_sheet_is_chosen_and_never_taken_for_another(self):
        sheets = {"Notes": [["what"], ["x"]], "Bonds & more": ROWS, "Old": [["y"], ["z"]]}
        hidden = w.packed(w.xlsx_parts(sheets, hidden=("Notes", "Old")))
        for file in (w.xlsx(sheets), w.ods(sheets)):
            answer = self.propose(file).json
            self.assertEqual(answer["sheets"], list(sheets))
            self.assertEqual((answer["settings"]["sheet"], answer["reasons"]["sheet"]),
                             ("Notes", "the first of 3 sheets"))
            answer = self.take(file)
            self.assertEqual(answer.status, 422, answer)
            self.assertIn("say which one (sheet): Notes, Bonds & more, Old", str(answer.json))
            self.assertEqual(self.take(file, sheet="Bonds & more").json["added"], 2)
            self.refused(file, "no sheet Bonds; it has Notes", sheet="Bonds")
        self.assertEqual(self.propose(hidden).json["sheets"], ["Bonds & more"])
        self.assertEqual(self.take(hidden).json["added"], 2)
        self.refused(w.xlsx({"Empty": []}), "The sheet Empty is empty")

    def test_an_error_cell_is_refused_by_its_name_even_in_a_text(self):
        for name in ("#N/A", "#REF!", "#DIV/0!", "#NAME?"):
            rows = [*ROWS, ["VAL", "W 3", "rail joint bond", "1+400", None, None, w.Error(name)]]
            for file in (w.xlsx(rows), w.ods(rows)):
                [wrong] = self.take(file).json["wrong_rows"]
                self.assertEqual((wrong["row"], wrong["column"], wrong["value"]), (4, "note", name))
                self.assertIn("error of the spreadsheet", wrong["reason"])

    def test_a_formula_counts_by_its_saved_value_and_is_refused_without_one(self):
        for make in (w.xlsx, w.ods):
            self.assertEqual(self.read(make([["a", "b"], ["x", w.Formula(1.5)]])), [["x", "1.5"]])
            rows = [*ROWS[:2], ["VAL", "W 3", "rail joint bond", "1+400", None, w.Formula(), None]]
            [wrong] = self.take(make(rows)).json["wrong_rows"]
            self.assertIn("never computed", wrong["reason"])

    def test_rows_have_the_numbers_that_the_spreadsheet_shows(self):
        rows = [HEADINGS, [], ["VAL", "W 1", "rail joint bond", "here"], [None, None]]
        for make in (w.xlsx, w.ods):
            [wrong] = self.take(make(rows)).json["wrong_rows"]
            self.assertEqual((wrong["row"], wrong["value"]), (3, "here"))

    def test_a_workbook_is_taken_whole_and_a_second_time_adds_nothing(self):
        for n, make in enumerate((w.xlsx, w.ods)):
            rows = [HEADINGS] + [["VAL", f"T{n} {i}", "rail joint bond", f"{n}+{i:03}",
                                  datetime.date(2020, 3, 31), 70.5, None] for i in range(300)]
            answer = self.take(make(rows), dry=False)
            self.assertEqual((answer.status, answer.json["added"]), (200, 300), answer)
            self.assertEqual(self.take(make(rows), dry=False).json["already"], 300)
            bond, = [b for b in self.boss.rows("bonds", f"q=T{n}%20299") if b["label"] == f"T{n} 299"]
            self.assertEqual(self.boss.get(f"/api/bonds/{bond['id']}").json["installed_day"], "2020-03-31")

    def test_the_wrong_rows_of_a_workbook_come_back_as_a_file(self):
        rows = [*ROWS, ["VAL", "W 3", "rail joint bond", "here", datetime.date(2020, 3, 31), None, None]]
        where = importing.path("b.xlsx", kind="bonds", settings=SETTINGS).replace(
            "imports?", "imports/wrong-rows?")
        answer = self.boss.ask("POST", where, w.xlsx(rows), importing.CSV)
        self.assertIn("VAL,W 3,rail joint bond,here,2020-03-31,,,4,a_chainage,here,", answer.body.decode())

    def test_utf_16_is_read_with_its_mark_and_without(self):
        text = "line;label;note\r\nVAL;ä1;\U0001F682 – x\r\n"
        for encoding, mark in (("utf-16-le", b"\xff\xfe"), ("utf-16-be", b"\xfe\xff"),
                               ("utf-16-le", b""), ("utf-16-be", b"")):
            answer = self.propose(mark + text.encode(encoding)).json
            self.assertEqual(answer["preview"], [["VAL", "ä1", "\U0001F682 – x"]])
            self.assertEqual(answer["settings"]["separator"], "semicolon")
            self.assertIn("UTF-16", answer["reasons"]["encoding"])
        self.refused(b"\xff\xfe" + text.encode("utf-16-le")[:-1], "half a character stands in its line 2")

    def test_what_is_no_workbook_that_is_read_is_refused_with_what_to_do(self):
        self.refused(b"\xd0\xcf\x11\xe0" + bytes(2000), "save it as .xlsx or .ods", "password")
        self.refused(w.packed({"a.txt": "x"}), "give the workbook itself")
        binary = w.xlsx_parts({"S": ROWS})
        binary["_rels/.rels"] = binary["_rels/.rels"].replace("workbook.xml", "workbook.bin")
        self.refused(w.packed(binary), ".xlsb", "save it as .xlsx or .ods")
        self.refused(w.xlsx(ROWS)[:-40], "was not copied to its end")
        broken = w.xlsx_parts({"S": ROWS})
        broken["xl/worksheets/sheet0.xml"] = broken["xl/worksheets/sheet0.xml"][:-30]
        self.refused(w.packed(broken), "sheet0.xml cannot be read")
        del broken["xl/worksheets/sheet0.xml"]
        self.refused(w.packed(broken), "lacks its part xl/worksheets/sheet0.xml")

    def test_a_workbook_that_would_do_harm_is_refused_in_words(self):
        row = "<row><c><v>1</v></c></row>"
        bomb = w.xlsx_parts({"S": ROWS})
        bomb["xl/worksheets/sheet0.xml"] = bomb["xl/worksheets/sheet0.xml"].replace(
            "</sheetData>", " " * (64 << 20) + row + "</sheetData>")
        self.refused(w.packed(bomb), "unpacks to far more")
        entity = w.xlsx_parts({"S": ROWS})
        entity["xl/sharedStrings.xml"] = ('<!DOCTYPE sst [<!ENTITY a "aaaa"><!ENTITY f SYSTEM '
                                          '"file:///etc/passwd">]><sst><si><t>&a;&f;</t></si></sst>')
        self.refused(w.packed(entity), "declares a document type")
        deep = w.ods_parts({"S": ROWS})
        deep["content.xml"] = "<a>" * 101 + "</a>" * 101
        self.refused(w.packed(deep), "nested more than 100 deep")
        long = w.xlsx_parts({"S": ROWS})
        long["xl/worksheets/sheet0.xml"] = f'<worksheet a="{os.urandom(3 << 19).hex()}"/>'
        self.refused(w.packed(long), "has a tag of more than")
        many = w.xlsx_parts({"S": ROWS})
        many.update((f"x/{i}", "") for i in range(10001))
        self.refused(w.packed(many), "more than 10000 parts")
        wide = ('<table:table-row table:number-rows-repeated="1048576"><table:table-cell '
                'table:number-columns-repeated="16384" office:value-type="float" office:value="1"/>'
                '</table:table-row>',)
        self.refused(w.ods([wide]), "more than 512 cells")
        tall = ('<table:table-row table:number-rows-repeated="1048576"><table:table-cell '
                'table:number-columns-repeated="400" office:value-type="float" office:value="1"/>'
                '</table:table-row>',)
        self.refused(w.ods([tall]), "part it")
        beyond = ('<row r="1048577"><c><v>1</v></c></row>',)
        self.refused(w.xlsx([["a"], beyond]), "stands nowhere")

    def test_a_million_empty_rows_are_passed_over(self):
        empty = ("".join(f'<row r="{n}"/>' for n in range(4, 1048576)),)
        last = ('<row r="1048576"><c r="A1048576" s="1"/></row>',)
        self.assertEqual(self.take(w.xlsx([*ROWS, empty, last])).json["rows"], 2)

    def test_macros_links_and_comments_are_not_opened(self):
        parts = w.xlsx_parts({"S": [["a", "b"], ["x", w.Formula(7)]]})
        parts["xl/vbaProject.bin"] = b"\xd0\xcf\x11\xe0"
        parts["xl/externalLinks/externalLink1.xml"] = "<!DOCTYPE x><x/>"
        parts["xl/comments1.xml"] = "no XML"
        parts["xl/_rels/workbook.xml.rels"] = parts["xl/_rels/workbook.xml.rels"].replace(
            "</Relationships>", '<Relationship Id="z" Type="x/worksheet" Target="file:///etc/passwd" '
            'TargetMode="External"/></Relationships>')
        self.assertEqual(self.read(w.packed(parts)), [["x", "7"]])

    def test_parts_that_are_not_compressed_are_read(self):
        self.assertEqual(len(self.read(w.packed(w.xlsx_parts({"S": ROWS}), zipfile.ZIP_STORED))), 2)


if __name__ == "__main__":
    unittest.main()

"""Workbooks for the tests, as small as their formats allow: a sheet is a list of rows, a row a list
of cells. A cell is None, a text, a number, True or False, a datetime.date, or one of the kinds below;
in the place of a row, or of a cell, stands (XML as it is,)."""
import datetime
import io
import json
import sys
import zipfile
from xml.sax.saxutils import escape, quoteattr

OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
SPREADSHEET = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OPEN = "urn:oasis:names:tc:opendocument:xmlns:"
NAMESPACES = " ".join(f'xmlns:{n}="{OPEN}{n}:1.0"' for n in ("office", "table", "text", "calcext"))
# by number: plain, a day, five digits, a time, a day by a format that every workbook has
STYLES = (f'<styleSheet xmlns="{SPREADSHEET}"><numFmts><numFmt numFmtId="164" formatCode="dd/mm/yyyy"/>'
          '<numFmt numFmtId="165" formatCode="00000"/><numFmt numFmtId="166" formatCode="hh:mm"/>'
          '<numFmt numFmtId="167" formatCode="0.0 &quot;mdy&quot;"/></numFmts>'
          '<cellXfs><xf numFmtId="0"/><xf numFmtId="164"/><xf numFmtId="165"/><xf numFmtId="166"/>'
          '<xf numFmtId="14"/><xf numFmtId="167"/></cellXfs></styleSheet>')
DAY, DIGITS, TIME, DAY_BUILT_IN, QUOTED = 1, 2, 3, 4, 5


class Number:
    """A number in a format of STYLES."""

    def __init__(self, value, style):
        self.value, self.style = value, style


class Error:
    def __init__(self, name):
        self.name = name


class Formula:
    """Its value was computed, or not."""

    def __init__(self, value=None):
        self.value = value


def packed(parts, method=zipfile.ZIP_DEFLATED):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


def column(n):
    return (column(n // 26 - 1) if n >= 26 else "") + chr(ord("A") + n % 26)


def serial(day, from_1904=False):
    zero = datetime.date(1904, 1, 1) if from_1904 else datetime.date(1899, 12, 30)
    return (day - zero).days


def xlsx_cell(cell, at, shared, from_1904):
    if cell is None:
        return ""
    if isinstance(cell, tuple):
        return cell[0]
    if isinstance(cell, bool):
        return f'<c r="{at}" t="b"><v>{int(cell)}</v></c>'
    if isinstance(cell, datetime.date):
        return f'<c r="{at}" s="{DAY}"><v>{serial(cell, from_1904)}</v></c>'
    if isinstance(cell, Number):
        return f'<c r="{at}" s="{cell.style}"><v>{cell.value}</v></c>'
    if isinstance(cell, Error):
        return f'<c r="{at}" t="e"><v>{cell.name}</v></c>'
    if isinstance(cell, Formula):
        return f'<c r="{at}"><f>A1</f>' + ("" if cell.value is None else f"<v>{cell.value}</v>") + "</c>"
    if isinstance(cell, str):
        if cell not in shared:
            shared[cell] = len(shared)
        return f'<c r="{at}" t="s"><v>{shared[cell]}</v></c>'
    return f'<c r="{at}"><v>{cell!r}</v></c>'


def xlsx_sheet(rows, shared, from_1904):
    out = []
    for n, cells in enumerate(rows, 1):
        out.append(cells[0] if isinstance(cells, tuple) else f'<row r="{n}">' + "".join(
            xlsx_cell(cell, f"{column(i)}{n}", shared, from_1904)
            for i, cell in enumerate(cells)) + "</row>")
    return f'<worksheet xmlns="{SPREADSHEET}"><sheetData>{"".join(out)}</sheetData></worksheet>'


def xlsx_parts(sheets, from_1904=False, hidden=()):
    """sheets: {name: rows}"""
    shared = {}
    parts = {f"xl/worksheets/sheet{i}.xml": xlsx_sheet(rows, shared, from_1904)
             for i, rows in enumerate(sheets.values())}

    def relations(*more):
        return ('<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
                + "".join(f'<Relationship Id="{i}" Type="{OFFICE}/{t}" Target="{p}"/>' for i, t, p in more)
                + "</Relationships>")
    parts["_rels/.rels"] = relations(("a", "officeDocument", "xl/workbook.xml"))
    parts["xl/_rels/workbook.xml.rels"] = relations(
        *((f"s{i}", "worksheet", f"worksheets/sheet{i}.xml") for i in range(len(sheets))),
        ("t", "sharedStrings", "sharedStrings.xml"), ("f", "styles", "styles.xml"))
    parts["xl/workbook.xml"] = (
        f'<workbook xmlns="{SPREADSHEET}" xmlns:r="{OFFICE}"><workbookPr date1904="{int(from_1904)}"/><sheets>'
        + "".join(f'<sheet name={quoteattr(name)} sheetId="{i + 1}" r:id="s{i}"'
                  + (' state="hidden"' if name in hidden else "") + "/>"
                  for i, name in enumerate(sheets)) + "</sheets></workbook>")
    parts["xl/sharedStrings.xml"] = f'<sst xmlns="{SPREADSHEET}">' + "".join(
        f"<si><t>{escape(text)}</t></si>" for text in shared) + "</sst>"
    parts["xl/styles.xml"] = STYLES
    return parts


def xlsx(sheets, **more):
    return packed(xlsx_parts(sheets if isinstance(sheets, dict) else {"Sheet 1": sheets}, **more))


def ods_cell(cell):
    if cell is None:
        return "<table:table-cell/>"
    if isinstance(cell, tuple):
        return cell[0]
    if isinstance(cell, Error):
        return ('<table:table-cell office:value-type="string" office:string-value="" '
                f'calcext:value-type="error"><text:p>{cell.name}</text:p></table:table-cell>')
    if isinstance(cell, Formula):
        if cell.value is None:
            return '<table:table-cell table:formula="of:=[.A1]"/>'
        cell = cell.value
    kind, value, shown = (
        ("boolean", f'office:boolean-value="{str(cell).lower()}"', cell) if isinstance(cell, bool) else
        ("date", f'office:date-value="{cell}"', cell) if isinstance(cell, datetime.date) else
        ("float", f'office:value="{cell.value}"', f"{cell.value:05}") if isinstance(cell, Number) else
        ("string", "", escape(cell)) if isinstance(cell, str) else
        ("float", f'office:value="{cell!r}"', round(cell, 1)))
    return (f'<table:table-cell office:value-type="{kind}" {value}>' +
            "".join(f"<text:p>{line}</text:p>" for line in str(shown).split("\n")) + "</table:table-cell>")


def ods_parts(sheets):
    tables = "".join(
        f"<table:table table:name={quoteattr(name)}>" + "".join(
            cells[0] if isinstance(cells, tuple) else
            "<table:table-row>" + "".join(map(ods_cell, cells)) + "</table:table-row>"
            for cells in rows) + "</table:table>" for name, rows in sheets.items())
    return {"mimetype": "application/vnd.oasis.opendocument.spreadsheet",
            "content.xml": f"<office:document-content {NAMESPACES}><office:body><office:spreadsheet>"
            f"{tables}</office:spreadsheet></office:body></office:document-content>"}


def ods(sheets):
    return packed(ods_parts(sheets if isinstance(sheets, dict) else {"Sheet 1": sheets}))


def main():
    """Writes a workbook of the sheets that come as JSON: workbooks.py xlsx|ods; a text that is a day
    becomes one."""
    def cell(value):
        try:
            return datetime.date.fromisoformat(value)
        except (TypeError, ValueError):
            return value
    sheets = {name: [[cell(value) for value in row] for row in rows]
              for name, rows in json.load(sys.stdin).items()}
    sys.stdout.buffer.write({"xlsx": xlsx, "ods": ods}[sys.argv[1]](sheets))


if __name__ == "__main__":
    main()

"""A workbook that holds what must not leave the house, in every kind of place that a workbook has for it.

XlsxWriter makes what it can; the rest is put into the file by hand, as Excel writes it.
"""

import zipfile
from pathlib import Path

import xlsxwriter
from workbooks.rich import macros, picture

PERSON, PLACE, SUPPLIER, COST = "Alma Brook", "C:\\Users\\alma\\Studio", "Quiet Meadow Supplies", 17.4391
SHEET = "Costs"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
MICROSOFT = "http://schemas.microsoft.com/office"
CONTENT = "application/vnd.openxmlformats-officedocument.spreadsheetml"
EXCEL = "application/vnd.ms-excel"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'


def secrets() -> list[bytes]:
    """The words and figures that a copy without the sheet must not hold, as they would stand in the file."""
    return [text.encode(code) for text in (PERSON, SUPPLIER, str(COST)) for code in ("utf8", "utf-16-le")]


def write_base(path: Path) -> Path:
    book = xlsxwriter.Workbook(str(path))
    recipe, costs, deep = book.add_worksheet("Recipe"), book.add_worksheet(SHEET), book.add_worksheet("Stock")
    for row, (name, grams) in enumerate([("Beeswax", 25), ("Sweet almond oil", 60), ("Lavender", 2.5)], start=1):
        recipe.write_row(row, 0, [name, grams])
        costs.write_row(row, 0, [f"{SUPPLIER} {row}", COST + row])
    recipe.write_array_formula("C2:C4", "{=TC_SCALE(B2:B4,175,0.1)}", None, 0)
    recipe.write_formula("D2", "=TC_RECIPE_COST(C2:C4,Costs!B2:B4)", None, 0)
    recipe.write_formula("D3", "=Dear*2", None, 0)
    recipe.write_formula("D5", '=HYPERLINK("#Costs!A2","the costs")', None, "the costs")
    recipe.write_formula("D6", '=INDIRECT("Costs!B2")', None, 0)
    recipe.data_validation("A2:A4", {"validate": "list", "source": "=Costs!$A$2:$A$4"})
    recipe.conditional_format(
        "B2:B4", {"type": "formula", "criteria": "=B2>Costs!$B$2", "format": book.add_format({"bold": 1})}
    )
    recipe.conditional_format(
        "B2:B4", {"type": "data_bar", "data_bar_2010": True, "min_type": "formula", "min_value": "=Costs!$B$2"}
    )
    recipe.write_url("F2", "internal:Costs!A2", string="to the prices")
    recipe.write_comment("A2", f"{PERSON}: ask again", {"author": PERSON})
    recipe.add_sparkline("G2", {"range": "Costs!B2:B4"})
    recipe.insert_textbox("J2", "", {"textlink": "=Costs!$A$2"})
    recipe.insert_image("J9", "dot.png", {"image_data": picture(), "url": "internal:Costs!A1"})
    recipe.repeat_rows(0)
    for kind in ("column", "pie"):
        chart = book.add_chart({"type": kind})
        chart.add_series({"name": "=Costs!$A$2", "categories": "=Costs!$A$2:$A$4", "values": "=Costs!$B$2:$B$4",
                          "categories_data": [SUPPLIER], "values_data": [COST + 1]})  # fmt: skip
        chart.set_title({"name": "=Costs!$A$2"})
        recipe.insert_chart("L2", chart)
    costs.repeat_rows(0)
    costs.print_area("A1:B4")
    costs.add_table("D1:E3", {"name": "Dear_things", "data": [[SUPPLIER, COST], ["b", 3]]})
    costs.write_comment("A2", "pays late", {"author": PERSON})
    recipe.write_formula("D7", "=SUM(Dear_things[Column2])", None, 0)
    deep.write_formula("A1", "=Costs!B2*2", None, 0)
    deep.very_hidden()
    book.define_name("Dear", "=Costs!$B$3")
    book.define_name("Costs!Local", "=Costs!$B$4")
    book.define_name("Two", "=Recipe!$B$2+Costs!$B$2")
    book.set_properties(
        {"author": PERSON, "manager": PERSON, "company": SUPPLIER, "comments": SUPPLIER, "keywords": SUPPLIER}
    )
    book.set_custom_property("Supplier", SUPPLIER)
    book.add_chartsheet("Cost chart").set_chart(_line(book))
    book.close()
    return path


def _line(book):
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": "=Costs!$B$2:$B$4", "values_data": [COST + 1, COST + 2]})
    return chart


class Parts:
    """The parts of a file under way: added with their links and content types."""

    def __init__(self, path: Path):
        with zipfile.ZipFile(path) as archive:
            self.parts = {name: archive.read(name) for name in archive.namelist()}

    def add(
        self, part: str, content: str | bytes, kind: str = "", link_from: str = "xl/workbook.xml", type_: str = ""
    ) -> str:
        """A new part; the id of the link to it."""
        self.parts[part] = content if isinstance(content, bytes) else (HEAD + content).encode()
        if type_:
            self._inside("[Content_Types].xml", "</Types>", f'<Override PartName="/{part}" ContentType="{type_}"/>')
        if not kind:
            return ""
        folder, _, name = link_from.rpartition("/")
        rels = f"{folder}/_rels/{name}.rels".lstrip("/")
        empty = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"></Relationships>'
        self.parts.setdefault(rels, (HEAD + empty).encode())
        key = f"rX{len(self.parts)}"
        self._inside(rels, "</Relationships>", f'<Relationship Id="{key}" Type="{kind}" Target="/{part}"/>')
        return key

    def _inside(self, part: str, before: str, text: str) -> None:
        self.edit(part, before, text + before)

    def edit(self, part: str, old: str, new: str) -> None:
        assert old.encode() in self.parts[part], (part, old)
        self.parts[part] = self.parts[part].replace(old.encode(), new.encode(), 1)

    def save(self, path: Path) -> Path:
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, content in self.parts.items():
                archive.writestr(name, content)
        return path


def write_secrets(folder: Path, pictures_in_cells: bool = False) -> Path:
    parts = Parts(write_base(folder / "base.xlsx"))
    if pictures_in_cells:
        rich = f'<rvData xmlns="{MICROSOFT}/spreadsheetml/2017/richdata"><rv s="0"><v>{SUPPLIER}</v></rv></rvData>'
        kind = f"{MICROSOFT}/2017/06/relationships/rdRichValue"
        parts.add("xl/richData/rdrichvalue.xml", rich, kind, type_=f"{EXCEL}.rdrichvalue+xml")
    _people(parts)
    _pivots(parts)
    _outside(parts)
    _sheet(parts)
    return parts.save(folder / "studio.xlsx")


def _people(parts: Parts) -> None:
    threads = f"{MICROSOFT}/spreadsheetml/2018/threadedcomments"
    parts.add(
        "xl/persons/person.xml",
        f'<personList xmlns="{threads}"><person displayName="{PERSON}" id="{{1}}" userId="alma" '
        'providerId="None"/></personList>',
        f"{MICROSOFT}/2017/10/relationships/person",
        type_=f"{EXCEL}.person+xml",
    )
    parts.add(
        "xl/threadedComments/threadedComment1.xml",
        f'<ThreadedComments xmlns="{threads}"><threadedComment ref="A2" '
        f'personId="{{1}}" id="{{2}}"><text>{SUPPLIER} is late</text></threadedComment></ThreadedComments>',
        f"{MICROSOFT}/2017/10/relationships/threadedComment",
        "xl/worksheets/sheet1.xml",
        f"{EXCEL}.threadedcomments+xml",
    )
    header = f'<header guid="{{1}}" userName="{PERSON}" r:id="rId1"/>'
    head = f'<headers xmlns="{MAIN}" xmlns:r="{OFFICE}" guid="{{1}}">{header}</headers>'
    parts.add(
        "xl/revisions/revisionHeaders.xml", head, f"{OFFICE}/revisionHeaders", type_=f"{CONTENT}.revisionHeaders+xml"
    )
    log = f'<revisions xmlns="{MAIN}"><rcc rId="1" sId="2"><nc r="B2"><v>{COST}</v></nc></rcc></revisions>'
    parts.add(
        "xl/revisions/revisionLog1.xml",
        log,
        f"{OFFICE}/revisionLog",
        "xl/revisions/revisionHeaders.xml",
        f"{CONTENT}.revisionLog+xml",
    )
    parts.add(
        "xl/revisions/userNames.xml",
        f'<users xmlns="{MAIN}"><userInfo guid="{{1}}" name="{PERSON}" id="1"/></users>',
        f"{OFFICE}/usernames",
        type_=f"{CONTENT}.userNames+xml",
    )
    parts.add("customXml/item1.xml", f"<studio>{SUPPLIER} {COST}</studio>", f"{OFFICE}/customXml")
    parts.add(
        "docProps/thumbnail.jpeg",
        PERSON.encode(),
        "http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail",
        "",
        "image/jpeg",
    )


PIVOT = f"""<pivotCacheDefinition xmlns="{MAIN}" xmlns:r="{OFFICE}" r:id="rId1" refreshedBy="{PERSON}" recordCount="1">
<cacheSource type="worksheet"><worksheetSource ref="A1:B4" sheet="%s"/></cacheSource>
<cacheFields count="1"><cacheField name="who"><sharedItems><s v="%s"/></sharedItems></cacheField></cacheFields>
</pivotCacheDefinition>"""


def _pivots(parts: Parts) -> None:
    """A pivot table of the costs with a slicer and a timeline, and one of the recipe."""
    base, keys = f"{OFFICE}/pivotCacheDefinition", []
    for number, (sheet, text) in enumerate(((SHEET, SUPPLIER), ("Recipe", "Beeswax")), start=1):
        cache = f"xl/pivotCache/pivotCacheDefinition{number}.xml"
        keys.append(parts.add(cache, PIVOT % (sheet, text), base, type_=f"{CONTENT}.pivotCacheDefinition+xml"))
        records = f'<pivotCacheRecords xmlns="{MAIN}" count="1"><r><s v="{text}"/></r></pivotCacheRecords>'
        key = parts.add(f"xl/pivotCache/pivotCacheRecords{number}.xml", records, f"{OFFICE}/pivotCacheRecords", cache,
                        f"{CONTENT}.pivotCacheRecords+xml")  # fmt: skip
        parts.edit(cache, 'r:id="rId1"', f'r:id="{key}"')
        table = (
            f'<pivotTableDefinition xmlns="{MAIN}" name="P{number}" cacheId="{number}" dataCaption="Values">'
            f'<location ref="P{number}0:P{number}1" firstHeaderRow="1" firstDataRow="1" firstDataCol="0"/>'
            "</pivotTableDefinition>"
        )
        part = f"xl/pivotTables/pivotTable{number}.xml"
        parts.add(part, table, f"{OFFICE}/pivotTable", "xl/worksheets/sheet1.xml", f"{CONTENT}.pivotTable+xml")
        parts.add(cache, parts.parts[cache], base, part)
    entries = "".join(f'<pivotCache cacheId="{n}" r:id="{key}"/>' for n, key in enumerate(keys, start=1))
    parts.edit("xl/workbook.xml", "</workbook>", f"<pivotCaches>{entries}</pivotCaches></workbook>")
    main = f"{MICROSOFT}/spreadsheetml/2009/9/main"
    parts.add(
        "xl/slicerCaches/slicerCache1.xml",
        f'<slicerCacheDefinition xmlns="{main}" name="Slicer_who" sourceName="{SUPPLIER}"><data>'
        f'<tabular pivotCacheId="1"><items count="1"><i x="0" s="1"/></items></tabular></data>'
        "</slicerCacheDefinition>",
        f"{MICROSOFT}/2007/relationships/slicerCache",
        type_=f"{EXCEL}.slicerCache+xml",
    )
    parts.add(
        "xl/slicers/slicer1.xml",
        f'<slicers xmlns="{main}"><slicer name="{SUPPLIER}" cache="Slicer_who" rowHeight="241300"/></slicers>',
        f"{MICROSOFT}/2007/relationships/slicer",
        "xl/worksheets/sheet1.xml",
        f"{EXCEL}.slicer+xml",
    )
    parts.add(
        "xl/timelineCaches/timelineCache1.xml",
        f'<timelineCacheDefinition xmlns="{MICROSOFT}/spreadsheetml/2010/11/main" '
        f'name="Days" sourceName="{SUPPLIER}"><state minimalRefreshVersion="6" lastRefreshVersion="6" pivotCacheId="1" '
        'filterType="unknown"><bounds startDate="2026-01-01T00:00:00" endDate="2026-12-31T00:00:00"/></state>'
        "</timelineCacheDefinition>",
        f"{MICROSOFT}/2011/relationships/timelineCache",
        type_=f"{EXCEL}.timelineCache+xml",
    )


def _outside(parts: Parts) -> None:
    """Other files, and parts of kinds that nothing here knows."""
    link = (
        f'<externalLink xmlns="{MAIN}" xmlns:r="{OFFICE}"><externalBook r:id="rId1">'
        f'<sheetNames><sheetName val="{SUPPLIER}"/></sheetNames>'
        "</externalBook></externalLink>"
    )
    parts.add("xl/externalLinks/externalLink1.xml", link, f"{OFFICE}/externalLink", type_=f"{CONTENT}.externalLink+xml")
    parts.add(
        "xl/connections.xml",
        f'<connections xmlns="{MAIN}"><connection id="1" name="{SUPPLIER}" sourceFile="{PLACE}"/></connections>',
        f"{OFFICE}/connections",
        type_=f"{CONTENT}.connections+xml",
    )
    sheet = "xl/worksheets/sheet1.xml"
    parts.add(
        "xl/queryTables/queryTable1.xml",
        f'<queryTable xmlns="{MAIN}" name="{SUPPLIER}" connectionId="1"/>',
        f"{OFFICE}/queryTable",
        sheet,
        f"{CONTENT}.queryTable+xml",
    )
    parts.add(
        "xl/printerSettings/printerSettings1.bin",
        PERSON.encode("utf-16-le"),
        f"{OFFICE}/printerSettings",
        sheet,
        f"{CONTENT}.printerSettings",
    )
    parts.add(
        "xl/embeddings/oleObject1.bin",
        SUPPLIER.encode(),
        f"{OFFICE}/oleObject",
        sheet,
        "application/vnd.openxmlformats-officedocument.oleObject",
    )
    parts.add(
        "xl/embeddings/Book.xlsx", PERSON.encode(), f"{OFFICE}/package", "xl/charts/chart1.xml", f"{CONTENT}.sheet"
    )
    parts.add(
        "xl/model/item.data",
        SUPPLIER.encode(),
        f"{OFFICE}/powerPivotData",
        type_="application/vnd.openxmlformats-officedocument.model+data",
    )
    parts.add(
        "xl/xmlMaps.xml",
        f'<MapInfo xmlns="{MAIN}" SelectionNamespaces=""><Map ID="1" Name="{SUPPLIER}"/></MapInfo>',
        f"{OFFICE}/xmlMaps",
        type_="application/xml",
    )
    parts.add(
        "xl/webextensions/taskpanes.xml",
        f"<p>{PERSON}</p>",
        f"{MICROSOFT}/2011/relationships/webextensiontaskpanes",
        "",
        "application/xml",
    )
    parts.add(
        "xl/novelty/future1.xml",
        f"<new>{SUPPLIER} {COST}</new>",
        f"{MICROSOFT}/2031/relationships/novelty",
        type_="application/xml",
    )
    parts.add(
        "xl/novelty/future2.xml",
        f"<new>{SUPPLIER} {COST}</new>",
        f"{MICROSOFT}/2031/relationships/novelty",
        sheet,
        "application/xml",
    )
    parts.add(
        "xl/vbaProject.bin",
        macros() + SUPPLIER.encode(),
        f"{MICROSOFT}/2006/relationships/vbaProject",
        type_="application/vnd.ms-office.vbaProject",
    )
    parts.add("xl/novelty/loose.xml", f"<new>{SUPPLIER}</new>", type_="application/xml")  # nothing leads to it


def _sheet(parts: Parts) -> None:
    """What a sheet that stays holds besides its cells."""
    sheet = "xl/worksheets/sheet1.xml"
    scenario = (
        f'<scenarios current="0"><scenario name="dear" count="1" user="{PERSON}" comment="{SUPPLIER}">'
        f'<inputCells r="B2" val="{COST}"/>'
        "</scenario></scenarios>"
    )
    consolidate = (
        '<dataConsolidate><dataRefs count="1"><dataRef ref="A1:B4" sheet="Costs"/></dataRefs></dataConsolidate>'
    )
    views = (
        '<customSheetViews><customSheetView guid="{1}">'
        '<pageMargins left="1" right="1" top="1" bottom="1" header="1" footer="1"/>'
        f'<autoFilter ref="A1:B4"><filterColumn colId="0"><filters><filter val="{SUPPLIER}"/></filters></filterColumn>'
        "</autoFilter>"
        "</customSheetView></customSheetViews>"
    )
    parts.edit(sheet, "</sheetData>", f"</sheetData>{scenario}{consolidate}{views}")
    compatible = "http://schemas.openxmlformats.org/markup-compatibility/2006"
    folder = (
        f'<mc:AlternateContent xmlns:mc="{compatible}"><mc:Choice Requires="x15"><x15ac:absPath '
        f'xmlns:x15ac="{MICROSOFT}/spreadsheetml/2010/11/ac" url="{PLACE}\\"/></mc:Choice></mc:AlternateContent>'
    )
    parts.edit("xl/workbook.xml", "<bookViews>", f"{folder}<bookViews>")
    parts.edit("xl/workbook.xml", "<workbookPr", f'<fileSharing userName="{PERSON}"/><workbookPr codeName="{PERSON}"')

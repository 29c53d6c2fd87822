"""A workbook as Excel saves it when the functions come from an add-in's file: [1]!TC_X(…), and a note of that file."""

import re
import zipfile
from pathlib import Path

_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml"
_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"


def as_excel_saves(workbook: Path, out: Path, prefix: str = "[1]!") -> Path:
    """The same workbook with a prefix before every function of ours."""
    names: set[str] = set()

    def formula(found: re.Match) -> str:
        pieces = re.split(r'("[^"]*")', found[2])
        for i in range(0, len(pieces), 2):
            names.update(re.findall(r"TC_[A-Z_]+(?=\()", pieces[i]))
            pieces[i] = re.sub(r"(?<![\w.!])(TC_[A-Z_]+\()", lambda m: prefix + m[1], pieces[i])
        return found[1] + "".join(pieces) + found[3]

    with zipfile.ZipFile(workbook) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            content = source.read(name)
            if name.startswith("xl/worksheets/sheet"):
                content = re.sub(r"(<f(?:\s[^>]*)?>)([^<]*)(</f>)", formula, content.decode()).encode()
            elif name == "[Content_Types].xml":
                part = f'<Override PartName="/xl/externalLinks/externalLink1.xml" ContentType="{_TYPE}"/></Types>'
                content = content.replace(b"</Types>", part.encode())
            elif name == "xl/_rels/workbook.xml.rels":
                link = f'<Relationship Id="rX" Type="{_OFFICE}/externalLink" Target="externalLinks/externalLink1.xml"/>'
                content = content.replace(b"</Relationships>", f"{link}</Relationships>".encode())
            elif name == "xl/workbook.xml":
                entry = f'<externalReferences><externalReference xmlns:r="{_OFFICE}" r:id="rX"/></externalReferences>'
                content = content.replace(b"</sheets>", f"</sheets>{entry}".encode(), 1)
            target.writestr(name, content)
        listed = "".join(f'<definedName name="{name}"/>' for name in sorted(names))
        book = f'<externalBook xmlns:r="{_OFFICE}" r:id="rId1"><definedNames>{listed}</definedNames></externalBook>'
        target.writestr(
            "xl/externalLinks/externalLink1.xml", f'{_HEAD}<externalLink xmlns="{_MAIN}">{book}</externalLink>'
        )
        kind = "http://schemas.microsoft.com/office/2006/relationships/xlExternalLinkPath/xlPathMissing"
        link = f'<Relationship Id="rId1" Type="{kind}" Target="tarecell.xlam" TargetMode="External"/>'
        target.writestr(
            "xl/externalLinks/_rels/externalLink1.xml.rels",
            f'{_HEAD}<Relationships xmlns="{_PACKAGE}">{link}</Relationships>',
        )
    assert names
    return out

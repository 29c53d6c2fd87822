"""Workbooks saved as “Strict Open XML”: the same parts under other names, read as the usual kind."""

from tarecell.workbooks.package import CONTENT_TYPES, Package

_STRICT = b"http://purl.oclc.org/ooxml/"
# ISO/IEC 29500-4: each strict namespace has its transitional twin.
_TWINS = {
    b"http://purl.oclc.org/ooxml/spreadsheetml/": b"http://schemas.openxmlformats.org/spreadsheetml/2006/",
    b"http://purl.oclc.org/ooxml/officeDocument/": b"http://schemas.openxmlformats.org/officeDocument/2006/",
    b"http://purl.oclc.org/ooxml/drawingml/": b"http://schemas.openxmlformats.org/drawingml/2006/",
}


def as_usual(package: Package) -> bytes:
    """The file's bytes for a reader that knows the usual kind only."""
    if _STRICT not in package.read(package.workbook_part)[:4096]:
        return package.data
    replaced = {}
    for part in package.names:
        if part.endswith((".xml", ".rels")) and part != CONTENT_TYPES:
            content = mended = package.read(part)
            for strict, twin in _TWINS.items():
                mended = mended.replace(strict, twin)
            if mended != content:
                replaced[part] = mended
    return package.changed(replaced)

"""The kinds of parts that a workbook is made of: which go along in a copy, which leave it, and what those are.

A kind is the last word of its relationship's address. What is in neither list is not known, and leaves the copy too: it
could hold anything.
"""

STAYS = frozenset(
    "officeDocument core-properties extended-properties worksheet chartsheet dialogsheet sharedStrings styles theme "
    "themeOverride drawing chart chartEx chartStyle chartColorStyle chartUserShapes image hdphoto hyperlink table "
    "comments vmlDrawing ctrlProp pivotTable pivotCacheDefinition pivotCacheRecords slicer slicerCache timeline "
    "timelineCache sheetMetadata diagramData diagramLayout diagramQuickStyle diagramColors diagramDrawing".split()
)
# Values of cells that are more than a number or a text: pictures in cells, linked data types. Their store is one for
# all sheets, and its entries are numbered, so it goes along whole or not at all.
RICH = frozenset(
    "rdRichValue rdRichValueStructure rdRichValueTypes richValueRel rdArray rdSupportingPropertyBag "
    "rdSupportingPropertyBagStructure richStyles FeaturePropertyBag".split()
)
_PEOPLE = "names of the people in comment threads (the notes themselves stay)"
LEAVES = {
    "externalLink": "links to other workbooks",
    "externalLinkPath": "links to other workbooks",
    "customXml": "custom XML data",
    "xmlMaps": "custom XML data",
    "tableSingleCells": "custom XML data",
    "custom-properties": "custom document properties",
    "printerSettings": "printer settings",
    "threadedComment": _PEOPLE,
    "person": _PEOPLE,
    "revisionHeaders": "the record of earlier changes",
    "revisionLog": "the record of earlier changes",
    "usernames": "the record of who had the file open",
    "vbaProject": "macros",
    "vbaProjectSignature": "macros",
    "wordVbaData": "macros",
    "connections": "connections to outside data",
    "queryTable": "connections to outside data",
    "volatileDependencies": "connections to outside data",
    "powerPivotData": "the data model",
    "oleObject": "embedded objects",
    "package": "embedded objects",
    "control": "controls that run code",
    "activeXControlBinary": "controls that run code",
    "thumbnail": "the preview picture",
    "calcChain": "",
    "attachedToolbars": "toolbars",
    "extensibility": "menus of add-ins",
    "ui": "menus of add-ins",
    "webextensiontaskpanes": "add-ins",
    "webextension": "add-ins",
    "classificationlabels": "sensitivity labels",
    "xlMacrosheet": "macros",
    "xlIntlMacrosheet": "macros",
    "digital-signature": "signatures",
    "origin": "signatures",
    "customProperty": "custom sheet properties",
}


def leaves(kind: str) -> str | None:
    """What a part of this kind is called if it leaves the copy ("" where nobody needs to know); None if it stays."""
    if kind in LEAVES:
        return LEAVES[kind]
    if kind in STAYS or kind in RICH:
        return None
    return f"a part of a kind that is not known ({kind[:40] or 'without a name'})"

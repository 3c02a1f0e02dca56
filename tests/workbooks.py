"""Workbooks as small as a reader takes them, made without a library."""

from __future__ import annotations

import io
import zipfile


def xlsx_of(rows: list[list[str]]) -> bytes:
    """A workbook with texts and, where a cell begins with =, a formula with a saved value."""

    def cell(text: str) -> str:
        if text.startswith("="):
            return f'<c t="str"><f>{text[1:]}</f><v>40 A</v></c>'
        return f'<c t="inlineStr"><is><t>{text}</t></is></c>'

    sheet = "".join("<row>" + "".join(cell(text) for text in row) + "</row>" for row in rows)
    main_ns = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    rel = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    return zip_of({
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types"><Default Extension="rels" ContentType='
        f'"application/vnd.openxmlformats-package.relationships+xml"/><Override PartName="/xl/workbook.xml" '
        f'ContentType="{kind}.sheet.main+xml"/><Override PartName="/xl/s.xml" ContentType="{kind}.worksheet+xml"/>'
        "</Types>",
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="a" '
        f'Type="{rel}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{main_ns}" xmlns:r="{rel}"><sheets><sheet name="a" sheetId="1" r:id="b"/>'
        f"</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="b" '
        f'Type="{rel}/worksheet" Target="s.xml"/></Relationships>',
        "xl/s.xml": f'<worksheet xmlns="{main_ns}"><sheetData>{sheet}</sheetData></worksheet>',
    })  # fmt: skip


def ods_of(rows: list[list[str]]) -> bytes:
    """The same rows as an OpenDocument spreadsheet."""
    oasis = "urn:oasis:names:tc:opendocument:xmlns"
    cells = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="string"><text:p>{text}</text:p></table:table-cell>' for text in row
        )
        + "</table:table-row>"
        for row in rows
    )
    return zip_of({
        "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
        "META-INF/manifest.xml": f'<manifest:manifest xmlns:manifest="{oasis}:manifest:1.0"/>',
        "content.xml": f'<office:document-content xmlns:office="{oasis}:office:1.0" xmlns:table="{oasis}:table:1.0" '
        f'xmlns:text="{oasis}:text:1.0"><office:body><office:spreadsheet><table:table table:name="a">{cells}'
        f"</table:table></office:spreadsheet></office:body></office:document-content>",
    })  # fmt: skip


def zip_of(files: dict[str, str]) -> bytes:
    """An archive of texts by their names."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return out.getvalue()

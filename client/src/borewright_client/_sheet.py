"""The build sheet: as data, as a page, as a PDF."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from borewright_client._transport import Transport
from borewright_client._types import SheetFormat, Units

MEDIA_TYPES: dict[SheetFormat, str] = {"json": "application/json", "html": "text/html", "pdf": "application/pdf"}
PATH = "/v1/build-sheet"


class Sheets(Transport):
    """Fetches build sheets."""

    def build_sheet(self, *, order: Mapping[str, Any], build: Mapping[str, Any], units: Units | None = None) -> dict[str, Any]:
        """Work out every section that the build allows, as data.

        >>> client.build_sheet(order={"id": "A-1"}, build={"bore": "86 mm"})["verdict"]
        'pass'
        """
        return self._post(PATH, _body(order, build, units)).json_object()

    def build_sheet_document(
        self, *, order: Mapping[str, Any], build: Mapping[str, Any], units: Units | None = None, form: SheetFormat = "pdf"
    ) -> bytes:
        """Fetch the sheet as the bytes of a JSON, HTML or PDF file.

        >>> client.build_sheet_document(order={"id": "A-1"}, build={}, form="json")[:1]
        b'{'
        """
        return self._document(PATH, _body(order, build, units), MEDIA_TYPES[form])

    def save_build_sheet(self, path: str | Path, *, order: Mapping[str, Any], build: Mapping[str, Any], units: Units | None = None) -> Path:
        """Fetch the sheet and save it; the file's ending (.json, .html, .pdf) says in which form.

        >>> client.save_build_sheet("sheet.docx", order={"id": "A-1"}, build={})
        Traceback (most recent call last):
        ValueError: a build sheet is saved as .json, .html, .pdf, not '.docx'
        """
        target = Path(path)
        ending = target.suffix.lower().removeprefix(".")
        for form in MEDIA_TYPES:
            if ending == form:
                target.write_bytes(self.build_sheet_document(order=order, build=build, units=units, form=form))
                return target
        endings = ", ".join(f".{form}" for form in MEDIA_TYPES)
        raise ValueError(f"a build sheet is saved as {endings}, not {target.suffix!r}")


def _body(order: Mapping[str, Any], build: Mapping[str, Any], units: Units | None) -> dict[str, object]:
    named: dict[str, object] = {} if units is None else {"units": units}
    return {**named, "order": order, "build": build}

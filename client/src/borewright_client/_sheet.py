"""The build sheet: as data, as a page, as a PDF."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from borewright_client._calls import Calls
from borewright_client._errors import WrongSetting
from borewright_client._sheet_types import BuildSheet
from borewright_client._types import Options, SheetDetail, SheetDocument, SheetFormat
from borewright_client._words import Units

MEDIA_TYPES: dict[SheetFormat, str] = {"json": "application/json", "html": "text/html", "pdf": "application/pdf"}
PATH = "/v1/build-sheet"


class Sheets(Calls):
    """Fetches build sheets."""

    def build_sheet(
        self,
        *,
        order: Mapping[str, Any],
        build: Mapping[str, Any],
        units: Units | None = None,
        detail: SheetDetail | None = None,
        options: Options | None = None,
    ) -> BuildSheet:
        """Work out every section that the build allows, as data.

        order : the work order: its id, and what the sheet is to show of shop, customer, engine, date and notes
        build : what is known of the engine: the fields of any of the calculations, named as in their own requests
        units : what a bare number means, and the units of the answer; left out, bare numbers are refused and the answer is metric
        detail : how much the drawn sheet shows
        options : for this call alone

        >>> sheet = client.build_sheet(order={"id": "A-1"}, build={"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4})
        >>> sheet.sections.displacement.displacement
        Measured({'value': ..., 'unit': 'cm3'})
        """
        return self._calculate(BuildSheet, PATH, sheet_body(order, build, units, detail), options)

    def build_sheet_document(
        self,
        *,
        order: Mapping[str, Any],
        build: Mapping[str, Any],
        units: Units | None = None,
        detail: SheetDetail | None = None,
        form: SheetFormat = "pdf",
        options: Options | None = None,
    ) -> SheetDocument:
        """Fetch the sheet as the bytes of a JSON, HTML or PDF file, which know its verdict; the rest as in `build_sheet`.

        >>> document = client.build_sheet_document(order={"id": "A-1"}, build={}, form="json")
        >>> document[:1]
        b'{'
        """
        if form not in MEDIA_TYPES:
            raise WrongSetting(f"form must be one of {', '.join(MEDIA_TYPES)}")
        return self._document(PATH, sheet_body(order, build, units, detail), MEDIA_TYPES[form], options)

    def save_build_sheet(
        self,
        path: str | Path,
        *,
        order: Mapping[str, Any],
        build: Mapping[str, Any],
        units: Units | None = None,
        detail: SheetDetail | None = None,
        options: Options | None = None,
    ) -> Path:
        """Fetch the sheet and save it; the file's ending (.json, .html, .pdf) says in which form, the rest as in `build_sheet`.

        >>> client.save_build_sheet("sheet.docx", order={"id": "A-1"}, build={})
        Traceback (most recent call last):
        borewright_client._errors.WrongSetting: a build sheet is saved as .json, .html, .pdf, not '.docx'
        """
        target = Path(path)
        form = form_of(target)
        if not target.parent.is_dir():  # said before anything is asked
            raise WrongSetting(f"there is no folder {target.parent}")
        document = self.build_sheet_document(order=order, build=build, units=units, detail=detail, form=form, options=options)
        self._aside(target.write_bytes, document)
        return target


def form_of(path: Path) -> SheetFormat:
    """The form of a sheet by the ending of its file.

    >>> form_of(Path("order.PDF"))
    'pdf'
    """
    ending = path.suffix.lower().removeprefix(".")
    for form in MEDIA_TYPES:
        if ending == form:
            return form
    raise WrongSetting(f"a build sheet is saved as {', '.join(f'.{form}' for form in MEDIA_TYPES)}, not {path.suffix!r}")


def sheet_body(order: Mapping[str, Any], build: Mapping[str, Any], units: Units | None, detail: SheetDetail | None) -> dict[str, object]:
    """The body of a sheet's request.

    >>> sheet_body({"id": "A-1"}, {}, None, None)
    {'units': None, 'order': {'id': 'A-1'}, 'build': {}, 'detail': None}
    """
    return {"units": units, "order": order, "build": build, "detail": detail}

"""The build sheet: as data, as a page, as a PDF."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, NotRequired, TypedDict, cast

from borewright_client._transport import Transport
from borewright_client._types import Assumption, Check, FieldProblem, Sensitivity, SheetFormat, Units, Verdict
from borewright_client.sections import SheetSections

MEDIA_TYPES: dict[SheetFormat, str] = {"json": "application/json", "html": "text/html", "pdf": "application/pdf"}
PATH = "/v1/build-sheet"


class SheetCheck(Check):
    """A check, and the section it belongs to."""

    section: str


class SheetAssumption(Assumption):
    """A default, and the sections that used it; without them it holds for the whole sheet."""

    sections: NotRequired[list[str]]


class SheetSensitivity(Sensitivity):
    """A share of a variance, and the section of the result."""

    section: str


class MissingSection(TypedDict):
    """A section that the build does not allow yet, and the fields that would."""

    section: str
    fields: list[str]


class RefusedSection(TypedDict):
    """A section whose fields can't be as they are: the type of the problem, and what is wrong with each."""

    section: str
    type: str
    errors: list[FieldProblem]


class Disagreement(TypedDict):
    """Places of the build that can't all be right, what each says, and what to do."""

    pointers: list[str]
    values: list[Any]
    detail: str


class BuildSheet(TypedDict):
    """A whole order worked out; `verdict` is the worst of all checks, `input_digest` the same for the same input."""

    order: dict[str, Any]
    service_version: str
    input_digest: str
    verdict: Verdict
    sections: SheetSections
    missing: list[MissingSection]
    refused: list[RefusedSection]
    disagreements: list[Disagreement]
    checks: list[SheetCheck]
    cautions: list[str]
    assumptions: list[SheetAssumption]
    sensitivity: list[SheetSensitivity]


class Sheets(Transport):
    """Fetches build sheets."""

    def build_sheet(self, *, order: Mapping[str, Any], build: Mapping[str, Any], units: Units | None = None) -> BuildSheet:
        """Work out every section that the build allows, as data.

        order : the work order: its id, and what the sheet is to show of shop, customer, engine, date and notes
        build : what is known of the engine: the fields of any of the calculations, named as in their own requests
        units : what a bare number means, and the units of the answer; left out, bare numbers are refused and the answer is metric

        >>> sheet = client.build_sheet(order={"id": "A-1"}, build={"bore": "86 mm", "stroke": "86 mm", "cylinders": 4})
        >>> sheet["sections"]["displacement"]["displacement"]
        {'value': 1998.22885687, 'unit': 'cm3'}
        """
        return cast(BuildSheet, self._post(PATH, _body(order, build, units)).json_object())

    def build_sheet_document(
        self, *, order: Mapping[str, Any], build: Mapping[str, Any], units: Units | None = None, form: SheetFormat = "pdf"
    ) -> bytes:
        """Fetch the sheet as the bytes of a JSON, HTML or PDF file; the rest as in `build_sheet`.

        >>> client.build_sheet_document(order={"id": "A-1"}, build={}, form="json")[:1]
        b'{'
        """
        if form not in MEDIA_TYPES:
            raise ValueError(f"form must be one of {', '.join(MEDIA_TYPES)}")
        return self._document(PATH, _body(order, build, units), MEDIA_TYPES[form])

    def save_build_sheet(self, path: str | Path, *, order: Mapping[str, Any], build: Mapping[str, Any], units: Units | None = None) -> Path:
        """Fetch the sheet and save it; the file's ending (.json, .html, .pdf) says in which form, the rest as in `build_sheet`.

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

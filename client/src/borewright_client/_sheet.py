"""The build sheet: as data, as a page, as a PDF."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from borewright_client._errors import WrongSetting
from borewright_client._measured import Measured
from borewright_client._model import Model
from borewright_client._transport import Transport
from borewright_client._types import Assumption, Check, FieldProblem, Options, Reply, Sensitivity, SheetFormat
from borewright_client._words import Units, Verdict
from borewright_client.sections import SheetSections

MEDIA_TYPES: dict[SheetFormat, str] = {"json": "application/json", "html": "text/html", "pdf": "application/pdf"}
PATH = "/v1/build-sheet"


class SheetCheck(Check):
    """A check, and the section it belongs to."""

    section: str


class SheetAssumption(Assumption):
    """A default, and the sections that used it; without them it holds for the whole sheet."""

    sections: list[str] | None


class SheetSensitivity(Sensitivity):
    """A share of a variance, and the section of the result."""

    section: str


class MissingSection(Model):
    """A section that the build does not allow yet, and the fields that would."""

    section: str
    fields: list[str]


class RefusedSection(Model):
    """A section whose fields can't be as they are: the type of the problem, and what is wrong with each."""

    section: str
    type: str
    errors: list[FieldProblem]


class Disagreement(Model):
    """Places of the build that can't all be right, what each says (`values` on the wire), and what to do."""

    pointers: list[str]
    values_: list[Any]
    detail: str


class SettledCheck(Model):
    """A check that a measurement may settle, and how likely it is to."""

    section: str
    check: str
    verdict: Verdict
    chance: float


class Measurement(Model):
    """What to measure next, with what, to within how much (`tolerances`, as `fields`), what it may settle and the minutes it takes."""

    measure: str
    how: str
    fields: list[str]
    tolerances: list[Measured | None]
    settles: list[SettledCheck]
    expected: float
    minutes: float


class BuildSheet(Reply):
    """A whole order calculated; `verdict` is the worst of all checks, `input_digest` the same for the same input."""

    order: dict[str, Any]
    service_version: str
    input_digest: str
    verdict: Verdict
    sections: SheetSections
    missing: list[MissingSection]
    refused: list[RefusedSection]
    disagreements: list[Disagreement]
    checks: list[SheetCheck]
    measure_next: list[Measurement]
    cautions: list[str]
    assumptions: list[SheetAssumption]
    sensitivity: list[SheetSensitivity]


class Sheets(Transport):
    """Fetches build sheets."""

    def build_sheet(
        self,
        *,
        order: Mapping[str, Any],
        build: Mapping[str, Any],
        units: Units | None = None,
        detail: str | None = None,
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
        detail: str | None = None,
        form: SheetFormat = "pdf",
        options: Options | None = None,
    ) -> bytes:
        """Fetch the sheet as the bytes of a JSON, HTML or PDF file; the rest as in `build_sheet`.

        >>> client.build_sheet_document(order={"id": "A-1"}, build={}, form="json")[:1]
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
        detail: str | None = None,
        options: Options | None = None,
    ) -> Path:
        """Fetch the sheet and save it; the file's ending (.json, .html, .pdf) says in which form, the rest as in `build_sheet`.

        >>> client.save_build_sheet("sheet.docx", order={"id": "A-1"}, build={})
        Traceback (most recent call last):
        borewright_client._errors.WrongSetting: a build sheet is saved as .json, .html, .pdf, not '.docx'
        """
        target = Path(path)
        form = form_of(target)
        target.write_bytes(self.build_sheet_document(order=order, build=build, units=units, detail=detail, form=form, options=options))
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


def sheet_body(order: Mapping[str, Any], build: Mapping[str, Any], units: Units | None, detail: str | None) -> dict[str, object]:
    """The body of a sheet's request.

    >>> sheet_body({"id": "A-1"}, {}, None, None)
    {'units': None, 'order': {'id': 'A-1'}, 'build': {}, 'detail': None}
    """
    return {"units": units, "order": order, "build": build, "detail": detail}

"""A spreadsheet saved as CSV, an engine a row, comes back with verdicts and reasons: python spreadsheet.py in.csv out.csv."""

import sys
from pathlib import Path

import pandas

from borewright_client import Client


def judged(client: Client, source: Path, target: Path) -> pandas.DataFrame:
    """The sheet as it was, with what the top ring of each engine wants and the verdict beside it."""
    sheet = pandas.read_csv(source)
    fields = sheet[["bore", "duty.aspiration", "duty.service"]]
    found = client.table("ring-gap", fields, common={"bore_material": "gray_iron"}, units="metric")
    results = found.to_pandas()  # over the rows of the sheet
    sheet[f"top ring gap wanted [{found.units['top.recommended_gap']}]"] = results["top.recommended_gap"]
    sheet[["verdict", "errors"]] = results[["verdict", "errors"]]
    sheet.to_csv(target, index=False)
    return sheet


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    with Client() as service:
        print(judged(service, Path(sys.argv[1]), Path(sys.argv[2])).to_string())

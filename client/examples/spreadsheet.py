"""A spreadsheet saved as CSV, an engine a row, comes back with a column of verdicts: python spreadsheet.py in.csv out.csv."""

import sys
from pathlib import Path

import pandas

from borewright_client import Client


def judged(client: Client, source: Path, target: Path) -> pandas.DataFrame:
    """The sheet as it was, with what the top ring of each engine wants and the verdict beside it."""
    sheet = pandas.read_csv(source)
    fields = sheet[["bore", "duty.aspiration", "duty.service"]]
    table = client.table("ring-gap", fields, common={"bore_material": "gray_iron"}, units="metric")
    unit = table.units["top.recommended_gap"]
    sheet[f"top ring gap wanted [{unit}]"] = table.columns["top.recommended_gap"]
    sheet["verdict"] = table.verdicts
    sheet.to_csv(target, index=False)
    return sheet


if __name__ == "__main__":
    with Client() as service:
        print(judged(service, Path(sys.argv[1]), Path(sys.argv[2])).to_string())

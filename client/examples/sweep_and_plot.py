"""A sweep over chamber volume and gasket thickness, as a contour plot of the compression ratio: python sweep_and_plot.py map.png."""

import sys
from pathlib import Path

import numpy as np

from borewright_client import Client

BUILD = {"bore": "94 mm", "stroke": "88 mm", "cylinders": 4, "deck_clearance": "0.2 mm", "gasket": {"bore": "95.5 mm"}}


def sweep(client: Client, chambers: np.ndarray, gaskets: np.ndarray) -> np.ndarray:
    """The compression ratio at each pair, a row for each gasket."""
    across, down = np.meshgrid(chambers, gaskets)
    columns = {"chamber_volume": across.ravel(), "gasket.thickness": down.ravel()}
    table = client.table("compression", columns, common=BUILD, units="metric")
    return np.array(table.columns["compression_ratio"], dtype=float).reshape(across.shape)


def plot(client: Client, target: Path) -> None:
    """Draw the map."""
    from matplotlib.figure import Figure

    chambers, gaskets = np.linspace(44, 60, 33), np.linspace(0.6, 1.6, 21)
    figure = Figure(figsize=(6, 4), layout="constrained")
    axes = figure.subplots()
    lines = axes.contour(chambers, gaskets, sweep(client, chambers, gaskets), levels=10)
    axes.clabel(lines, fmt="%.1f")
    axes.set(xlabel="chamber [cm³]", ylabel="gasket as compressed [mm]", title="compression ratio")
    figure.savefig(target)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with Client() as service:
        plot(service, Path(sys.argv[1]))

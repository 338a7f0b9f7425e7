"""The rules that need only one part or two, over the columns of part lists: misses of part against part, and what fits what."""

from __future__ import annotations

import numpy as np

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.selection import rules
from borewright.selection.rules import LENGTH_SLACK
from borewright.selection.tables import Tables, column


def piston_misses(tables: Tables) -> dict[str, FloatArray]:
    """What each piston misses of the rules that concern it and the block alone, in the order of `REASONS`.

    Parameters
    ----------
    tables : Tables

    Returns
    -------
    dict of array [m] or [1], one value a piston

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> from dataclasses import replace
    >>> from borewright.selection.demands import Machining
    >>> no_boring = replace(small_problem(), machining=Machining())
    >>> {reason: miss.round(6).tolist() for reason, miss in piston_misses(tabulate(no_boring)).items()}["bore-not-available"]
    [0.0, 0.0005]
    """
    problem = tables.problem
    block, limits, duty, pistons = problem.block, problem.limits, problem.duty, problem.pistons
    allowed = [
        (p.aspirations is None or duty.aspiration in p.aspirations) and (p.services is None or duty.service in p.services) for p in pistons
    ]
    top, second = column(p.top_land_height for p in pistons), column(p.second_land_height for p in pistons)
    boring = problem.machining.bore_price is not None
    return {
        "bore-not-available": rules.bore_miss(tables.bore, block.bore, block.smallest_bore, block.maximum_bore, boring),
        "duty-not-allowed": np.where(np.array(allowed, dtype=np.bool_), 0.0, 1.0),
        "land-height-for-duty": rules.land_height_miss(top, second, limits.top_land, limits.second_land),
        "pin-length": rules.pin_length_miss(column(p.pin_length for p in pistons), tables.bore, limits.pin_end_room),
    }


def retention_misses(tables: Tables, rods: slice) -> FloatArray:
    """Pin retention rule for some rods against every piston.

    Parameters
    ----------
    tables : Tables
    rods : slice

    Returns
    -------
    array [1], rods × pistons

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> retention_misses(tabulate(small_problem()), slice(0, 1)).tolist()
    [[0.0, 0.0]]
    """
    honing = tables.problem.machining.small_end_hone is not None
    return rules.retention_miss(tables.press_rod[rods, None], tables.takes_press, tables.takes_floating, honing)


def pin_fits(tables: Tables, rods: slice) -> tuple[FloatArray, BoolArray, FloatArray]:
    """Pin fit of some rods with every piston: miss, whether a hone is needed, amount.

    Parameters
    ----------
    tables : Tables
    rods : slice

    Returns
    -------
    tuple of array [m], array of bool, array [m], each rods × pistons

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> pin_fits(tabulate(small_problem()), slice(0, 1))[1].tolist()  # the pressed rod would be honed, were its fit not inside the limits
    [[False, False]]
    """
    limits, hone = tables.problem.limits, tables.problem.machining.small_end_hone
    return rules.pin_fit(
        tables.small_end[rods, None],
        tables.pin_diameter,
        tables.press_rod[rods, None],
        tables.takes_press,
        tables.takes_floating,
        limits.floating_clearance,
        limits.press_interference,
        None if hone is None else hone.maximum,
    )


def journal_misses(tables: Tables) -> FloatArray:
    """Rod journal rule for every crank against every rod.

    Parameters
    ----------
    tables : Tables

    Returns
    -------
    array [m], cranks × rods

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> journal_misses(tabulate(small_problem())).tolist()
    [[0.0, 0.0]]
    """
    limits = tables.problem.limits
    return rules.journal_miss(
        tables.crank_journal[:, None],
        tables.rod_journal,
        tables.crank_width[:, None],
        tables.rod_width,
        limits.journal_diameter_tolerance,
        limits.journal_width_tolerance,
    )


def gaskets_that_fit(tables: Tables) -> FloatArray:
    """How many gaskets have bore enough for each piston.

    Parameters
    ----------
    tables : Tables

    Returns
    -------
    array, one value a piston

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> gaskets_that_fit(tabulate(small_problem())).tolist()
    [1.0, 1.0]
    """
    wanted = tables.bore + tables.problem.limits.gasket_overhang - LENGTH_SLACK
    return (len(tables.gasket_bore) - np.searchsorted(np.sort(tables.gasket_bore), wanted)).astype(np.float64)


def heads_that_fit(tables: Tables) -> FloatArray:
    """How many heads take each piston's bore.

    Parameters
    ----------
    tables : Tables

    Returns
    -------
    array, one value a piston

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> heads_that_fit(tabulate(small_problem())).tolist()
    [2.0, 2.0]
    """
    begun = np.searchsorted(np.sort(tables.head_minimum), tables.bore + LENGTH_SLACK, side="right")
    ended = np.searchsorted(np.sort(tables.head_maximum), tables.bore - LENGTH_SLACK, side="left")
    return (begun - ended).astype(np.float64)


def fits_gasket(tables: Tables, bore: FloatArray | float, gasket_bore: FloatArray | float) -> BoolArray:
    """Whether gaskets have bore enough for cylinders.

    Parameters
    ----------
    tables : Tables
    bore, gasket_bore : array or float [m]

    Returns
    -------
    array of bool

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> fits_gasket(tabulate(small_problem()), np.array([0.1016, 0.1045]), 0.104).tolist()
    [True, False]
    """
    return np.asarray(bore + tables.problem.limits.gasket_overhang - LENGTH_SLACK <= gasket_bore)


def fits_head(bore: FloatArray | float, minimum: FloatArray | float, maximum: FloatArray | float) -> BoolArray:
    """Whether heads take cylinders of a bore.

    Parameters
    ----------
    bore, minimum, maximum : array or float [m]

    Returns
    -------
    array of bool

    Examples
    --------
    >>> fits_head(0.1, np.array([0.098, 0.101]), np.array([0.103, 0.105])).tolist()
    [True, False]
    """
    return np.asarray((minimum <= bore + LENGTH_SLACK) & (maximum >= bore - LENGTH_SLACK))

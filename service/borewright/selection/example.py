"""A small invented problem, and its short blocks, that the examples of this package share."""

from __future__ import annotations

from borewright.selection.demands import BuildLimits, Cut, Machining, SearchProblem, Span, Target
from borewright.selection.parts import Block, Crank, Gasket, Head, Piston, Rod
from borewright.selection.short_blocks import Passage, ShortBlocks, join, short_blocks
from borewright.selection.tables import Tables, tabulate


def small_problem() -> SearchProblem:
    """One crank, two rods, two pistons, one gasket and two heads for an invented V8 block; two of its eight combinations fit.

    Returns
    -------
    SearchProblem

    Examples
    --------
    >>> small_problem().considered
    8
    """
    return SearchProblem(
        block=Block(deck_height=0.2291, bore=0.1016, maximum_bore=0.1026, cylinders=8),
        cranks=(Crank("stock", stroke=0.0884, rod_journal_diameter=0.0533, price=0.0),),
        rods=(
            Rod("short", length=0.1448, small_end_bore=0.02352, pin_retention="press", journal_diameter=0.0533, price=200.0),
            Rod("long", length=0.1524, small_end_bore=0.02356, journal_diameter=0.0533, price=500.0),
        ),
        pistons=(
            Piston("flat", bore=0.1016, compression_height=0.0396, recess=5e-6, pin_diameter=0.02355, price=400.0),
            Piston("dish", bore=0.1021, compression_height=0.0396, recess=10e-6, pin_diameter=0.02355, price=450.0),
        ),
        gaskets=(Gasket("thin", bore=0.104, thickness=0.001, price=60.0),),
        heads=(
            Head("open", chamber_volume=76e-6, chamber_area=0.0055, price=0.0),
            Head("closed", chamber_volume=64e-6, chamber_area=0.0055, price=300.0),
        ),
        target=Target(10.0, 9.8, 10.2),
        machining=Machining(bore_price=240.0, deck_cut=Cut(0.5e-3, 160.0), head_mill=Cut(0.6e-3, 150.0), small_end_hone=Cut(0.1e-3, 80.0)),
        limits=BuildLimits(deck_clearance=Span(-0.1e-3, 0.8e-3), squish=Span(0.9e-3, 1.8e-3)),
    )


def small_slab() -> tuple[Tables, ShortBlocks]:
    """Tables and the only slab of short blocks of `small_problem`.

    Returns
    -------
    tuple of Tables and ShortBlocks

    Examples
    --------
    >>> len(small_slab()[1])
    2
    """
    tables = tabulate(small_problem())
    return tables, next(short_blocks(tables, join(tables), Passage()))

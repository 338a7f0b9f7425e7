"""Speed of the cylinder cycle beside the same cycle stepped through with Cantera. Run as a script; look at the ratios.

The Cantera cycle is written independently: it marches in crank angle, keeps an unburned gas by its entropy and lets Cantera equilibrate
the burned gas, finding the pressure at which volumes and energy add up. Geometry, burn, heat loss and charge are the service's.
"""

import sys
import time
from collections.abc import Callable

import cantera
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.grid import cycle_grid
from borewright.physics.cycle.heat_loss import COMBUSTION_SPEED_FACTOR, woschni_coefficient, woschni_speed
from borewright.physics.cycle.state import CylinderState, state_columns
from borewright.physics.cycle.timing import find_timing
from borewright.physics.cycle.trapped_charge import cylinder_charge
from borewright.physics.cycle.wiebe import wiebe_fraction
from borewright.physics.gas.equilibrium import PRODUCTS
from borewright.physics.gas.fuel import ISOOCTANE, charge_mixture
from borewright.physics.gas.thermo import SPECIES
from borewright.physics.mechanism.crank import piston_travel

Floats = NDArray[np.float64]
FIRST_SPECK = 1e-3  # the Cantera cycle lights this share at once: a smaller zone has no well-posed state to equilibrate


def cantera_gas() -> cantera.Solution:
    """The service's species with Cantera's own copy of their polynomials."""
    known = {species.name: species for species in cantera.Species.list_from_file("nasa_gas.yaml")}
    chosen = [known[name] for name in ("C8H18,isooctane", *PRODUCTS)]
    for species in chosen:
        old = species.thermo
        species.thermo = cantera.NasaPoly2(old.min_temp, old.max_temp, 1e5, old.coeffs) if len(old.coeffs) == 15 else old
    chosen = [species for species in chosen if species.name != "Ar"]
    return cantera.Solution(thermo="ideal-gas", species=chosen)


def cantera_cycle(state: CylinderState, half_burn: float, step: float = np.radians(0.5)) -> tuple[Floats, Floats, Floats]:
    """Angles, volumes and pressures of one isooctane cycle without residual gas."""
    c = state_columns(state)
    grid = cycle_grid(c, np.array([half_burn]))
    charge, _, _ = cylinder_charge(c, grid)
    start = float(grid.angle[grid.start, 0])
    angle = np.arange(float(grid.angle[0, 0]), float(grid.angle[-1, 0]) + 1e-9, step)
    bore, clearance = float(c["bore"][0]), float(grid.clearance[0])
    travel = piston_travel(angle, c["stroke"][0], c["rod_length"][0], c["pin_offset"][0])
    V = clearance + np.pi / 4.0 * bore**2 * travel
    progress = (angle - start) / float(c["burn_duration"][0])
    x = float(c["combustion_efficiency"][0]) * wiebe_fraction(progress) / (1.0 - np.exp(-5.0))
    x[x < FIRST_SPECK] = 0.0

    moles, _ = charge_mixture(ISOOCTANE, c["equivalence_ratio"][0])
    named = {name: float(n) for name, n in zip(SPECIES, moles, strict=True) if n > 0.0}
    named["C8H18,isooctane"] = named.pop("isooctane")
    unburned, burned = cantera_gas(), cantera_gas()
    m, T0 = float(charge.mass[0]), float(charge.temperature[0])
    unburned.TDX = T0, m / V[0], named
    burned.TPX = 2500.0, 30e5, named
    burned.equilibrate("TP")
    spent = burned.Y
    p = np.empty(angle.size)
    p[0], s, U = unburned.P, unburned.s, m * unburned.u
    piston_speed, seconds = float(c["stroke"][0] * c["speed"][0] / np.pi), step / float(c["speed"][0])
    wall, factor = float(c["wall_temperature"][0]), float(c["heat_transfer_factor"][0])
    R_mean = cantera.gas_constant / unburned.mean_molecular_weight
    Tu = T0
    for k in range(1, angle.size):
        mean_T = p[k - 1] * V[k - 1] / (m * R_mean)
        motored = p[0] * (V[0] / V[k - 1]) ** 1.32
        lit = COMBUSTION_SPEED_FACTOR if angle[k - 1] >= start else 0.0
        w = woschni_speed(piston_speed, lit, float(grid.swept[0]) / V[0], T0, p[0], max(p[k - 1] - motored, 0.0))
        film = factor * float(woschni_coefficient(bore, p[k - 1], mean_T, w)) * (np.pi / 2.0 * bore**2 + 4.0 * V[k - 1] / bore)
        loss = film * (mean_T - wall) * seconds
        share = 1.0 / (1.0 + np.sqrt(x[k - 1]))
        s -= film * (1.0 - wall / Tu) / m * share * seconds
        mb, mu = m * x[k], m * (1.0 - x[k])

        before = (U - loss, p[k - 1], V[k] - V[k - 1], V[k], mb, mu, s)

        def mismatch(pressure: float, before: tuple[float, ...] = before) -> float:
            energy, last, rise, volume, burned_mass, unburned_mass, entropy = before
            energy -= 0.5 * (last + pressure) * rise
            if burned_mass == 0.0:
                unburned.UV = energy / unburned_mass, volume / unburned_mass
                return float(unburned.P - pressure)
            unburned.SP = entropy, pressure
            room = volume - unburned_mass * unburned.v
            if room <= 0.0:
                return pressure
            u = (energy - unburned_mass * unburned.u) / burned_mass
            if not -2.5e6 < u < 3e6:  # far from the answer a speck of burned gas is asked to be hotter or colder than any flame
                return pressure if u > 0.0 else -pressure
            burned.TDY = 2500.0, burned_mass / room, spent
            burned.UV = u, room / burned_mass
            burned.equilibrate("UV")
            return float(burned.P - pressure)

        guess = p[k - 1] * (V[k - 1] / V[k]) ** 1.3 + 0.3 * m * (x[k] - x[k - 1]) * 2.5e6 / V[k]
        p[k] = brentq(mismatch, 0.9 * guess, 1.15 * guess, xtol=1.0)
        mismatch(p[k])
        U += -0.5 * (p[k - 1] + p[k]) * (V[k] - V[k - 1]) - loss
        if mb == 0.0:
            s = unburned.s
        Tu = unburned.T
        zones = mu / unburned.mean_molecular_weight + mb / burned.mean_molecular_weight
        R_mean = cantera.gas_constant * zones / m
    return angle, V, p


def best_time(work: Callable[[], object], repeats: int) -> float:
    """Least processor time of several runs [s]."""
    times = []
    for _ in range(repeats):
        begin = time.process_time()
        work()
        times.append(time.process_time() - begin)
    return min(times)


def main() -> int:
    """Print the figures."""
    one = CylinderState(0.1016, 0.0884, 0.1524, 10.0, 314.16, octane=90.0, residual_fraction=0.0, fuel=ISOOCTANE)
    rng = np.random.default_rng(0)
    n = 960
    many = CylinderState(
        rng.uniform(0.07, 0.11, n),
        rng.uniform(0.07, 0.1, n),
        rng.uniform(0.14, 0.18, n),
        rng.uniform(8.0, 13.0, n),
        rng.uniform(200.0, 700.0, n),
        boost=rng.uniform(0.0, 1e5, n),
        octane=rng.uniform(87.0, 105.0, n),
        equivalence_ratio=rng.uniform(0.9, 1.2, n),
    )
    find_timing(one)
    single = best_time(lambda: run_cycle(one, 0.14), 30)
    timed = best_time(lambda: find_timing(one), 30)
    batch = best_time(lambda: run_cycle(many, 0.14), 3) / n
    batch_timed = best_time(lambda: find_timing(many), 2) / n
    reference = best_time(lambda: cantera_cycle(one, 0.14), 1)
    print(f"one state, given timing   {single * 1e3:9.2f} ms")
    print(f"one state, timing found   {timed * 1e3:9.2f} ms")
    print(f"batch, given timing       {1.0 / batch:9.0f} states/s of processor time")
    print(f"batch, timing found       {1.0 / batch_timed:9.0f} states/s of processor time")
    print(f"the same with Cantera     {reference * 1e3:9.0f} ms for one state at a given timing")
    print(f"ratio to Cantera: one state {reference / single:.0f} times as fast, in batch {reference / batch:.0f} times")
    angle, V, p = cantera_cycle(one, 0.14)
    ours = run_cycle(one, 0.14)
    print(f"closed work, ours over Cantera's {float(ours.closed_work[0]) / np.trapezoid(p, V):.5f}")
    print(f"peak pressure, ours over Cantera's {float(ours.peak_pressure[0]) / p.max():.5f}, at {np.degrees(angle[p.argmax()]):.1f}°")
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""How full and how fast a drain runs at its probable peak: for the reader, not for compliance."""

from __future__ import annotations

from stubout.house.model import House
from stubout.hydraulics import manning, peak
from stubout.hydraulics.peak import hunter_flow_l_per_s
from stubout.network.model import Pipe
from stubout.problems import Basis, Derivation, Status
from stubout.rulebooks.model import RuleBook
from stubout.sizing.levels import bore_mm

M_PER_FT = 0.3048


def flow_derivation(pipe: Pipe, house: House, book: RuleBook) -> Derivation | None:
    """Return depth and speed of a horizontal drain at its probable peak flow, None where there is no such flow.

    The fixture units of the book are read into Hunter's curve for flush tanks, as the trade does for drains; one
    fixture alone runs at less than the curve says. Books size by table and not by this.

    Args:
        pipe: The drain with its final size.
        house: The house, for units and material.
        book: The rule book, for the name of its unit.
    """
    if pipe.system != "drain" or pipe.vertical or pipe.load <= 0.0 or pipe.slope <= 0.0:
        return None
    bore, n = bore_mm(house.job.material, pipe.size_in), manning.N_PLASTIC
    q = hunter_flow_l_per_s(pipe.load)
    depth = manning.depth_of_flow(q, pipe.slope, bore, n)
    speed = manning.velocity_m_per_s(pipe.slope, bore, n, depth.ratio)
    metric = house.job.units == "mm"
    flow_text = f"{q:.2f} l/s" if metric else f"{peak.hunter_flow_gpm(pipe.load):.1f} gpm"
    speed_text, scour_text = (
        f"{v:.2f} m/s" if metric else f"{v / M_PER_FT:.1f} ft/s" for v in (speed, manning.SCOUR_M_PER_S)
    )
    how = "more than it carries" if depth.exceeds else f"{100 * depth.ratio:.0f} % of the bore deep"
    steps = (
        f"{pipe.load:g} {book.load_unit}: probable peak {flow_text}",
        f"by Manning with n {n:g}: {how}, {speed_text}; {scour_text} keeps solids moving",
    )
    bases = (
        Basis("peak flow of fixture units", flow_text, "Hunter's curve, tanks", "", Status.MEMORY),
        Basis("Manning n of plastic pipe", f"{n:g}", "hydraulics", "", Status.MEMORY, "usual design figure"),
        Basis(
            "speed that keeps solids moving", scour_text, "hydraulics", "", Status.READ, "plumbing engineers' data book"
        ),
    )
    return Derivation(pipe.id, "flow", f"{how}, {speed_text}", steps, bases)

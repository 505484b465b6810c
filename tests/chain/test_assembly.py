"""Cut pieces and fittings, put together again, come out where the design has its points.

Source: geometry alone. Half a millimetre is less than a saw cuts; two pipes may bend by the play of the catalogue's
figure in two sockets, as `FIT008` lets them.
"""

from __future__ import annotations

import pytest
from assembling import assembled

from stubout.catalog.queries import figure

MISS_MM = 0.5
NAMES = ("01", "02", "03", "drawn", "demo")


@pytest.mark.parametrize("name", NAMES)
def test_what_is_cut_comes_together(chain, name):
    design = chain(name).design
    done = assembled(design)
    assert {i for m in done for i in m.pipes} <= {p.id for p in design.network.pipes}
    assert len(done) > 20
    play = figure("fitting angle play").value
    for m in done:
        if not m.beside:  # a fitting that stands beside its point is told, and its branch does not come out there
            assert abs(m.mm) < MISS_MM, m
            assert m.off_deg < play, m


@pytest.mark.parametrize("name", NAMES)
def test_what_stands_beside_its_point_is_told(chain, name):
    design = chain(name).design
    told = {f.node for f in design.fabrication.fittings if f.beside_mm}
    ends = {n for m in assembled(design) if m.beside for i in m.pipes for n in _ends(design.network, i)}
    assert bool(told) == any(m.beside for m in assembled(design))
    assert told <= ends


def _ends(network, pipe_id):
    pipe = network.pipe(pipe_id)
    return pipe.start, pipe.end

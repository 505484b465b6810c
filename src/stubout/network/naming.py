"""Points of a network in words: they carry no name on paper, so the pipes that meet there tell them."""

from __future__ import annotations

import re

from stubout.network.model import Network

_POINT = re.compile(r"\bN\d+\w*\b")


def with_pipes(network: Network, words: str) -> str:
    """Return words with the id of every point replaced by the drains that meet there: `turn at D16b/D17`."""
    nodes = {n.id: n for n in network.nodes}

    def pipes(found: re.Match[str]) -> str:
        node = nodes.get(found[0])
        ids = (*node.inflow, *node.outflow) if node is not None else ()
        drains = [i for i in ids if network.pipe(i).system == "drain"]
        return "/".join(drains) or found[0]

    return _POINT.sub(pipes, words)

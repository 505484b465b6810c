"""Taking hold of things in the tests."""

from stubout.live.drag import Drag
from stubout.live.views import view_ids, view_of


def all_handles(ground):
    """Return every handle of every picture once, with its picture."""
    found = {}
    for id_, _ in view_ids(ground.design, ground.job):
        view = view_of(ground.design, ground.job, id_)
        for h in view.handles:
            found.setdefault((h.id, h.ways), (view, h))
    return list(found.values())


def held(ground, handle_id, up=False):
    """Return a handle in hand: one that goes up and down, or the first of its name."""
    hits = [h for _, h in all_handles(ground) if h.id == handle_id and (not up or any(w.z for w in h.ways))]
    return Drag(ground, hits[0])

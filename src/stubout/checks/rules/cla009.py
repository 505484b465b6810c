"""CLA009 pipe-behind-wall-faucet."""

from stubout.checks.base import Findings, Review, check, trade
from stubout.checks.facts import fixture
from stubout.checks.surroundings import around, meets
from stubout.kinds import FixtureKind
from stubout.problems import Level

HALF_MM = 102.0  # 4 in to either side of the centre: supplies and body of a wall faucet; common practice, no source
HIGH_MM = 305.0  # 12 in above the rim: common practice, no source

VALVES = (FixtureKind.BATHTUB, FixtureKind.SHOWER)


@check("CLA009", "pipe-behind-wall-faucet", Level.FIX)
def rule(on: Review) -> Findings:
    """A pipe rises in the wall where a wall-mounted faucet is set.

    ## What it checks
    Fixtures whose faucet stands in the wall: the space above the rim, the width of the faucet, through the wall.

    ## Why it matters
    The valve body wants the depth of the wall; the vent straight above the drain is in its place.

    ## Fails
    A vent straight up behind a lavatory with a wall faucet.

    ## Passes
    The vent led to the next bay below the rim's height with drainage fittings, or a faucet in the deck.

    ## Does not check
    Tub and shower valves, which the job lists as obstacles (CLA001).
    """
    for body in on.house.fixtures:
        wall = next((w for w in on.house.walls if w.id == body.wall_id), None)
        if body.kind in VALVES or body.faucet != "wall" or wall is None or body.station_mm is None:
            continue
        rim = body.flood_rim_z_mm
        if rim is None or fixture(on, body.tag) is None:
            on.skip("the rim below its wall faucet is not known", body.tag)
            continue
        half = wall.depth_mm / 2
        zone = around(
            [
                wall.point(body.station_mm + s, z, o)
                for s in (-HALF_MM, HALF_MM)
                for z in (rim, rim + HIGH_MM)
                for o in (-half, half)
            ]
        )
        for pipe in on.net.pipes:
            hit = meets(on, pipe, zone)
            if hit is not None:
                yield on.finding(
                    about=(pipe.id, body.tag),
                    found=f"{pipe.system} {pipe.id} rises behind the wall faucet of {body.tag}",
                    wanted="the wall free behind the faucet",
                    do="lead the pipe into the next bay, or take a faucet in the deck",
                    why="The valve body wants the depth of the wall.",
                    bases=(trade("zone of a wall faucet", f"{on.mm(2 * HALF_MM)} wide, {on.mm(HIGH_MM)} high"),),
                    at=hit[1],
                )

"""A small commented job to begin from: one bath over a crawl space, invented, in either unit system."""

from __future__ import annotations

from string import Template
from typing import Final, Literal

# name of the place: as written in an inch job, as written in a mm job. Both are the same house in the members and
# modules of their own trade, not converted from each other.
_VALUES: Final[dict[str, tuple[str, str]]] = {
    "units": ("inch", "mm"),
    "bare": ("inches", "millimetres"),
    "written": ("14 3/4\", 5'-11 3/8\", 1'2 3/4\" or 375 mm", '375, 37.5 cm, 1.8 m or 14 3/4"'),
    "book": ("upc-2021", "npc-2020"),
    "framing": ("irc-framing-2021", "nbc-9.23.5"),
    "stock": ("10 ft, 20 ft", "3660"),
    "paper": ("letter", "a4"),
    "head": ("10 ft", "3000"),
    "frost": ("no", "no"),
    "winter": ("36 F", "2 C"),
    "snow": ('0"', "0"),
    "footing": ("12\"", "300"),
    "footprint": ("20'-0\", 16'-0\"", "6100, 4876"),
    "ground_house": ("-1'-2\"", "-350"),
    "ground_sewer": ("-1'-4\"", "-400"),
    "crawl": ("-3'-4\"", "-1000"),
    "zero": ('0"', "0"),
    "wall_height": ("8'-1 1/8\"", "2467"),
    "joist": ("2x10 at 16 in", "38 x 235 at 406"),
    "joist_depth": ('9 1/4"', "235"),
    "member_width": ('1 1/2"', "38"),
    "joist_top": ('-3/4"', "-18"),
    "panel": ('3/4"', "18"),
    "joist_at": ("3/4\", 15'-11 1/4\"", "19, 4857"),
    "joist_first": ('8"', "203"),
    "module": ('16"', "406"),
    "truss_depth": ('3 1/2"', "89"),
    "truss_top": ("8'-4 5/8\"", "2556"),
    "truss_at": ("3/4\", 19'-11 1/4\"", "19, 6081"),
    "truss_first": ('24"', "610"),
    "truss_module": ('24"', "610"),
    "stud6": ('5 1/2"', "140"),
    "stud4": ('3 1/2"', "89"),
    "board": ('1/2"', "13"),
    "s_from": ("0'-0\", 0'-2 3/4\"", "0, 70"),
    "s_to": ("20'-0\", 0'-2 3/4\"", "6100, 70"),
    "n_from": ("0'-0\", 15'-9 1/4\"", "0, 4806"),
    "n_to": ("20'-0\", 15'-9 1/4\"", "6100, 4806"),
    "w_from": ("0'-2 3/4\", 0'-5 1/2\"", "70, 140"),
    "w_to": ("0'-2 3/4\", 15'-6 1/2\"", "70, 4736"),
    "e_from": ("19'-9 1/4\", 0'-5 1/2\"", "6030, 140"),
    "e_to": ("19'-9 1/4\", 15'-6 1/2\"", "6030, 4736"),
    "p_from": ("5'-8 1/4\", 6'-0\"", "1734, 1827"),
    "p_to": ("5'-8 1/4\", 15'-6 1/2\"", "1734, 4736"),
    "t_from": ("0'-5 1/2\", 6'-1 3/4\"", "140, 1871.5"),
    "t_to": ("5'-5 1/2\", 6'-1 3/4\"", "1664, 1871.5"),
    "d1_at": ("12'-6\"", "3800"),
    "d1_width": ("3'-0\"", "915"),
    "d2_at": ("0'-8\"", "200"),
    "d2_width": ("2'-4\"", "711"),
    "door_head": ("6'-10\"", "2080"),
    "g1_at": ("4'-0\"", "1200"),
    "g1_width": ("4'-0\"", "1200"),
    "g1_sill": ("2'-0\"", "600"),
    "g1_head": ("6'-8\"", "2030"),
    "bath_x": ("0'-6\", 5'-5\"", "153, 1651"),
    "bath_y": ("6'-4\", 15'-6\"", "1929, 4723"),
    "tile": ('1/2"', "13"),
    "living_x": ("5'-11 1/2\", 19'-6\"", "1817, 5947"),
    "living_y": ("0'-6\", 15'-6\"", "153, 4723"),
    "plank": ('1/4"', "8"),
    "v1_from": ("1'-0\"", "309"),
    "v1_to": ("3'-0\"", "909"),
    "v1_width": ('24"', "600"),
    "counter": ('34"', "865"),
    "counter_thick": ('1 1/4"', "30"),
    "v1_depth": ('21"', "533"),
    "toe_kick": ('4"', "100"),
    "cabinet_floor": ('4 3/4"', "118"),
    "back": ('1/4"', "6"),
    "lv_at": ("2'-0\"", "609"),
    "bowl": ('5"', "127"),
    "outlet14": ('1 1/4"', "32 mm"),
    "outlet12": ('1 1/2"', "40 mm"),
    "lv_from_wall": ('8"', "200"),
    "wc_at": ("4'-8\"", "1421"),
    "wc_drain": ("4'-5\", 10'-8\"", "1346, 3248"),
    "rough_in": ('12"', "305"),
    "gpf": ("1.28", "1.28"),
    "bt_size": ("60 x 30", "1524 x 762"),
    "bt_at": ("8'-3 1/2\"", "2528"),
    "bt_drain": ("5'-3\", 14'-3 1/2\"", "1600, 4355"),
    "bt_rim": ('15"', "381"),
    "bt_x": ("0'-5 1/2\", 5'-5 1/2\"", "140, 1664"),
    "bt_y": ("13'-0 1/2\", 15'-6 1/2\"", "3974, 4736"),
    "valve_from": ("8'-1 1/2\"", "2478"),
    "valve_to": ("8'-5 1/2\"", "2578"),
    "valve_height": ('26", 30"', "660, 760"),
    "valve_deep": ('4"', "100"),
    "roof_x": ("0\", 20'-0\"", "0, 6100"),
    "roof_y_south": ("0\", 8'-0\"", "0, 2438"),
    "roof_y_north": ("8'-0\", 16'-0\"", "2438, 4876"),
    "roof_z": ("8'-9\"", "2670"),
    "sewer_at": ("5'-8 1/4\", -10'-0\"", "1734, -3000"),
    "sewer_invert": ("-2'-10 1/2\"", "-875"),
    "sewer_size": ('4"', "100 mm"),
}  # fmt: skip

_COMMENT_COLUMN: Final = 34
_TEXT: Final = Template("""\
# A job for Stubout: one bath over a crawl space. Invented; change it into your house line by line.
#
# Lengths: write $written.
# A number without a mark is in $bare, as `units` says. Write 5'-11 3/8", never 5-11 3/8, which has two readings.
# Origin: south-west outside corner of the wall framing. x goes east, y goes north, z goes up from the main subfloor.
# A station counts along a wall from its "from" end; left and right are seen walking from "from" to "to".
# What you do not know, leave out: it is printed as an open question, never guessed in silence.

stubout: 1

job:
  title: Starter bath
  address: 1 Specimen Lane, Example County (invented)
  permit: none yet
  revision: A
  units: $units
  book: $book                  # the adopted plumbing code
  framing: $framing            # whose limits for bores and notches
  material: abs                # abs or pvc
  stock: $stock                # lengths pipe is bought in
  paper: $paper                # letter or a4
  people:                      # who answers open questions
    B: builder
    C: cabinet maker
    O: owner
    I: inspector
  test:
    method: water              # air needs the authority's word
    head: $head
    hold: 15 min

climate:
  frost prone vents: $frost
  winter design: $winter
  snow: $snow
  footing depth: $footing

site:
  footprint: $footprint        # outside of the framing, from the origin
  ground at house: $ground_house
  ground at sewer: $ground_sewer

levels:                        # from the bottom up
  - id: crawl
    title: Crawl space
    floor: ground              # slab, frame or ground
    subfloor: $crawl
  - id: main
    title: Main floor
    floor: frame
    subfloor: $zero            # top of the subfloor panel
    wall height: $wall_height  # plates included
    attic above: yes

frames:
  - id: main floor             # $joist
    carries: main
    member: sawn               # sawn, i-joist, open-web or truss
    runs: east-west
    depth: $joist_depth
    width: $member_width
    top: $joist_top            # underside of the panel
    panel: $panel
    members:
      at: $joist_at            # end joists
      first: $joist_first
      spacing: $module
      count: 12
  - id: roof trusses
    member: truss
    runs: north-south
    depth: $truss_depth        # bottom chord
    width: $member_width
    top: $truss_top
    open above: yes
    members:
      at: $truss_at
      first: $truss_first
      spacing: $truss_module
      count: 9

walls:                         # by the centre line of their studs
  - id: S
    level: main
    from: $s_from
    to: $s_to
    stud: $stud6
    spacing: $module
    role: exterior, bearing, insulated
    left: $board               # finish on the left side
    right: {thick: $zero, what: cladding}
  - id: N
    level: main
    from: $n_from
    to: $n_to
    stud: $stud6
    spacing: $module
    role: exterior, bearing, insulated
    left: {thick: $zero, what: cladding}
    right: $board
  - id: W
    level: main
    from: $w_from
    to: $w_to
    stud: $stud6
    spacing: $module
    role: exterior, bearing, insulated
    left: {thick: $zero, what: cladding}
    right: $board
  - id: E
    level: main
    from: $e_from
    to: $e_to
    stud: $stud6
    spacing: $module
    role: exterior, bearing, insulated
    left: $board
    right: {thick: $zero, what: cladding}
  - id: P                      # the plumbing wall, deep enough for a hub; its studs stand over the joists
    level: main
    from: $p_from
    to: $p_to
    stud: $stud6
    spacing: $module
    role: interior
    left: $board               # bath
    right: $board              # living room
  - id: T                      # south wall of the bath
    level: main
    from: $t_from
    to: $t_to
    stud: $stud4
    spacing: $module
    role: interior
    left: $board
    right: $board

openings:                      # sill and head above the subfloor
  - id: D1
    wall: S
    at: $d1_at
    width: $d1_width
    head: $door_head
    what: entry door
    opens: yes
  - id: D2
    wall: T
    at: $d2_at
    width: $d2_width
    head: $door_head
    what: bath door
  - id: G1
    wall: E
    at: $g1_at
    width: $g1_width
    sill: $g1_sill
    head: $g1_head
    what: living room window
    opens: yes                 # a vent terminal keeps away from it

rooms:                         # by their finished faces
  - id: bath
    title: Bath
    level: main
    x: $bath_x
    y: $bath_y
    floor: $tile               # tile, above the subfloor
    bathroom: yes
  - id: living
    title: Living room
    level: main
    x: $living_x
    y: $living_y
    floor: $plank

cabinets:                      # heights above the finished floor
  - id: V1
    wall: P
    side: left
    room: bath
    from: $v1_from
    to: $v1_to
    counter: $counter
    counter thick: $counter_thick
    depth: $v1_depth
    toe kick: $toe_kick
    boxes:                     # in order from "from"; their widths add up to the run
      - width: $v1_width
        what: sink base
        floor: $cabinet_floor
        back: $back

fixtures:                      # heights above the finished floor; the fixture sheets win over any habit
  - tag: LV1
    kind: lavatory
    title: Lavatory, undermount
    room: bath
    wall: P
    side: left
    at: $lv_at
    counter: $counter
    counter thick: $counter_thick
    bowl: $bowl                # depth below the underside of the counter
    outlet: $outlet14
    trap: $outlet12            # one size above the outlet, as the arm
    from wall: $lv_from_wall   # outlet centre from the finished wall
    faucet: deck
  - tag: WC1
    kind: water closet
    title: Water closet
    room: bath
    wall: P
    side: left
    at: $wc_at
    drain: $wc_drain           # x, y of the flange
    rough in: $rough_in
    gpf: $gpf
  - tag: BT1
    kind: bathtub
    title: Tub and shower $bt_size
    room: bath
    wall: P                    # the valve wall
    side: left
    at: $bt_at
    drain: $bt_drain
    rim: $bt_rim
    outlet: $outlet12
    faucet: wall
    x: $bt_x                   # set to the studs
    y: $bt_y

obstacles:                     # what is there first
  - id: O1
    what: tub valve
    kind: valve
    wall: P
    side: left
    from: $valve_from
    to: $valve_to
    above floor: $valve_height
    deep: $valve_deep

roof:                          # gable, 4 in 12
  - id: south
    x: $roof_x
    y: $roof_y_south
    low edge: south
    z at low edge: $roof_z
    rise: 4:12
  - id: north
    x: $roof_x
    y: $roof_y_north
    low edge: north
    z at low edge: $roof_z
    rise: 4:12

sewer:                         # measure the invert before anything is glued
  at: $sewer_at
  invert: $sewer_invert
  size: $sewer_size
  runs: south
  what: sewer                  # sewer, septic tank or existing pipe

wishes:
  no vents in walls: N, S, E, W
  stack walls: P
  at most terminals: 1
  aav: no                      # no, last resort, ask or yes: what the authority allows
""")


def starter_text(units: Literal["mm", "inch"]) -> str:
    """Return the starter job as the text of a file."""
    filled = _TEXT.substitute({name: pair[0 if units == "inch" else 1] for name, pair in _VALUES.items()})
    return "".join(f"{_aligned(line)}\n" for line in filled.splitlines())


def _aligned(line: str) -> str:
    """Put the comment behind a value into one column."""
    value, mark, comment = line.partition(" # ")
    return f"{value.rstrip():<{_COMMENT_COLUMN - 1}}{mark}{comment}" if mark and value.strip() else line

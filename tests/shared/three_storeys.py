"""A narrow house of three storeys: a closet at the top, a lavatory at the bottom. Invented."""

JOB = """
stubout: 1
job:
  {title: Three storeys, units: mm, book: upc-2021, framing: irc-framing-2021, material: abs, stock: 3000}
site: {footprint: [5000, 6000], ground at house: -200, ground at sewer: -250}
levels:
  - {id: low, floor: slab, subfloor: 0, slab: 100, gravel: 150, wall height: 2467}
  - {id: mid, floor: frame, subfloor: 2720, wall height: 2467}
  - {id: top, floor: frame, subfloor: 5440, wall height: 2467, attic above: yes}
frames:
  - {id: mid floor, carries: mid, member: sawn, runs: east-west, depth: 235, width: 38, top: 2702, panel: 18,
     members: {first: 400, spacing: 400, count: 14}}
  - {id: top floor, carries: top, member: sawn, runs: east-west, depth: 235, width: 38, top: 5422, panel: 18,
     members: {first: 400, spacing: 400, count: 14}}
  - {id: roof, member: truss, runs: east-west, depth: 89, width: 38, top: 7996, open above: yes,
     members: {first: 400, spacing: 400, count: 14}}
walls:
  - {id: L, level: low, from: [2500, 140], to: [2500, 5860], stud: 140, spacing: 400, left: 13, right: 13}
  - {id: M, level: mid, from: [2500, 140], to: [2500, 5860], stud: 140, spacing: 400, left: 13, right: 13}
  - {id: T, level: top, from: [2500, 140], to: [2500, 5860], stud: 140, spacing: 400, left: 13, right: 13}
rooms:
  - {id: hall, level: low, x: [150, 2417], y: [150, 5850]}
  - {id: study, level: mid, x: [150, 2417], y: [150, 5850]}
  - {id: bath, level: top, x: [150, 2417], y: [150, 5850], bathroom: yes}
fixtures:
  - {tag: WC, kind: water closet, room: bath, wall: T, side: left, at: 2060, drain: [2112, 2200],
     rough in: 305, gpf: 1.28}
  - {tag: LV, kind: lavatory, room: hall, wall: L, side: left, at: 1700, rim: 850, bowl: 140, bowl from: rim,
     outlet: 1 1/4", from wall: 180}
roof:
  - {id: flat, x: [0, 5000], y: [0, 6000], low edge: north, z at low edge: 8400, rise: "0.5:12"}
sewer: {at: [2500, -3000], invert: -1200, size: 4", runs: south}
"""

"""Plan documents written by hand: one that says all there is to say, and ways to spoil it."""

import copy
from typing import Any

# Every name of plan format 1 stands here once; the journal writes its two fractions as texts.
WHOLE_PLAN_TOML = """
format = "triplog-plan/1"
rules = ["us-393", "house"]

[vehicle]
name = "flatbed"
gross_mass = "80000 lb"
use = "interstate business"
deck_length = "48 ft"
deck_width = "8 ft 6 in"
deck_height = "5 ft"
deck_surface = "sawn timber"
front_structure = { height = "4 ft", width = "8 ft", rated = "20000 lb" }
body = "flatbed"
payload = "27 t"
registered_in = "CA-SK"
walls = { front = "EN 12642 XL", sides = "none", rear = "EN 12642 L" }

[[anchor]]
id = "L3"
at = ["6 ft", "left 4 ft", "2 in"]
kind = "ring"
opening = "60 mm"
accepts = ["flat hook", "snap hook"]
wll = "5000 lb"
breaking = "15000 lb"

[[anchor]]
id = "R3"
at = ["6 ft", "right 4 ft"]

[[gear]]
id = "S-1"
kind = "ratchet strap"
width = "2 in"
size = "2 in"
thickness = "0.1 in"
grade = "70"
material = "polyester"
length = "24 ft"
wll = "3300 lb"
breaking = "9900 lb"
lc = "1500 daN"
stf = "350 daN"
shf = "50 daN"
tracer_lines = 1
fittings = [{ kind = "flat hook", wll = "3300 lb" }, { kind = "flat hook" }]
tensioner = { kind = "ratchet", wll = "3500 lb" }
damage = [{ kind = "cut", size = "3/16 in" }]
mass = "3 lb"
friction = 0.6

[[gear]]
id = "M-1"
kind = "friction mat"

[[article]]
id = "A"
what = "crated orchard sprayer"
commodity = "general"
section = "general"
mass = "6200 lb"
mass_basis = "weighed"
length = "12 ft"
width = "6 ft"
height = "5 ft"
at = ["10 ft", "centre"]
cog = { back = "6 ft", across = "right 2 in", up = "2 ft" }
on = "deck"
friction = 0.4
surfaces = ["wooden pallet", "plywood"]
wet = false
mat = "M-1"
sharp_edges = true
rolls = false
contained = false
stands_unaided = true
together = "load-1"
facts = { pieces = 1, eye = "vertical", diameter = "4 ft" }
answers = { 116-stakes = "not looked at" }

[article.blocked]
forward = "front structure"
forward_rated = "40 kN"
forward_up = "1 m"
rearward = "nothing"
rearward_rated = "0 kN"
rearward_up = "0 m"
left = "stakes"
left_rated = "5 kN"
left_up = "50 cm"
right = "stakes"
right_rated = "5 kN"
right_up = "50 cm"

[[tie_down]]
id = "T1"
holds = ["A"]
path = "over"
gear = "S-1"
from = "L3"
to = "R3"
touches = [["12 ft", "left 3 ft", "5 ft"], ["12 ft", "right 3 ft", "5 ft"]]
tension = "350 daN"
tension_basis = "assumed"
tensioner_side = "left"
far_side_share = 0.5
edge_protection = { needed = 2, fitted = 1 }
knots = false
lay = "crosswise"
through_eye = false
retained = "200 daN"

[assumptions]
gravity_m_s2 = 9.81
vertical_factor = 1.0
friction_divided_by = 1.4
face_friction = 0
transmission_k = 1.5
"""

# What is changed in the whole plan (None: taken away; its type: put in as null), and the field
# the refusal must name. All of these a schema can see too.
BAD_SHAPES: list[tuple[tuple[str | int, ...], Any, str]] = [
    (("format",), None, "format"),
    (("format",), "triplog-plan/2", "format"),
    (("rules",), [], "rules"),
    (("rules",), "us-393", "rules"),
    (("rules",), ["us-393", "moon"], "rules[1]"),
    (("rules",), ["house", "house"], "rules[1]"),
    (("speed",), "60 mph", "speed"),
    (("vehicle",), "flatbed", "vehicle"),
    (("vehicle", "name"), "  ", "vehicle.name"),
    (("vehicle", "gross_mass"), 80000, "vehicle.gross_mass"),
    (("vehicle", "gross_mass"), "80000", "vehicle.gross_mass"),
    (("vehicle", "gross_mass"), "heavy", "vehicle.gross_mass"),
    (("vehicle", "gross_mass"), "-5 lb", "vehicle.gross_mass"),
    (("vehicle", "use"), "private", "vehicle.use"),
    (("vehicle", "front_structure"), "None", "vehicle.front_structure"),
    (("vehicle", "front_structure"), {"high": "4 ft"}, "vehicle.front_structure.high"),
    (("anchor",), {"id": "L3"}, "anchor"),
    (("anchor", 0, "id"), None, "anchor[0].id"),
    (("anchor", 0, "at"), "6 ft", "anchor[0].at"),
    (("anchor", 0, "at"), ["6 ft"], "anchor[0].at"),
    (("anchor", 0, "at"), ["6 ft", "left 4 ft", "0 ft", "0 ft"], "anchor[0].at"),
    (("anchor", 0, "at"), [6, "left 4 ft"], "anchor[0].at[0]"),
    (("anchor", 0, "at"), ["6 ft", "4 ft"], "anchor[0].at[1]"),
    (("anchor", 0, "at"), ["6 ft", "left"], "anchor[0].at[1]"),
    (("anchor", 0, "accepts"), "hook", "anchor[0].accepts"),
    (("anchor", 0, "accepts"), [3], "anchor[0].accepts[0]"),
    (("anchor", 0, "wll"), type(None), "anchor[0].wll"),
    (("gear", 0, "kind"), "strap", "gear[0].kind"),
    (("gear", 1, "kind"), None, "gear[1].kind"),
    (("gear", 0, "grade"), 70, "gear[0].grade"),
    (("gear", 0, "tracer_lines"), -1, "gear[0].tracer_lines"),
    (("gear", 0, "tracer_lines"), "one", "gear[0].tracer_lines"),
    (("gear", 0, "tracer_lines"), True, "gear[0].tracer_lines"),
    (("gear", 0, "tracer_lines"), 10**9, "gear[0].tracer_lines"),
    (("gear", 0, "fittings", 1, "wil"), "3000 lb", "gear[0].fittings[1].wil"),
    (("gear", 0, "tensioner"), "ratchet", "gear[0].tensioner"),
    (("gear", 0, "damage", 0, "kind"), None, "gear[0].damage[0].kind"),
    (("article", 0, "commodity"), "sofa", "article[0].commodity"),
    (("article", 0, "section"), "393.999", "article[0].section"),
    (("article", 0, "mass_basis"), "guessed", "article[0].mass_basis"),
    (("article", 0, "friction"), "slippery", "article[0].friction"),
    (("article", 0, "friction"), -1, "article[0].friction"),
    (("article", 0, "friction"), True, "article[0].friction"),
    (("article", 0, "wet"), "no", "article[0].wet"),
    (("article", 0, "surfaces"), ["wood"], "article[0].surfaces"),
    (("article", 0, "cog"), {"back": "6 ft", "up": "2 ft"}, "article[0].cog"),
    (("article", 0, "cog", "across"), "2 ft", "article[0].cog.across"),
    (("article", 0, "blocked"), {"ahead": "wall"}, "article[0].blocked.ahead"),
    (("article", 0, "blocked"), {"left_up": "1 m"}, "article[0].blocked.left"),
    (("tie_down", 0, "holds"), None, "tie_down[0].holds"),
    (("tie_down", 0, "holds"), "A", "tie_down[0].holds"),
    (("tie_down", 0, "holds"), [], "tie_down[0].holds"),
    (("tie_down", 0, "gaer"), "S-1", "tie_down[0].gaer"),
    (("tie_down", 0, "path"), "around", "tie_down[0].path"),
    (("tie_down", 0, "touches"), [["12 ft", "up 3 ft"]], "tie_down[0].touches[0][1]"),
    (("tie_down", 0, "far_side_share"), 2, "tie_down[0].far_side_share"),
    (("tie_down", 0, "edge_protection", "fitted"), "1", "tie_down[0].edge_protection.fitted"),
    (("tie_down", 0, "knots"), 0, "tie_down[0].knots"),
    (("assumptions", "gravity_m_s2"), 32, "assumptions.gravity_m_s2"),
    (("assumptions", "friction_divided_by"), 0, "assumptions.friction_divided_by"),
]
# The shape is right, the meaning is not: only the reader sees these.
BAD_MEANINGS: list[tuple[tuple[str | int, ...], Any, str]] = [
    (("article", 0, "mass"), "0 lb", "article[0].mass"),
    (("article", 0, "length"), "0 ft", "article[0].length"),
    (("article", 0, "length"), "12 lb", "article[0].length"),
    (("article", 0, "mass"), "3 tons", "article[0].mass"),
    (("gear", 0, "wll"), "0 lb", "gear[0].wll"),
    (("gear", 0, "wll"), "3300 ft", "gear[0].wll"),
    (("vehicle", "deck_length"), "1/0 ft", "vehicle.deck_length"),
    (("vehicle", "name"), "flat\nbed", "vehicle.name"),
    (("vehicle", "name"), "flat\ud800bed", "vehicle.name"),
    (("article", 0, "friction"), "0." + "4" * 40, "article[0].friction"),
    (("article", 0, "friction"), "-0.4", "article[0].friction"),
    (("article", 0, "mat"), "M-9", "article[0].mat"),
    (("article", 0, "on"), "B", "article[0].on"),
    (("article", 0, "on"), "A", "article[0].on"),
    (("anchor", 1, "id"), "L3", "anchor[1].id"),
    (("gear", 1, "id"), "S-1", "gear[1].id"),
    (("tie_down", 0, "holds"), ["B"], "tie_down[0].holds"),
    (("tie_down", 0, "gear"), "S-9", "tie_down[0].gear"),
    (("tie_down", 0, "from"), "L9", "tie_down[0].from"),
    (("tie_down", 0, "to"), "R9", "tie_down[0].to"),
]


def changed(document: dict[str, Any], path: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    """A copy of the document with one value put in, or with None taken away."""
    copied = copy.deepcopy(document)
    place: Any = copied
    for step in path[:-1]:
        place = place[step]
    if value is None:
        del place[path[-1]]
    else:
        place[path[-1]] = None if value is type(None) else value
    return copied

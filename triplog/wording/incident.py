"""After an incident, in words: the first minutes, the pictures to take, the pieces to keep.

English. The order, and all that no other source is named for, is common practice with no source.
A load that leans or has been shot: GOV.UK, Securing loads on HGVs and goods vehicles, section 3.
The six fields of the register: 49 CFR 390.15(b)(1).
"""

from collections.abc import Mapping

FIRST_MINUTES = (
    "People first, and you first of them: stop where it endangers nobody, hazard lights on, engine"
    " off, brakes on; get out on the side away from traffic, with something on that is seen.",
    "Do not walk into live lanes: not for the load, not for pieces, not for a picture.",
    "Warn traffic as local law says, with lights and triangles, only where you can do it from off"
    " the road.",
    "Call the emergency services: where you are, how many are hurt, what the load is, what leaks,"
    " smokes or hangs.",
    "Help who is hurt as far as you can without putting yourself in danger.",
    "Keep everybody away from a load that leans, has moved or has fallen. Touch nothing, let no"
    " tie-down off, do not climb on it, do not stand where it could go.",
    "Something leaks or smokes: keep away and upwind; have the shipping paper ready for them.",
    "Keep the pieces: a broken strap, a hook, a label, a protector. Throw nothing away; leave what"
    " lies where it lies unless it endangers somebody.",
    "Where it can wait, nothing is unloaded, tightened or cleared before it has been photographed.",
    "Say what you saw and did: facts only, no guess, nothing of blame. Then tell the office.",
)
DEFER = (
    "Local law and the emergency services come first: what they tell you goes before this list."
    " Nothing needs to be typed while anybody is in danger."
)
LATER = "when everybody is out of danger: triplog incident"

PICTURES: tuple[tuple[str, str], ...] = (
    ("scene", "the whole scene from well back, from each side you can reach off the road"),
    ("road", "the road behind: its surface, signs, the light and the weather"),
    ("marks", "marks and debris on the road, and on the deck"),
    ("front", "the load and the deck from the front"),
    ("rear", "the load and the deck from the rear"),
    ("left side", "the whole left side, every tie-down in it"),
    ("right side", "the whole right side, every tie-down in it"),
    ("article", "each article where it lies now, and where it lay"),
    ("tie-down", "each tie-down as it is, slack or tight"),
    ("anchor point", "each anchor point in use, bent or whole"),
    ("broken piece", "each break or cut from near, with something beside it for its size"),
    ("tag", "each label and marking, readable"),
    ("edge protection", "each edge a tie-down ran over, with or without its protector"),
    ("blocking", "blocking and dunnage as they are now"),
    ("damage", "what was damaged, of others too"),
    ("vehicle", "the vehicle, its plates, and others that took part"),
    ("instrument", "the odometer"),
    ("paper", "the shipping paper"),
)
"""A word for what a picture shows, and what to take it of; the word is what a photo is given."""

PIECES = (
    "strap",
    "chain or rope",
    "hook or fitting",
    "ratchet or binder",
    "tag or label",
    "edge protector",
    "dunnage or blocking",
    "friction mat",
    "anchor point",
    "packaging or banding",
)
PIECE_STATES = ("kept", "not found", "handed over")
TOLD = (
    "emergency services",
    "police",
    "roadside agency",
    "office",
    "insurer",
    "shipper",
    "consignee",
    "other",
)

UNKNOWN = "unknown"
QUESTIONS: dict[str, str] = {
    "load_moved": "Did the load move",
    "load_fell": "Did any of it fall",
    "damage": "Was anything damaged",
    "injured": "How many people are hurt",
    "killed": "How many people died",
    "hazardous_release": "Were dangerous goods released, other than fuel from the tanks",
    "towed": "Was a vehicle towed",
    "police_called": "Were the police called",
    "insurer_called": "Was the insurer told",
}
"""Each fact of an incident with the question that asks for it, in their order."""
COUNTS = ("injured", "killed")
FACTS: dict[str, str] = {
    "load_moved": "the load moved",
    "load_fell": "some of it fell",
    "damage": "damage",
    "injured": "people hurt",
    "killed": "people who died",
    "hazardous_release": "dangerous goods released",
    "towed": "a vehicle towed",
    "police_called": "police called",
    "insurer_called": "insurer told",
}
REGISTER: tuple[tuple[str, str], ...] = (
    ("date", "Date"),
    ("place", "City or town, or the nearest, and state"),
    ("driver", "Driver's name"),
    ("injured", "Number of injuries"),
    ("killed", "Number of fatalities"),
    ("hazardous_release", "Hazardous materials released, other than fuel from the tanks"),
)
"""The six fields of an accident register, 49 CFR 390.15(b)(1)(i) to (vi), read there."""

HELD = "the trip is under an evidence hold: nothing of it goes until a named person lifts it"
DRAFT = (
    "Draft, unsigned. Facts as they were recorded, not conclusions: nothing here says why it"
    " happened or whose doing it was. What nobody has told stands as unknown. What was written"
    " down later than it happened says so."
)
SIGN = "Left blank for whoever signs: name, position, date, and what they state of their own."


def fact_text(value: object) -> str:
    """A fact as told: yes, no, a number, or unknown where nobody told it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return UNKNOWN if value is None else str(value)


def facts_text(body: Mapping[str, object]) -> str:
    """Every fact that an entry tells, in one line; "" where it tells none."""
    told = [f"{words}: {fact_text(body[name])}" for name, words in FACTS.items() if name in body]
    who = body.get("told")
    if isinstance(who, list) and who:
        told.append(f"told: {', '.join(map(str, who))}")
    return "; ".join(told)


def first_minutes() -> list[str]:
    """The list of the first minutes, numbered, and what goes before it."""
    return [
        *(f"{number:>2}  {line}" for number, line in enumerate(FIRST_MINUTES, start=1)),
        DEFER,
    ]

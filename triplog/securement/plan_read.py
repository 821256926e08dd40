"""From a plan document (what TOML or JSON says) to the plan, table by table."""

import re
from collections.abc import Mapping
from typing import Literal

from triplog.securement.cargo_facts import (
    ANSWERS,
    FACTS_BY_NAME,
    QUESTIONS_BY_ID,
    Answer,
    FactKind,
    FactValue,
)
from triplog.securement.model import (
    Anchor,
    Article,
    Assumptions,
    Block,
    Body,
    CentreOfGravity,
    Commodity,
    Damage,
    Direction,
    EdgeProtection,
    FrontStructure,
    Gear,
    GearKind,
    MassBasis,
    Part,
    Path,
    Plan,
    PlanRefused,
    TieDown,
    Vehicle,
    Walls,
)
from triplog.securement.plan_fields import Fields, across_of, described
from triplog.securement.plan_names import (
    LAYS,
    NAMES,
    PLAN_FORMAT,
    RULE_SETS,
    RULE_SETS_BY_DEFAULT,
    SECTIONS,
    TENSION_BASES,
    TENSIONER_SIDES,
    USES,
    WALL_CODES,
)
from triplog.securement.quantity import Dimension

# A country of ISO 3166-1, or a subdivision of ISO 3166-2.
_PLACE_CODE = re.compile("[A-Z]{2}(-[A-Z0-9]{1,3})?")


def plan_from_document(document: Mapping[str, object]) -> Plan:
    """The plan that a document in plan format 1 says. Raises PlanRefused, naming the field."""
    top = Fields(document, "", NAMES[""])
    if top.get("format") != PLAN_FORMAT:
        raise PlanRefused(
            "format", f'"{PLAN_FORMAT}" must stand here, not {described(top.get("format"))}'
        )
    vehicle = top.table("vehicle", NAMES["vehicle"])
    assumptions = top.table("assumptions", NAMES["assumptions"])
    return Plan(
        rules=_rules(top),
        vehicle=Vehicle() if vehicle is None else _vehicle(vehicle),
        anchors=tuple(_anchor(one) for one in top.tables("anchor", NAMES["anchor"]) or ()),
        gear=tuple(_gear(one) for one in top.tables("gear", NAMES["gear"]) or ()),
        articles=tuple(_article(one) for one in top.tables("article", NAMES["article"]) or ()),
        tie_downs=tuple(_tie_down(one) for one in top.tables("tie_down", NAMES["tie_down"]) or ()),
        assumptions=Assumptions() if assumptions is None else _assumptions(assumptions),
    )


def _rules(top: Fields) -> tuple[str, ...]:
    rules = top.texts("rules")
    if rules is None:
        return RULE_SETS_BY_DEFAULT
    if not rules:
        raise PlanRefused("rules", "name at least one rule set, or leave the name out")
    for number, rule_set in enumerate(rules):
        if rule_set not in RULE_SETS:
            raise PlanRefused(
                f"rules[{number}]",
                f'there is no rule set "{rule_set}"; known are {", ".join(RULE_SETS)}',
            )
        if rule_set in rules[:number]:
            raise PlanRefused(f"rules[{number}]", f'the rule set "{rule_set}" is given twice')
    return rules


def _vehicle(fields: Fields) -> Vehicle:
    return Vehicle(
        name=fields.text("name"),
        gross_mass=fields.quantity("gross_mass", Dimension.MASS),
        use=fields.choice("use", USES),
        deck_length=fields.quantity("deck_length", Dimension.LENGTH),
        deck_width=fields.quantity("deck_width", Dimension.LENGTH),
        deck_height=fields.quantity("deck_height", Dimension.LENGTH),
        deck_surface=fields.text("deck_surface"),
        front_structure=_front_structure(fields),
        body=fields.choice("body", tuple(Body)),
        payload=fields.quantity("payload", Dimension.MASS),
        registered_in=_registered_in(fields),
        walls=_walls(fields),
    )


def _registered_in(fields: Fields) -> str | None:
    code = fields.text("registered_in")
    if code is not None and not _PLACE_CODE.fullmatch(code):
        raise PlanRefused(
            fields.path("registered_in"),
            f'"{code[:40]}" is no code of a country or province: write for example "CA-SK" or "US"',
        )
    return code


def _walls(fields: Fields) -> Walls:
    walls = fields.table("walls", NAMES["vehicle.walls"])
    if walls is None:
        return Walls()
    return Walls(
        front=walls.choice("front", WALL_CODES),
        sides=walls.choice("sides", WALL_CODES),
        rear=walls.choice("rear", WALL_CODES),
    )


def _front_structure(fields: Fields) -> FrontStructure | Literal["none"] | None:
    if fields.get("front_structure") == "none":
        return "none"
    if isinstance(fields.get("front_structure"), str):
        raise PlanRefused(
            fields.path("front_structure"), 'write "none", or a table with height, width and rated'
        )
    structure = fields.table("front_structure", NAMES["vehicle.front_structure"])
    if structure is None:
        return None
    return FrontStructure(
        height=structure.quantity("height", Dimension.LENGTH),
        width=structure.quantity("width", Dimension.LENGTH),
        rated=structure.quantity("rated", Dimension.FORCE, zero=True),
    )


def _anchor(fields: Fields) -> Anchor:
    return Anchor(
        id=fields.text_needed("id"),
        at=fields.position("at"),
        kind=fields.text("kind"),
        opening=fields.quantity("opening", Dimension.LENGTH),
        accepts=fields.texts("accepts"),
        wll=fields.quantity("wll", Dimension.FORCE),
        breaking=fields.quantity("breaking", Dimension.FORCE),
    )


def _gear(fields: Fields) -> Gear:
    kind = fields.choice("kind", tuple(GearKind))
    if kind is None:
        raise PlanRefused(fields.path("kind"), "it is missing and must be given")
    fittings = fields.tables("fittings", NAMES["gear.fittings"])
    tensioner = fields.table("tensioner", NAMES["gear.tensioner"])
    damage = fields.tables("damage", NAMES["gear.damage"])
    return Gear(
        id=fields.text_needed("id"),
        kind=kind,
        width=fields.quantity("width", Dimension.LENGTH),
        size=fields.quantity("size", Dimension.LENGTH),
        thickness=fields.quantity("thickness", Dimension.LENGTH),
        grade=fields.text("grade"),
        material=fields.text("material"),
        length=fields.quantity("length", Dimension.LENGTH),
        wll=fields.quantity("wll", Dimension.FORCE),
        breaking=fields.quantity("breaking", Dimension.FORCE),
        lc=fields.quantity("lc", Dimension.FORCE),
        stf=fields.quantity("stf", Dimension.FORCE),
        shf=fields.quantity("shf", Dimension.FORCE),
        tracer_lines=fields.count("tracer_lines"),
        fittings=None if fittings is None else tuple(_part(one) for one in fittings),
        tensioner=None if tensioner is None else _part(tensioner),
        damage=None if damage is None else tuple(_damage(one) for one in damage),
        mass=fields.quantity("mass", Dimension.MASS),
        friction=fields.number("friction", least="0", most="10"),
    )


def _part(fields: Fields) -> Part:
    return Part(
        kind=fields.text("kind"),
        wll=fields.quantity("wll", Dimension.FORCE),
        breaking=fields.quantity("breaking", Dimension.FORCE),
    )


def _damage(fields: Fields) -> Damage:
    return Damage(kind=fields.text_needed("kind"), size=fields.quantity("size", Dimension.LENGTH))


def _article(fields: Fields) -> Article:
    return Article(
        id=fields.text_needed("id"),
        what=fields.text("what"),
        commodity=fields.choice("commodity", tuple(Commodity)),
        section=fields.choice("section", SECTIONS),
        mass=fields.quantity("mass", Dimension.MASS),
        mass_basis=fields.choice("mass_basis", tuple(MassBasis)),
        length=fields.quantity("length", Dimension.LENGTH),
        width=fields.quantity("width", Dimension.LENGTH),
        height=fields.quantity("height", Dimension.LENGTH),
        at=fields.position("at"),
        cog=_cog(fields),
        on=fields.text("on") or "deck",
        friction=fields.number("friction", least="0", most="10"),
        surfaces=_surfaces(fields),
        wet=fields.flag("wet"),
        mat=fields.text("mat"),
        blocked=_blocked(fields),
        sharp_edges=fields.flag("sharp_edges"),
        rolls=fields.flag("rolls"),
        contained=fields.flag("contained"),
        stands_unaided=fields.flag("stands_unaided"),
        together=fields.text("together"),
        facts=_facts(fields),
        answers=_answers(fields),
    )


def _facts(fields: Fields) -> dict[str, FactValue]:
    table = fields.table("facts", NAMES["article.facts"])
    facts: dict[str, FactValue] = {}
    if table is None:
        return facts
    for name, fact in FACTS_BY_NAME.items():
        value: FactValue | None
        if fact.kind is FactKind.COUNT:
            value = table.count(name)
        elif fact.kind is FactKind.YES_NO:
            value = table.flag(name)
        elif fact.kind is FactKind.WORD:
            value = table.choice(name, fact.words)
        else:
            value = table.quantity(name, Dimension(str(fact.kind)))
        if value is not None:
            facts[name] = value
    return facts


def _answers(fields: Fields) -> dict[str, Answer]:
    table = fields.table("answers", NAMES["article.answers"])
    answers: dict[str, Answer] = {}
    if table is None:
        return answers
    for question_id in QUESTIONS_BY_ID:
        answer = table.choice(question_id, ANSWERS)
        if answer is not None:
            answers[question_id] = answer
    return answers


def _cog(fields: Fields) -> CentreOfGravity | None:
    cog = fields.table("cog", NAMES["article.cog"])
    if cog is None:
        return None
    back = cog.quantity("back", Dimension.LENGTH, zero=True)
    up = cog.quantity("up", Dimension.LENGTH, zero=True)
    if back is None or up is None or not cog.has("across"):
        raise PlanRefused(cog.where, "give back, across and up together, or leave cog out")
    return CentreOfGravity(
        back_m=back.si, left_m=across_of(cog.get("across"), cog.path("across")), up_m=up.si
    )


def _surfaces(fields: Fields) -> tuple[str, str] | None:
    surfaces = fields.texts("surfaces")
    if surfaces is None:
        return None
    if len(surfaces) != 2:
        raise PlanRefused(fields.path("surfaces"), "name the two surfaces that touch")
    return surfaces[0], surfaces[1]


def _blocked(fields: Fields) -> dict[Direction, Block]:
    table = fields.table("blocked", NAMES["article.blocked"])
    blocked: dict[Direction, Block] = {}
    if table is None:
        return blocked
    for direction in Direction:
        by = table.text(direction)
        rated = table.quantity(f"{direction}_rated", Dimension.FORCE, zero=True)
        up = table.quantity(f"{direction}_up", Dimension.LENGTH, zero=True)
        if by == "nothing" and rated is not None and rated.value:
            raise PlanRefused(
                table.path(f"{direction}_rated"),
                f'"nothing" cannot hold "{rated.typed}": say what blocks {direction}, or leave'
                " _rated out",
            )
        if by is not None:
            blocked[direction] = Block(by=by, rated=rated, up=up)
        elif rated is not None or up is not None:
            raise PlanRefused(
                table.path(direction), f"say what blocks {direction}, or leave _rated and _up out"
            )
    return blocked


def _tie_down(fields: Fields) -> TieDown:
    holds = fields.texts("holds")
    if holds is None:
        raise PlanRefused(fields.path("holds"), 'name the articles it holds, such as holds = ["A"]')
    protection = fields.table("edge_protection", NAMES["tie_down.edge_protection"])
    return TieDown(
        id=fields.text_needed("id"),
        holds=holds,
        path=fields.choice("path", tuple(Path)),
        gear=fields.text("gear"),
        from_anchor=fields.text("from"),
        to=fields.text("to"),
        touches=fields.positions("touches"),
        tension=fields.quantity("tension", Dimension.FORCE, zero=True),
        tension_basis=fields.choice("tension_basis", TENSION_BASES),
        tensioner_side=fields.choice("tensioner_side", TENSIONER_SIDES),
        far_side_share=fields.number("far_side_share", least="0", most="1"),
        edge_protection=None
        if protection is None
        else EdgeProtection(needed=protection.count("needed"), fitted=protection.count("fitted")),
        knots=fields.flag("knots"),
        lay=fields.choice("lay", LAYS),
        through_eye=fields.flag("through_eye"),
        retained=fields.quantity("retained", Dimension.FORCE, zero=True),
    )


def _assumptions(fields: Fields) -> Assumptions:
    return Assumptions(
        gravity_m_s2=fields.number("gravity_m_s2", least="9", most="10"),
        vertical_factor=fields.number("vertical_factor", least="0", most="10"),
        friction_divided_by=fields.number("friction_divided_by", least="1", most="10"),
        face_friction=fields.number("face_friction", least="0", most="10"),
        transmission_k=fields.number("transmission_k", least="1", most="2"),
    )

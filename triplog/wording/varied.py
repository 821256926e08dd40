"""What would change if something small were different, in sentences."""

from collections.abc import Sequence

from triplog.securement.compared import Change
from triplog.securement.model import Plan
from triplog.securement.variations import Name, Variation, friction_figure
from triplog.wording.amounts import Units, comparison_texts
from triplog.wording.findings import Row, citation_text, listed, title
from triplog.wording.gathered import family_of
from triplog.wording.handbook import bundle_heading, headed_lines, verdict_line
from triplog.wording.languages import words_of


def varied_head(
    same: Sequence[Variation], plan: Plan, angle_deg: float, language: str = "en"
) -> str:
    """What was changed in a plan; several alike in one sentence."""
    words, first = _words(language), same[0]
    about = listed(tuple(thing for one in same for thing in one.about), words_of(language))
    if first.name in ("wet", "mat"):
        row = friction_figure(first.name)
        sure = words_of(language).general.HOW_SURE[row.citation.how_sure]
        source = f"{row.citation.source} {row.citation.edition}, {sure}"
        return words[first.name].format(about=about, figure=row.cells["dry"], source=source)
    if first.name == "one-more":
        more = first.plan.tie_downs[-1]
        return words["one-more"].format(
            last=plan.tie_downs_on(first.about[0])[-1].id,
            holds=listed(more.holds, words_of(language)),
            start=more.from_anchor or "?",
            end=more.to or "?",
        )
    if first.name == "angle":
        return words["angle"].format(about=about, angle=f"{angle_deg:g}")
    return words[first.name if len(same) == 1 else f"{first.name}-several"].format(about=about)


def varied_notes(variation: Variation, language: str = "en") -> list[str]:
    """What is to be said beside the changes."""
    words = _words(language)
    notes = [words["slack-note"]] if variation.name == "slack" else []
    if variation.beyond_deck:
        about = listed(variation.beyond_deck, words_of(language))
        notes.append(words["beyond-deck"].format(about=about))
    return notes


def does_not_apply(name: Name, angle_deg: float, language: str = "en") -> str:
    """Why a variation was not tried."""
    return _words(language)[f"no-{name}"].format(angle=f"{angle_deg:g}")


def changes_lines(
    changes: Sequence[Change],
    width: int = 100,
    language: str = "en",
    units: Units | None = None,
) -> list[str]:
    """The verdicts that change, each with its figures; then the figures that only move."""
    words = _words(language)
    if not changes:
        return [words["nothing"]]
    of_verdict = [one for one in changes if one.is_of_verdict]
    moved = [one for one in changes if not one.is_of_verdict]
    lines = [] if of_verdict else [words["no-verdict"]]
    for alike in _alike(of_verdict):
        lines += _change_lines(alike, width, language, units)
    if moved and of_verdict:
        lines.append(words["moved"])
    return [*lines, *(_moved_line(one, language, units) for one in moved)]


def figures_texts(change: Change, units: Units | None = None) -> tuple[str, str, str]:
    """Provided before, provided after, and asked; "" for what is not known or was not asked."""
    before = "" if change.before is None else comparison_texts(change.before, units)[1]
    after = "" if change.after is None else comparison_texts(change.after, units)[1]
    return before, after, comparison_texts(change.finding, units)[0]


def verdict_words(change: Change, language: str = "en") -> tuple[str, str]:
    """The verdict before and after."""
    absent = _words(language)["not-asked"]
    return (
        absent if change.before is None else str(change.before.verdict),
        absent if change.after is None else str(change.after.verdict),
    )


def _alike(changes: Sequence[Change]) -> list[list[Change]]:
    """Those that a reader is told once: findings that are gathered, and were alike before."""
    alike: dict[object, list[Change]] = {}
    for number, one in enumerate(changes):
        was = None if one.before is None else one.before.verdict
        family = family_of(one.finding)
        key = (family, one.about, was, one.finding.verdict, one.finding.scope) if family else number
        alike.setdefault(key, []).append(one)
    return list(alike.values())


def _change_lines(
    alike: Sequence[Change], width: int, language: str, units: Units | None
) -> list[str]:
    labels, change = words_of(language).general.LABELS, alike[0]
    was, now = verdict_words(change, language)
    under = [Row(label=labels["was"], figure=was, text="")]
    if len(alike) > 1:
        heading = bundle_heading([one.finding for one in alike], language)
        return headed_lines(now, heading, under, width)
    head = "    ".join(
        (_titled(change, language), change.finding.rule, citation_text(change.finding))
    )
    before, after, _ = figures_texts(change, units)
    if before or after:
        now_there = after or _words(language)["not-known"]
        told = _compared(change, language, units)
        under.append(Row(label=labels["provided"], figure=now_there, text=told))
    return headed_lines(now, head, under, width)


def _moved_line(change: Change, language: str, units: Units | None) -> str:
    _, after, _ = figures_texts(change, units)
    figures = (after or _words(language)["not-known"], _compared(change, language, units))
    return verdict_line(
        str(change.finding.verdict),
        _titled(change, language),
        ", ".join(part for part in figures if part),
        change.finding.rule,
    )


def _compared(change: Change, language: str, units: Units | None) -> str:
    """As "3,447 daN before, 5,886 daN asked"."""
    words = _words(language)
    before, _, required = figures_texts(change, units)
    return ", ".join(
        part
        for part in (
            words["before"].format(before=before) if before else "",
            words["asked"].format(required=required) if required else "",
        )
        if part
    )


def _titled(change: Change, language: str) -> str:
    return f"{title(change.finding, language)}: {', '.join(change.about)}"


def _words(language: str) -> dict[str, str]:
    told: dict[str, str] = words_of(language).general.VARIED
    return told

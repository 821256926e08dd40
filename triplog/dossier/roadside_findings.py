"""Findings on the roadside sheet: those with numbers side by side, then all that is not settled."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from exports.document import Block, Column, Paragraph, Table
from triplog.journal.folding import InForce
from triplog.securement.finding import Count, Finding, Scope, Verdict
from triplog.wording.amounts import comparison_texts
from triplog.wording.due import clock
from triplog.wording.findings import citation_text, scope_line, title, unknown_line
from triplog.wording.gathered import Family, family_of
from triplog.wording.languages import words_of

_SIDE_BY_SIDE = (
    "us-393.110-count",
    "ca-nsc10-count",
    "us-393.106-aggregate",
    "ca-nsc10-aggregate",
    "house-combined",
)
# So that one row does not take the room of many.
_NAMED_MAX = 2
_UNSETTLED = (Verdict.DOES_NOT_MEET, Verdict.CANNOT_TELL)


def finding_blocks(
    judged: InForce | None, findings: Sequence[Finding], offset_min: int, now: datetime
) -> list[Block]:
    """The findings of a judgement, each with its own verdict; `judged` None: there was none."""
    if judged is None:
        return [Paragraph(text="The plan in force has not been judged.", style="caution")]
    when = clock(judged.entry.event_time, offset_min, now)
    open_guidance = [one for one in findings if _is_open_guidance(one)]
    unsettled = [
        one for one in findings if one.verdict in _UNSETTLED and not _is_open_guidance(one)
    ]
    blocks: list[Block] = []
    chosen = [one for one in findings if one.rule in _SIDE_BY_SIDE]
    if chosen:
        blocks.append(_side_by_side(chosen))
    if unsettled:
        blocks.append(_list(unsettled))
    settled = [one for one in findings if one.verdict not in _UNSETTLED]
    rest = sum(1 for one in settled if one.rule not in _SIDE_BY_SIDE)
    told = f"{rest} further findings meet or do not apply; the findings file has all."
    if open_guidance:
        titles = ", ".join(dict.fromkeys(title(one) for one in open_guidance))
        told = f"{told} Cannot be told, and no law: {titles}."
    return [*blocks, Paragraph(text=f"Judged {when}. {told}", style="small")]


def _is_open_guidance(finding: Finding) -> bool:
    """What nobody has told of how the gear fits: named in a line, so that the law has the room."""
    return finding.rule_set == "fit" and finding.verdict is Verdict.CANNOT_TELL


def _side_by_side(findings: Sequence[Finding]) -> Table:
    """A row for each article or group, a column for each rule."""
    columns = {one.rule: one for one in reversed(findings)}
    rules = [rule for rule in _SIDE_BY_SIDE if rule in columns]
    cells = {(one.about, one.rule): _compared(one) for one in findings}
    abouts = dict.fromkeys(one.about for one in findings)
    return Table(
        columns=(
            Column(title="Findings"),
            *(Column(title=_asked(columns[rule]), weight=9) for rule in rules),
        ),
        rows=tuple(
            (", ".join(about), *(cells.get((about, rule), "-") for rule in rules))
            for about in abouts
        ),
    )


def _list(findings: Sequence[Finding]) -> Table:
    """What does not meet, then what cannot be told; a row for each rule and verdict.

    Rules that stand side by side above are not explained once more.
    """
    alike: defaultdict[tuple[Family | str, Verdict, Scope], list[Finding]] = defaultdict(list)
    for one in findings:
        alike[family_of(one) or one.rule, one.verdict, one.scope].append(one)
    rows = [
        (
            str(verdict),
            _asked_by(rule, same[0]),
            ", ".join(dict.fromkeys(about for one in same for about in one.about)),
            _what_there_is(same),
        )
        for verdict in _UNSETTLED
        for (rule, its_verdict, _), same in alike.items()
        if its_verdict is verdict
    ]
    return Table(
        columns=(
            Column(title="Verdict", weight=9),
            Column(title="Finding", weight=4),
            Column(title="About"),
            Column(title="What there is", weight=2),
        ),
        rows=tuple(rows),
    )


def _what_there_is(same: Sequence[Finding]) -> str:
    """Figures where there are some, else what is not known; of findings of one rule and verdict."""
    figures = {", ".join(one.about): _figures(one) for one in same}
    told = set(figures.values())
    if told == {""}:
        unknown = tuple(dict.fromkeys(missing for one in same for missing in one.unknown))
        if len(unknown) > _NAMED_MAX:
            return f"not known: {len(unknown)} facts"
        line = unknown_line(replace(same[0], unknown=unknown))
        return f"not known: {line}" if line else ""
    if same[0].rule in _SIDE_BY_SIDE:
        return "as above"
    if len(told) == 1:
        return told.pop()
    return "; ".join(f"{about}: {text or 'not known'}" for about, text in figures.items())


def _asked_by(rule: Family | str, finding: Finding) -> str:
    """As `_asked`; short for rules that stand above, and for those asked by direction."""
    if isinstance(rule, Family):
        told = (words_of("en").titles[rule.title], rule.clause, scope_line(finding))
        return ", ".join(part for part in told if part)
    return title(finding) if rule in _SIDE_BY_SIDE else _asked(finding)


def _asked(finding: Finding) -> str:
    """What the rule is about, where it stands, and how binding it is where it is not law."""
    source = "" if finding.scope is Scope.COMMON_PRACTICE else citation_text(finding)
    return ", ".join(part for part in (title(finding), source, scope_line(finding)) if part)


def _compared(finding: Finding) -> str:
    figures = _figures(finding)
    return f"{finding.verdict}: {figures}" if figures else str(finding.verdict)


def _figures(finding: Finding) -> str:
    """What there is for what is needed: "3,335 for 4,200 lb"; "" where one is not known."""
    required, provided = comparison_texts(finding)
    if not (required and provided):
        return ""
    if isinstance(finding.required, Count):
        required = f"{finding.required.value:,}"
    if isinstance(finding.provided, Count):
        provided = f"{finding.provided.value:,}"
    unit = f" {required.rpartition(' ')[2]}"
    return f"{provided.removesuffix(unit)} for {required}"

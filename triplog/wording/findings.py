"""Findings in sentences. Every function is pure and takes the reader's language.

`rows` is the one account of a finding; `sum_lines` and the handbook look are made from it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from triplog.securement.finding import Count, Finding, Missing, Step, Value, Verdict
from triplog.securement.quantity import Amount
from triplog.wording.amounts import (
    Units,
    amount_text,
    comparison_texts,
    count_text,
    is_zero,
    margin_text,
    measure_text,
)
from triplog.wording.languages import Words, words_of

_LISTS = frozenset({"names", "tie_downs", "abouts", "directions"})
_ENDINGS = {
    "-not-built": "NOT_BUILT",
    "-choice": "CHOICE",
    "-applies": "APPLIES",
    "-answers": "ANSWERS",
}
_ANSWERS = "answers."
_MULTIPLIED = frozenset({"weight", "height", "arm"})
"""Numbers that a sum goes on with: rounded to the nearest, so that it comes out on paper."""
_DECIMALS_OF_LENGTHS = 3
_ROUNDED_UP = frozenset({"at_least", "anchor_at_least", "required", "run", "short"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line about a finding: a label, the figure it is about, and why. Any may be empty."""

    label: str
    figure: str
    text: str


def title(finding: Finding, language: str = "en") -> str:
    """What the rule is about, in a few words."""
    words = words_of(language)
    ending = _ending(finding)
    if ending:
        return str(getattr(words.general, f"TITLE_{ending}"))
    return words.titles[finding.rule]


def question(finding: Finding, language: str = "en") -> str:
    """What the rule asks, as a question."""
    words = words_of(language)
    ending = _ending(finding)
    template = (
        str(getattr(words.general, f"QUESTION_{ending}"))
        if ending
        else words.questions[finding.rule]
    )
    return template.format(about=listed(finding.about, words))


def _ending(finding: Finding) -> str:
    """The end of a rule id that many rules share and that has words of its own; "" for others."""
    return next((name for end, name in _ENDINGS.items() if finding.rule.endswith(end)), "")


def citation_text(finding: Finding) -> str:
    """The source with its clause, as "49 CFR 393.106(d)"."""
    return f"{finding.citation.source} {finding.citation.clause}".strip()


def step_text(step: Step, language: str = "en", units: Units | None = None) -> str:
    """The sentence of one step, mend or decision."""
    words = words_of(language)
    values = {name: _value(name, value, words, units) for name, value in step.values.items()}
    if "fields" in values:
        values["names"] = _rated_parts(step.values, words)
    if "part" in values:
        values["part"] = _part(values["part"], values.pop("kind"))
    return words.steps[step.id].format(**values)


def unknown_line(finding: Finding, language: str = "en") -> str:
    """Everything not known, in one line, alike facts together; "" where all is known."""
    return missing_text(finding.unknown, words_of(language))


def missing_text(unknown: Iterable[Missing], words: Words) -> str:
    """Facts that are missing, in one line, alike facts together; "" where there are none."""
    by_field: dict[str, list[str]] = {}
    for missing in unknown:
        question = missing.field.removeprefix(_ANSWERS)
        field, about = missing.field, missing.about
        if question != field:  # the questions are named together, and stand in the sum
            field, about = "answers", question
        by_field.setdefault(field, []).append(about)
    return "; ".join(
        words.fields.get(field, words.general.FIELD_OTHER).format(
            field=field, about=listed(tuple(abouts), words)
        )
        for field, abouts in by_field.items()
    )


def decides_line(finding: Finding, language: str = "en", units: Units | None = None) -> str:
    """What would settle an open verdict, or that the open range settles it; "" without a range."""
    if finding.range is None:
        return ""
    decides = finding.range.decides
    if finding.verdict is not Verdict.CANNOT_TELL:
        decides = Step(id="decides.settled")
    if decides.id == "decides.several":
        decides = Step(id=decides.id, values={"unknown": unknown_line(finding, language)})
    return step_text(decides, language, units)


def mend_line(finding: Finding, language: str = "en", units: Units | None = None) -> str:
    """What would mend it; "" where nothing needs mending."""
    return "" if finding.mend is None else step_text(finding.mend, language, units)


def scope_line(finding: Finding, language: str = "en") -> str:
    """How binding it is, where it is not law; "" where it is."""
    return str(words_of(language).general.SCOPES[finding.scope])


def sum_lines(finding: Finding, language: str = "en", units: Units | None = None) -> list[str]:
    """The sum, a sentence a line: what is asked, each tie-down or part, the total, the margin."""
    return [row_text(row) for row in sum_rows(finding, language, units)]


def row_text(row: Row) -> str:
    """A row as one line of text."""
    head = f"{row.label} {row.figure}".strip()
    return ": ".join(part for part in (head, row.text) if part)


def rows(finding: Finding, language: str = "en", units: Units | None = None) -> list[Row]:
    """The whole account: the sum, what is not known and would decide, what would mend it."""
    labels = words_of(language).general.LABELS
    after = (
        ("unknown", unknown_line(finding, language)),
        ("decides", decides_line(finding, language, units) if _decides_more(finding) else ""),
        ("mend", mend_line(finding, language, units)),
        ("scope", scope_line(finding, language)),
    )
    return [
        *sum_rows(finding, language, units),
        *(Row(label=labels[name], figure="", text=text) for name, text in after if text),
    ]


def rows_told_once(same: Sequence[Finding], language: str = "en") -> list[Row]:
    """The account of several findings alike, of which none has a figure of its own."""
    labels = words_of(language).general.LABELS
    missing = tuple(dict.fromkeys(missing for one in same for missing in one.unknown))
    notes = dict.fromkeys(
        step_text(step, language)
        for one in same
        for step in one.steps
        if step.id.startswith("note.")
    )
    after = (
        ("unknown", unknown_line(replace(same[0], unknown=missing), language)),
        ("scope", scope_line(same[0], language)),
    )
    return [
        *(Row(label="", figure="", text=text) for text in notes),
        *(Row(label=labels[name], figure="", text=text) for name, text in after if text),
    ]


def _decides_more(finding: Finding) -> bool:
    """Whether what decides is more than what stands listed as not known."""
    if finding.range is None or finding.verdict is not Verdict.CANNOT_TELL:
        return False
    return finding.range.decides.id != "decides.several"


def sum_rows(finding: Finding, language: str = "en", units: Units | None = None) -> list[Row]:
    """The sum as rows; the figures agree with the verdict."""
    labels = words_of(language).general.LABELS
    required, provided = comparison_texts(finding, units)
    by_kind: dict[str, list[str]] = {"required": [], "provided": [], "part": [], "note": []}
    for step in finding.steps:
        kind = step.id.split(".")[0]
        if kind == "other":  # belongs to the line before it
            kind = _kind_of_last(by_kind)
        by_kind[kind].append(step_text(step, language, units))
    lines = [
        *_block(labels["required"], required, by_kind["required"], total_last=False),
        *_block(labels["provided"], provided, by_kind["provided"], total_last=True),
        *(Row(label="", figure="", text=text) for text in dict.fromkeys(by_kind["part"])),
    ]
    if finding.margin is not None and not is_zero(finding.margin):
        amount = finding.margin
        short = (amount.value if isinstance(amount, Count) else amount.si) < 0
        label = labels["short" if short else "spare"]
        lines.append(Row(label=label, figure=margin_text(amount, units), text=""))
    lines += _range_rows(finding, language, units)
    return [*lines, *(Row(label="", figure="", text=text) for text in by_kind["note"])]


def _kind_of_last(by_kind: dict[str, list[str]]) -> str:
    return next((kind for kind in ("provided", "required") if by_kind[kind]), "note")


def _block(label: str, figure: str, texts: list[str], *, total_last: bool) -> list[Row]:
    """A figure and the lines that make it: on the one line there is, else as first or last."""
    if not texts:
        return [Row(label=label, figure=figure, text="")] if figure else []
    if len(texts) == 1 or not total_last:
        first = Row(label=label, figure=figure, text=texts[0])
        return [first, *(Row(label="", figure="", text=text) for text in texts[1:])]
    lines = [Row(label="", figure="", text=text) for text in texts]
    return [*lines, Row(label=label, figure=figure, text="")] if figure else lines


def _range_rows(finding: Finding, language: str, units: Units | None) -> list[Row]:
    ends = finding.range
    if ends is None or finding.verdict is not Verdict.CANNOT_TELL or ends.worst == ends.best:
        return []
    words = words_of(language)
    worst = measure_text(ends.worst, "down", units)
    if ends.best is None and is_zero(ends.worst):
        return []
    if ends.best is None:
        return [Row(label=words.general.LABELS["open"], figure=worst, text="")]
    best = measure_text(ends.best, "down", units)
    figure = f"{worst} {words.general.AND} {best}"
    return [Row(label=words.general.LABELS["between"], figure=figure, text="")]


def _value(name: str, value: Value, words: Words, units: Units | None) -> str:
    if isinstance(value, Amount) and name in _MULTIPLIED:
        return amount_text(
            value, "nearest", units, _DECIMALS_OF_LENGTHS if value.unit == "m" else None
        )
    if isinstance(value, Amount):
        return amount_text(value, "up" if name in _ROUNDED_UP else "down", units)
    if isinstance(value, Count):
        return count_text(value)
    if isinstance(value, int):
        return f"{value:,}"
    tables = {
        "path": words.general.PATHS,
        "credit": words.general.CREDITS,
        "share": words.general.SHARES,
        "part": words.general.PARTS,
        "asked": words.asked,
    }
    if name in tables:
        return str(tables[name][value])
    return listed(tuple(value.split(", ")), words) if name in _LISTS else value


def _part(part: str, kind: str) -> str:
    """The part and what it is, as "anchor point (ring)"; the body is named by its kind alone."""
    if not part or not kind:
        return part or kind
    return f"{part} ({kind})"


def _rated_parts(values: Mapping[str, Value], words: Words) -> str:
    """The pieces and parts of them whose rating is not known, as "L1 and the tensioner of S-1"."""
    pairs = zip(str(values["fields"]).split(", "), str(values["names"]).split(", "), strict=True)
    named = (words.general.RATED_PARTS[field].format(about=about) for field, about in pairs)
    return listed(tuple(named), words)


def listed(names: tuple[str, ...], words: Words) -> str:
    """Names as "A", "A and B", "A, B and C"."""
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} {words.general.AND} {names[-1]}"

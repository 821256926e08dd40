"""The words that every rule set uses: scopes, paths, parts, labels of lines.

In a template `{name}` is filled with the step's value of that name, already written out.
"""

TITLE_NOT_BUILT = "rule that is not judged here"
TITLE_CHOICE = "section to choose"
TITLE_APPLIES = "section that may hold"
TITLE_ANSWERS = "what no number covers"

QUESTION_NOT_BUILT = "What does this rule say of {about}?"
QUESTION_CHOICE = "Which section was chosen for {about}?"
QUESTION_APPLIES = "Does this section hold for {about}?"
QUESTION_ANSWERS = "Is all done that the section asks for {about} and no number covers?"

SCOPES = {
    "law": "",
    "yardstick": "a yardstick, not law here",
    "guidance": "guidance",
    "common practice": "common practice, not law",
    "estimate": "an estimate, beside the law and never instead of it",
}

PATHS = {
    "over": "over the top",
    "direct": "from the vehicle to the article",
    "same side": "back to the same side",
    "spring": "round a face",
    "": "by a path not known",
}
CREDITS = {
    "1": "counted in full",
    "1/2": "counted at half",
    "1/2 or 1": "counted at half or in full, by the path",
    "0 or 1": "counted in full or not at all, by the path",
}
SHARES = {"1/2": "half", "2/5": "four tenths", "1/5": "a fifth"}
PARTS = {
    "body": "",
    "tensioner": "tensioner",
    "fitting": "end fitting",
    "anchor": "anchor point",
    "attachment": "attachment on the article",
}

SEVERAL = "{title}, {number} findings"
FIELD_OTHER = "{field}"
AND = "and"
NO_ROUTE = {
    "no leg": "it does not bear on the article from its anchor points",
    "beside the article": "between its anchor points it runs beside the article",
    "one point": "both its ends are at one place",
}
PICTURE = {
    "from-above": "The deck from above; its front is at the left",
    "from-side": "The deck from its left side; its front is at the left",
    "legend": "line: tie-down; dashed or hatched: not settled; dot: anchor point; filled square: "
    "edge protector; open square: protector missing; hatched bar: blocked there",
    "legend-side": "circle with a cross: centre of gravity",
    "tie-down": "{tie_down} {path} from {start} to {end}, holds {holds}",
    "blocked": "{article}: blocked {direction} by {by}",
    "mark": "{about}: {verdict}",
    "not-drawn": "{about} is not drawn, not known: {why}",
    "no-route": "{about} is not drawn: {why}",
    "envelope": "What {about} withstands, by the static estimate; forward is at the left",
    "envelope-legend": "thick line: withstood; square: asked, filled where it is withstood, open "
    "where it is not",
    "envelope-estimate": "an estimate with named assumptions, beside the law and never instead of "
    "it",
    "withstands": "{direction}: withstands {there} g, asked {asked} g; beyond that it {mode}",
    "withstands-short": "{direction}: withstands only {there} g of the {asked} g asked; beyond "
    "that it {mode}",
    "withstands-unknown": "{direction}: asked {asked} g; what it withstands cannot be told",
    "mode-slide": "slides",
    "mode-tip": "tips",
    "mode-yaw": "turns",
    "mode-lift": "lifts off",
}
HOW_SURE = {
    "read": "read in the source",
    "second-hand": "from a second source: compare with the text",
    "memory": "from memory: compare with the text before relying on it",
    "no source": "no published source",
}
EDITION = "edition: {edition}"
SCOPE_LAW = "law for this plan, as far as it is known"
LABELS = {
    "asked": "asked",
    "clause": "clause",
    "standing": "standing",
    "inputs": "goes in",
    "sum": "sum",
    "required": "required",
    "provided": "provided",
    "short": "short by",
    "spare": "to spare",
    "between": "between",
    "open": "at least",
    "decides": "decides",
    "unknown": "not known",
    "mend": "mend",
    "scope": "scope",
}

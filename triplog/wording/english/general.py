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
    "0": "not counted",
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

RATED_PARTS = {
    "wll": "{about}",
    "tensioner.wll": "the tensioner of {about}",
    "fittings.wll": "every end fitting of {about}",
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
    "unloading": "What comes off at which stop (ring), and from which side (arrow); the front is at"
    " the left",
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
VARIED = {
    "wet": "if the deck is wet under {about} (a stated friction counts at most {figure}: {source})",
    "mat": "if a friction mat lies under {about}, clean and undamaged ({figure}: {source})",
    "one-more": "if one more like {last} holds {holds}, from {start} to {end}",
    "slack": "if {about} is slack, no tension left in it",
    "slack-several": "if one of {about} is slack, no tension left in it: with each the same",
    "gone": "if {about} is gone",
    "gone-several": "if one of {about} is gone: with each the same",
    "angle": "if {about} left the deck at {angle}\N{DEGREE SIGN}, their anchor points moved across",
    "beyond-deck": "{about} would then lie beyond the edge of the deck",
    "no-wet": "wet: nothing on the deck is told a friction or a dry surface that wet would lower",
    "no-mat": "mat: under all that stands on the deck lies one, or a friction as high is told",
    "no-one-more": "one-more: no article has a tie-down yet that one more could be like",
    "no-slack": "slack: no tie-down has tension it could lose",
    "no-gone": "gone: there is no tie-down to take away",
    "no-angle": "angle: no tie-down over the top has a known route that could be had at {angle}"
    "\N{DEGREE SIGN}, or all have it",
    "slack-note": "rules that count ratings do not look at tension; a slack tie-down holds"
    " nothing until the load has moved",
    "nothing": "nothing judged here changes",
    "no-verdict": "no verdict changes",
    "moved": "verdict as before, another figure:",
    "not-asked": "not asked",
    "not-known": "not known",
    "before": "{before} before",
    "asked": "{required} asked",
}
HOW_SURE = {
    "read": "read in the source",
    "second-hand": "from a second source: compare with the text",
    "memory": "from memory: compare with the text before relying on it",
    "no source": "no published source",
}
EDITION = "edition: {edition}"
NOTHING_AGAINST = "a yes or no, and nothing that the plan says speaks against it"
SCOPE_LAW = "law for this plan, as far as it is known"
LABELS = {
    "asked": "asked",
    "clause": "clause",
    "standing": "standing",
    "inputs": "goes in",
    "sum": "sum",
    "required": "required",
    "provided": "provided",
    "was": "was",
    "short": "short by",
    "spare": "to spare",
    "between": "between",
    "open": "at least",
    "decides": "decides",
    "unknown": "not known",
    "mend": "mend",
    "scope": "scope",
}

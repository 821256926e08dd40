"""The words that every rule set uses: scopes, paths, parts, labels of lines.

In a template `{name}` is filled with the step's value of that name, already written out.
"""

TITLE_NOT_BUILT = "rule that is not judged here"
TITLE_CHOICE = "section to choose"

QUESTION_NOT_BUILT = "What does this rule say of {about}?"
QUESTION_CHOICE = "Which section was chosen for {about}?"

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
}
SHARES = {"1/2": "half", "2/5": "four tenths", "1/5": "a fifth"}
PARTS = {
    "body": "",
    "tensioner": "tensioner",
    "fitting": "end fitting",
    "anchor": "anchor point",
    "attachment": "attachment on the article",
}

FIELD_OTHER = "{field}"
AND = "and"
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

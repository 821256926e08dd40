"""The words for EN 12195-1."""

_DIRECTIONS = ("forward", "rearward", "left", "right")
_TOWARDS = {"forward": "forward", "rearward": "rearward", "left": "to the left",
            "right": "to the right"}  # fmt: skip

TITLES = {
    "en-12195-1-by-direction": "sliding and tipping",
    "en-12195-1-scope": "whether EN 12195-1 holds for this vehicle",
    **{f"en-12195-1-slide-{one}": f"sliding {_TOWARDS[one]}" for one in _DIRECTIONS},
    **{f"en-12195-1-tip-{one}": f"tipping {_TOWARDS[one]}" for one in _DIRECTIONS},
}
QUESTIONS = {
    "en-12195-1-scope": "Does EN 12195-1 hold for this vehicle?",
    **{
        f"en-12195-1-slide-{one}": f"Is {{about}} held against sliding {_TOWARDS[one]}?"
        for one in _DIRECTIONS
    },
    **{
        f"en-12195-1-tip-{one}": f"Is {{about}} held against tipping {_TOWARDS[one]}?"
        for one in _DIRECTIONS
    },
}
STEPS = {
    "required.en-slide": "{c} × {weight}, which is {mass} × {gravity} m/s²",
    "required.en-tip": "{c} × {weight} × {height}: {mass} × {gravity} m/s², pushed on {height} up",
    "provided.en-friction": "friction under it: {mu} × {weight} = {force}",
    "provided.en-friction-direct": "friction under it, cut to {f_mu} beside direct lashings: "
    "{f_mu} × {mu} × {weight} = {force}",
    "provided.en-friction-open": "friction under it: not known, nothing counted",
    "provided.en-over": "{number} over the top ({names}): {mu} × {force} × ({legs}) / {f_s} = "
    "{each} each, {sum} in all",
    "provided.en-direct": "{number} pulling against it ({names}): {force} × ({legs}) = {each} "
    "each, {sum} in all",
    "provided.en-at-best": "{number} of which the angles are not known ({names}): at most {each} "
    "each, {sum} in all",
    "provided.en-open": "{names}: not enough is known, nothing counted",
    "provided.en-stop": "blocked by {by}: {force}",
    "provided.en-stop-open": "blocked by {by}: not known with what force, nothing counted",
    "provided.en-stop-beside": "blocked by {by}: not counted beside these lashings",
    "provided.en-stop-tip": "blocked by {by}: {moment}",
    "provided.en-own": "its own weight: {weight} × {arm} to the edge = {moment}",
    "provided.en-tip-over": "{number} over the top ({names}): {force} × ({legs}) / {f_s} = {each} "
    "each, {sum} in all",
    "provided.en-tip-uneven": "{number} over the top ({names}): {force} × ({legs}) / {f_s}, less "
    "{flat} by which the legs pull it over = {each} each, {sum} in all",
    "provided.en-tip-direct": "{number} pulling against it ({names}): {force} × ({legs}) = {each} "
    "each, {sum} in all",
    "note.en-scope": "heavier than {line}, so the standard holds for it",
    "note.en-scope-light": "not heavier than {line}: the standard leaves such vehicles out, and "
    "its findings are shown as a yardstick",
    "note.en-scope-open": "the standard holds for vehicles heavier than {line}",
    "note.en-force": "a standard (edition {edition}), not a law: Annex III of Directive 2014/47/EU "
    "names it for roadside inspections, and each country's law decides how far it binds",
    "note.en-friction-capped": "{pair}: with frost, ice, snow, oil or grease, or wet where the "
    "table gives no wet value, at most {most} counts (figure from memory)",
    "note.en-wander": "friction alone would do; against wandering on the road it still takes at "
    "least {number}",
    "note.en-least": "makers' instructions ask for at least {number} over the top, whatever the "
    "sum",
    "note.en-tilt": "the lashings would be asked the same on a platform tilted by {tilt}, worked "
    "out from statics",
    "note.en-sideways-tip": "sideways {c} is asked where a load can tip; over the top a lashing is "
    "taken twice, with STF at {c_stf} and with half its LC at {c_lc}, and both must hold, which is "
    "our reading",
    "note.en-statics": "the balance of moments is worked out from statics; the standard's printed "
    "form was not read",
    "note.en-middle": "the centre of gravity is taken to be in the middle of the article",
    "note.en-outside": "the centre of gravity lies outside the base",
    "note.en-route-assumed": "the places where it bears on the article are worked out from "
    "its box: {names}",
    "note.en-set-aside": "{name} counts nothing: damaged gear is set aside",
    "note.en-no-tie-down": "{name} counts nothing: a mat or bar is no tie-down",
    "note.en-no-stf": "{name} counts nothing over the top: its label gives no tension force STF, "
    "so it may not be used to press the load down",
    "note.en-no-route": "{name} counts nothing: as written it does not bear on the article",
    "note.en-anchor-governs": "{name}: no more than {force}, which is what {about} holds",
    "note.en-tension-low": "{name}: its tension is below {line}, a twentieth of its LC; tighten it "
    "again",
    "note.en-tension-high": "{name}: its tension is above {line}, half of its LC; no more than "
    "that is counted",
    "note.en-stf-odd": "{name}: an STF is marked from a tenth to half of LC on webbing; look at "
    "the label again",
    "note.en-stf-low": "{name}: an STF is marked from {least} of LC up on such a chain or wire "
    "rope; look at the label again",
    "note.en-hand-force": "{name}: its label gives the STF for a hand force of {shf}, {usual} "
    "being usual; with less than {shf} it is not reached",
    "note.en-no-front": "the plan says the front structure blocks it, and the vehicle has none",
    "note.en-curtain": "the curtain of a body built to EN 12642 L holds no load",
    "note.en-wall": "{code}: {share_of} of the weight of {payload} of payload = {force}",
    "note.en-wall-capped": "{code}: {share_of} of the weight of {payload} of payload, and no more "
    "than its cap = {force}",
    "note.en-pulls-over": "not counted: {names}, which would help to tip it over this edge",
    "note.en-slide-any-mass": "friction {mu} against {c}, whatever the mass",
    "note.en-tip-any-mass": "{arm} m from the centre of gravity to the edge against {c} × {height} "
    "m, whatever the mass",
    "note.en-refused-several": "not covered by the closed form: several articles held as one",
    "note.en-refused-stacked": "not covered by the closed form: articles stand on one another",
    "note.en-refused-rolls": "not covered by the closed form: it can roll",
    "note.en-refused-mix": "not covered by the closed form: lashings that press down and lashings "
    "that pull directly, mixed",
    "note.en-refused-stiffness": "not covered by the closed form: chain or wire rope beside "
    "webbing, which give unequally",
    "note.en-refused-unlike": "not covered by the closed form: direct lashings side by side of "
    "unequal length or rating, which do not share alike",
    "note.en-refused-beside": "not covered by the closed form: the lashings hold beside the centre "
    "of gravity, so the load would turn",
    "note.en-refused-block": "not covered by the closed form: a block beside direct lashings, "
    "which give before they hold",
    "note.en-refused-block-over": "not covered by the closed form: a block beside lashings over "
    "the top, against tipping",
    "note.en-refused-upward": "not covered by the closed form: an anchor point above the place "
    "where the lashing bears",
    "note.en-refused-pierced": "not covered by the closed form: a lashing runs through an article "
    "as written",
    "decides.en-short": "meets if what is not known brings another {short}",
    "decides.en-friction": "meets if the friction is at least {least}",
    "mend.en-more": "add {number} like {name}, or a block that holds {short}",
    "mend.en-block": "block it so that another {short} is held, or press or pull it down with more",
    "mend.en-not-this-way": "it cannot be held this way: no number of such lashings would do; "
    "block it so that {short} is held, or give it more friction",
    "mend.en-more-tip": "add {number} like {name}, or prop it at least {height} up",
    "mend.en-prop": "prop it at least {height} up, or lash it against tipping",
}

FIELDS = {
    "surfaces": "a friction value for the surfaces under {about}",
    "wet": "whether the surfaces under {about} are wet",
    "stf": "the tension force (STF) on the label of {about}",
    "lc": "the lashing capacity (LC) on the label of {about}",
    "tensioner_side": "on which side {about} is tensioned",
    "payload": "the mass the body is rated to carry",
    "closed form": "a closed form that covers {about}",
    **{
        f"blocked.{one}_rated": f"what blocks {{about}} {_TOWARDS[one]} with what force"
        for one in _DIRECTIONS
    },
    **{
        f"blocked.{one}_up": f"how high the block touches {{about}} {_TOWARDS[one]}"
        for one in _DIRECTIONS
        if one != "forward"
    },
}

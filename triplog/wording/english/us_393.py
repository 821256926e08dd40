"""The words for 49 CFR part 393 and the house rule, and the steps that other sets share."""

TITLES = {
    "plan-articles": "articles of cargo",
    "us-393.100-scope": "whether the rule is law for this vehicle",
    "us-393.102-by-direction": "forces along the deck",
    "us-393.102-breaking-forward": "0.8 g forward, against breaking strength",
    "us-393.102-breaking-rearward": "0.5 g rearward, against breaking strength",
    "us-393.102-breaking-lateral": "0.5 g sideways, against breaking strength",
    "us-393.102-wll-forward": "0.435 g forward, against the working load limit",
    "us-393.102-wll-rearward": "0.5 g rearward, against the working load limit",
    "us-393.102-wll-lateral": "0.25 g sideways, against the working load limit",
    "us-393.102-down": "downward force",
    "us-393.104-condition": "condition of the gear",
    "us-393.104-knots": "knots",
    "us-393.104-edges": "edge protection",
    "us-393.106-commodity": "commodity",
    "us-393.106-rolling": "articles that could roll",
    "us-393.106-aggregate": "aggregate working load limit",
    "us-393.108-rating": "rating of the tie-down",
    "us-393.108-mat": "friction mat",
    "us-393.110-count": "number of tie-downs",
    "us-393.110-bearing": "tie-downs that bear on nothing",
    "us-393.112-tighten": "can be tightened on the road",
    "us-393.114-front": "front end structure",
    "house-combined": "combined rating, house rule",
}
QUESTIONS = {
    "plan-articles": "Is there an article of cargo to judge?",
    "us-393.100-scope": "Is 49 CFR part 393 law for this vehicle and its use?",
    "us-393.102-breaking-forward": "Is {about} held at 0.8 g of braking, no part beyond its "
    "breaking strength?",
    "us-393.102-breaking-rearward": "Is {about} held at 0.5 g rearward, no part beyond its "
    "breaking strength?",
    "us-393.102-breaking-lateral": "Is {about} held at 0.5 g to either side, no part beyond its "
    "breaking strength?",
    "us-393.102-wll-forward": "Is {about} held at 0.435 g of braking, no part beyond its working "
    "load limit?",
    "us-393.102-wll-rearward": "Is {about} held at 0.5 g rearward, no part beyond its working load "
    "limit?",
    "us-393.102-wll-lateral": "Is {about} held at 0.25 g to either side, no part beyond its "
    "working load limit?",
    "us-393.102-down": "Is {about} pressed down with at least a fifth of its weight?",
    "us-393.104-condition": "Is {about} free of damage?",
    "us-393.104-knots": "Is {about} free of knots?",
    "us-393.104-edges": "Is every contact on {about} that could wear or cut a tie-down protected?",
    "us-393.106-commodity": "Do the general rules hold for {about}, or does a section of its own?",
    "us-393.106-rolling": "If {about} could roll, is it stopped by something that stays put?",
    "us-393.106-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
    "us-393.108-rating": "What is {about} rated, by its weakest part?",
    "us-393.108-mat": "What does the mat under {about} resist?",
    "us-393.110-bearing": "Does each tie-down bear on the article it is said to hold: {about}?",
    "us-393.110-count": "Are there enough tie-downs on {about}?",
    "us-393.112-tighten": "Can {about} be tightened on the road?",
    "us-393.114-front": "Does the front end structure stop {about}?",
    "house-combined": "Do the tie-downs on {about}, each in full, add up to at least the weight?",
}
STEPS = {
    "required.half": "half of {mass}",
    "required.half-unknown": "half the weight, and the mass of {names} is not known",
    "required.weight": "the weight of {mass}",
    "required.weight-unknown": "the whole weight, and the mass of {names} is not known",
    "required.g": "{g} of the weight of {mass}",
    "required.g-unknown": "{g} of the weight, and not all of it is known",
    "required.fifth": "a fifth of {mass}, pressed down",
    "required.count-open": "by length, mass and blocking forward, and not all of them are known",
    "required.count-blocked": "{length}, blocked forward by {by}: one for every {every} or part of "
    "it",
    "required.count-short": "{length}, not over {short}, not blocked forward: one or two, by the "
    "mass",
    "required.count-short-light": "{length} and {mass}, not over {short} and {line}, not blocked "
    "forward: one",
    "required.count-short-heavy": "{length}, not over {short}, but {mass}, over {line}, not "
    "blocked forward: two",
    "required.count-middle": "{length}, over {short} and not over {middle}, not blocked forward: "
    "two",
    "required.count-long": "{length}, not blocked forward: two for the first {middle} and one for "
    "each further {every} or part of it, {further} more",
    "required.front-force": "{share} of {weight} of cargo, for a structure {height} high",
    "required.front-force-open": "{share} of the weight of the cargo, of which {weight} is known, "
    "for a structure {height} high",
    "required.front-force-unknown-height": "up to {share} of {weight} of cargo, as long as the "
    "height of the structure is not known",
    "provided.none": "no tie-down holds it",
    "provided.none-counted": "no tie-down that counts holds it",
    "provided.count": "{tie_downs}",
    "provided.each": "{number} {path}, {each} each, {credit}: {sum} ({names})",
    "provided.one": "{number} {path}, {each}, {credit} ({names})",
    "provided.between": "{number} {path}, each at best {each}, {credit}: {worst} at worst, {best} "
    "at best ({names})",
    "provided.between-one": "{number} {path}, at best {each}, {credit}: {worst} at worst, {best} "
    "at best ({names})",
    "provided.nothing-known": "{number} {path}, and no part of the rating is known ({names})",
    "provided.set-aside": "{names}: nothing, damaged gear is set aside",
    "provided.no-tie-down": "{names}: nothing, a mat or bar is no tie-down",
    "provided.weakest": "by the weakest part, the {part} of {about}",
    "provided.weakest-known": "the weakest part known is the {part} of {about}",
    "provided.mat-half": "unmarked friction mat {mat}: half the weight on it, horizontally",
    "provided.mat-marked": "friction mat {mat}, as marked",
    "provided.upright-legs": "{names}: {best}, the whole tension of every leg, all taken "
    "as upright",
    "provided.press": "{names}: {best}, the tension of each leg times the sine of its angle",
    "provided.press-between": "{names}: {worst} at worst, {best} at best",
    "provided.press-open": "{names}: not known how hard",
    "provided.held-nothing": "nothing holds it that way",
    "provided.held-block": "{by}, rated ({names}): {best}",
    "provided.held-block-open": "{by}, not rated ({names})",
    "provided.held-friction": "friction {friction} under the weight of {names}: {best}",
    "provided.held-friction-between": "friction under the weight of {names}: {worst} at worst, "
    "{best} at best",
    "provided.held-friction-open": "friction under {names}: not known",
    "provided.held-rolls": "friction under {names}: nothing, it can roll",
    "provided.held-mat": "friction mat {mat} under {names}: {best}",
    "provided.held-mat-open": "friction mat {mat} under {names}: not known",
    "provided.held-pull": "{names}: {best} against the movement, no part beyond its {limit}",
    "provided.held-pull-between": "{names}: {worst} at worst, {best} at best against the "
    "movement, no part beyond its {limit}",
    "provided.held-pull-open": "{names}: against the movement, not known how hard",
    "provided.held-press": "{names}: {best} by pressing down with the tension",
    "provided.held-press-between": "{names}: {worst} at worst, {best} at best by pressing down "
    "with the tension",
    "provided.held-press-open": "{names}: by pressing down, not known how hard",
    "provided.held-slackens": "{names}: nothing, slackened by this movement",
    "provided.held-any-way": "{names}: {best}, whichever way the legs run",
    "provided.held-any-way-between": "{names}: not known which way the legs run, {best} at best",
    "provided.held-any-way-open": "{names}: not known which way the legs run",
    "part.marked": "{part} of {about}: {amount}, as marked",
    "part.table": "{part} of {about}: {amount}, no rating marked, by the table ({row})",
    "part.shared": "{part} of {about}: {amount}, {whole} shared equally by {ends} tie-down ends",
    "part.covered-by-marking": "{part} of {about}: no rating of its own, covered by the "
    "marking on the tie-down",
    "part.covered-by-table": "{part} of {about}: no rating of its own, covered by the table's "
    "value for the tie-down",
    "part.not-listed": "{part}: not rated in this plan, so not compared; look at it",
    "part.unknown": "{part} of {about}: rating not known",
    "other.article": "{article}: {mass}",
    "other.default-table": "{abouts}: no rating marked, counted by the table ({row})",
    "other.weakest": "weakest part is the {part}: {share} ({abouts})",
    "other.weakest-shared": "weakest part is the {part}: {share}, {whole} shared equally by "
    "{ends} tie-down ends ({abouts})",
    "note.not-counted-damaged": "not counted: {tie_downs}, damaged gear is set aside",
    "note.not-counted-kind": "not counted: {tie_downs}, a mat or bar is no tie-down",
    "other.damage": "{gear}: {kind}, not measured",
    "other.damage-sized": "{gear}: {kind}, {size}",
    "other.protectors": "{tie_down}: {needed} needed, {fitted} fitted",
    "other.stopped": "{direction}: {by}",
    "other.front-high": "{height} high, at least {line}",
    "other.front-high-enough": "{height} high, lower than {line}, but as high as meets the cargo",
    "other.front-low": "{height} high, lower than {line} and lower than where it must meet the "
    "cargo",
    "other.front-maybe-low": "{height} high, lower than {line}; it may still be high enough to "
    "stop the cargo",
    "other.front-wide": "{width} wide, as wide as the vehicle or the cargo",
    "other.front-maybe-narrow": "{width} wide; not known to be as wide as the vehicle or the cargo",
    "note.front-apart": "{names}: not at the front of the deck by the plan; the structure blocks "
    "only what touches it",
    "note.front-piercing": "nor may an article pierce it or slip through an opening, 393.114(d): "
    "look at it",
    "note.feet-column": "compared in feet, as the length was given",
    "note.metre-column": "compared in metres with the printed metric figures, as the length was "
    "given",
    "note.other-metric": "read in the printed metric figures it would be {number}",
    "note.other-feet": "read in the printed feet and pounds it would be {number}",
    "note.special-purpose": "machinery or fabricated structural items that need special methods "
    "are outside this count, 393.110(d); the combined rating still holds",
    "note.contained": "held by the vehicle's structure, as the plan says, and no tie-down is used; "
    "it takes strong walls and close packing",
    "note.contained-down": "fully contained by the vehicle's structure, as the plan says",
    "note.contained-102": "fully contained by the vehicle's structure, as the plan says; deemed "
    "met with walls strong enough and close packing, 393.102(c)(2)",
    "note.held-otherwise": "held without tie-downs, as the rules for it allow; what holds it is "
    "not in this sum",
    "note.sliding-only": "sliding only, the force of one direction at a time; tipping is not part "
    "of this sum",
    "note.breaking-as-marked": "breaking strength as marked on every part, never a multiple of a "
    "rating",
    "note.weaker-side": "the weaker side is the {side}",
    "note.one-body": "the articles are taken as one body, as they share tie-downs or go together",
    "note.also-deemed": "393.102(c) also deems it met where the cargo is immobilized (1), stands "
    "closely packed in a sided vehicle with walls strong enough (2), or is held as 393.104 to "
    "393.136 say (3)",
    "note.deemed": "deemed met where 393.104 to 393.136 are met, 393.102(c)(3)",
    "note.scope-unknown": "law for interstate business with a vehicle or combination of at least "
    "{threshold}, by rating or actual mass; passengers and placarded goods are not asked here",
    "note.scope-use": "the vehicle's use is recorded as {use}; state or local law may still ask "
    "the same",
    "note.scope-mass": "rated below {threshold}; an actual mass above it, or placarded goods, "
    "would change this",
    "note.commodity-unknown": "a coil, log, pipe, vehicle, machine, container or boulder has a "
    "section of its own; the general rule is shown as it stands",
    "note.section-may-apply": "section {section} may apply; as long as that is not known, the "
    "general findings are a yardstick",
    "note.section-choice": "the law leaves the choice of section here ({choices}); none is "
    "recorded",
    "note.inspector-line": "an inspector takes {width} webbing out of service above "
    "{inspector_line}; that is no licence to use it below",
    "note.strapping": "{tie_down}: steel strapping is excepted; look at it, it is not tightened "
    "again",
    "note.set-aside": "{gear} is damaged: set aside, it counts nothing",
    "note.no-tie-down": "a {kind} is no tie-down: it counts nothing here",
    "note.breaking-only": "the tag gives only a breaking strength of {breaking}; a third of it, "
    "{third}, is a suggestion and not a rating, so it counts as unmarked",
    "note.lashing-capacity-only": "the label gives a lashing capacity of {lc}; it is not marked as "
    "a working load limit, so it counts as unmarked",
    "note.one-inch": "no federal table value exists for unmarked webbing 1 in wide; 1,000 lb per "
    "inch of width is custom",
    "note.no-tie-downs": "no tie-down bears on it",
    "note.edges-sharp": "the article has sharp edges",
    "note.edges-blunt": "no sharp edges, as the plan says",
    "note.rolls-along": "on wheels or tracks: it is taken to roll along the vehicle, not across",
    "note.does-not-roll": "it does not roll, as the plan says",
    "note.no-front-structure": "the plan says the front structure blocks it, and the vehicle has "
    "none",
    "note.beside": "by the places in the plan these do not touch what they are said to hold, "
    "though the number and the sum count them: {names}",
    "note.no-article": "the plan holds no article of cargo, so nothing is judged",
    "decides.rating": "meets if {names} holds at least {at_least}",
    "decides.ratings": "meets if {names} each hold at least {at_least}",
    "decides.mass": "meets if the mass of {names} is at most {at_most}",
    "decides.path": "it depends on the path of {names}: over to the other side, or not",
    "decides.settled": "the verdict is the same at both ends",
    "decides.several": "it depends on {unknown}",
    "decides.contained": "does not apply if the vehicle's structure contains it, else it falls "
    "short",
    "decides.count": "between {low} and {high} are needed",
    "decides.count-open": "at least {low}, and more with the length",
    "decides.held": "meets if what is not known adds at least {at_least} that way",
    "decides.down": "meets if the legs together press down with at least {required}",
    "mend.one-more": "add {number} over the top, rated at least {at_least} with its anchor points",
    "mend.more": "add {number} over the top, each rated at least {at_least} with its anchor points",
    "mend.one-more-or-anchors": "hook {names} to anchor points that hold at least "
    "{anchor_at_least}, or add {number} over the top, rated at least {at_least} with its anchor "
    "points",
    "mend.more-or-anchors": "hook {names} to anchor points that hold at least {anchor_at_least}, "
    "or add {number} over the top, each rated at least {at_least} with its anchor points",
    "mend.beside": "run {names} over the article, or put right where things are",
    "mend.weigh": "find out the mass, and add tie-downs over the top",
    "mend.count": "add {short}",
    "mend.count-at-least": "add at least {short}",
    "mend.set-aside": "set {names} aside and use gear without damage",
    "mend.knots": "take {names} off and use gear without a knot",
    "mend.tensioner": "give {names} a device that can be tightened on the road",
    "mend.protectors": "fit {short} at {names}",
    "mend.chocks": "chock, wedge or cradle it: {directions}",
    "mend.no-front-structure": "name what really blocks it, or count it as not blocked",
    "mend.front-size": "block it in front by something higher or wider",
    "mend.front-force": "block {short} of that force by something else",
    "mend.held": "block it that way, or add tie-downs that pull against the movement: {short} more",
    "mend.down": "more tension, or more tie-downs over the top",
}

FIELDS = {
    "at": "the place of {about} on the deck",
    "touches": "the places of contact of {about} with the article",
    "height": "the height of {about}",
    "friction": "the friction under {about}",
    "mass": "the mass of {about}",
    "length": "the length of {about}",
    "width": "the width of {about}",
    "length, width and height": "the length, width and height of {about}",
    "volume": "the volume of {about}",
    "commodity": "the commodity of {about}",
    "section": "the section chosen for {about}",
    "rolls": "whether {about} could roll",
    "contained": "whether the vehicle's structure contains {about}",
    "sharp_edges": "sharp edges on {about}: whether there are any",
    "wll": "the rating (WLL) of {about}",
    "tensioner.wll": "the rating of the tensioner of {about}",
    "fittings.wll": "the rating of an end fitting of {about}",
    "gear": "the gear of {about}",
    "from": "the anchor point {about} starts from",
    "to": "the anchor point {about} runs to",
    "path": "the path of {about}",
    "sides": "the sides {about} is anchored on",
    "tension": "the tension of {about}",
    "angle of the legs": "the angle of the legs of {about}",
    "far_side_share": "how much tension reaches the far leg of {about}",
    "tensioner_side": "which side {about} is tightened on",
    "layers": "how the layers of {about} hold on each other, which is not worked out here",
    "breaking": "the breaking strength of {about}",
    "tensioner.breaking": "the breaking strength of the tensioner of {about}",
    "fittings.breaking": "the breaking strength of the end fittings of {about}",
    "knots": "whether there is a knot in {about}",
    "damage": "damage on {about}: not looked at, or nobody said",
    "tensioner": "what tightens {about}",
    "edge_protection.needed": "how many contacts of {about} need a protector",
    "edge_protection.fitted": "how many protectors are fitted on {about}",
    "blocked.forward": "what blocks {about} forward",
    "blocked.rearward": "what blocks {about} rearward",
    "blocked.left": "what blocks {about} on the left",
    "blocked.right": "what blocks {about} on the right",
    "blocked.forward_rated": "what the blocking of {about} holds forward",
    "blocked.rearward_rated": "what the blocking of {about} holds rearward",
    "blocked.left_rated": "what the blocking of {about} holds on the left",
    "blocked.right_rated": "what the blocking of {about} holds on the right",
    "blocked.forward_up": "how high the front structure meets {about}",
    "gross_mass": "the gross mass the vehicle is rated for",
    "use": "what the vehicle is used for",
    "front_structure.height": "the height of the front structure",
    "front_structure.width": "the width of the front structure",
    "front_structure.rated": "what the front structure withstands",
    "article": "any article of cargo",
}

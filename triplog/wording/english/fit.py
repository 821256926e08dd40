"""The words for the rule set `fit`: whether the gear fits the plan."""

TITLES = {
    "fit-hook": "end fittings in their anchor points",
    "fit-length": "reach of the tie-down",
    "fit-edges": "protectors at the bends",
    "fit-mixing": "chain and webbing together",
    "fit-chain": "chain on a heavy machine",
    "fit-stands": "stands without tie-downs",
    "fit-anchor-shared": "one tie-down on one anchor point",
    "fit-angle": "angle of the tie-down over the top",
    "fit-tension": "tension within the rating",
    "fit-gear-once": "each piece of gear in one tie-down",
    "fit-contained": "contained by a body that can contain it",
}
QUESTIONS = {
    "fit-hook": "Do the end fittings of {about} go into their anchor points and stay there?",
    "fit-length": "Does {about} reach, with wraps on the drum and a tail?",
    "fit-edges": "Has {about} a protector at each bend over a sharp edge?",
    "fit-mixing": "Is {about} held by one kind of gear, stiff or elastic?",
    "fit-chain": "Is {about} held by chain or wire rope?",
    "fit-stands": "Does {about} stand without its tie-downs?",
    "fit-anchor-shared": "Has {about} its anchor points to itself?",
    "fit-angle": "Does {about} come down steeply enough to press on the article?",
    "fit-tension": "Is the tension told of {about} within the rating of its weakest part?",
    "fit-gear-once": "Is the gear of {about} in no other tie-down?",
    "fit-contained": "Is {about} told to be fully contained only where the body can contain it?",
}
STEPS = {
    "required.fit-webbing": "the route {required}, {wraps} wraps on the drum ({each}), a tail of "
    "{tail}",
    "required.fit-plain": "the route {required}",
    "provided.fit-gear": "{gear}, its whole length",
    "other.fit-across": "over {end}: {run} ({back} along the deck, {across} across, {up} up or "
    "down)",
    "other.fit-run": "{start} to {end}: {run} ({back} along the deck, {across} across, {up} up "
    "or down)",
    "note.fit-assumed": "taken as taut over the box of {names}, straight from end to end as seen "
    "from above",
    "note.fit-allowances": "the length of a wrap and of the tail are this program's assumptions",
    "note.fit-needs": "{tie_down}: at least {at_least} long",
    "note.fit-beside": "{tie_down}: the straight line between its ends does not cross {names}",
    "note.fit-no-leg": "{tie_down}: drawn taut it does not bear on {names}; look at the heights "
    "and places of its ends",
    "note.fit-one-point": "{tie_down}: both ends are at one point of the deck",
    "note.fit-through": "{tie_down}: as written it would run through {names}",
    "note.fit-narrow": "{tie_down} at {anchor}: the {hook} is {wide} wide, the opening {opening}",
    "note.fit-other-hook": "{tie_down} at {anchor}: a {hook}, and it takes: {names}",
    "note.fit-no-fittings": "{gear} has no end fittings, as the plan says",
    "note.fit-bends": "{tie_down}: {bends} over sharp edges of {names}, {fitted} fitted",
    "note.fit-mixed": "on {names}: chain or wire rope {tie_downs} beside webbing or rope {abouts}; "
    "the stiff one takes the force first",
    "note.fit-heavy": "{article}: {mass}, at least {line}, on webbing or rope ({tie_downs}); "
    "nothing bars it, chain with its edges protected is what is used",
    "note.fit-sheeting": "{tie_downs} on {anchor}: a {hook} is no anchor point",
    "note.fit-shared": "{anchor}: {tie_downs}",
    "note.fit-flat": "{tie_down} at {anchor}: about {degrees} degrees from the deck, under {least}",
    "note.fit-tension": "{tie_down}: told to pull {tension}, rated for {rating}; what presses down "
    "counts with no more than that",
    "note.fit-gear-once": "{gear} is in more than one tie-down of this plan",
    "note.fit-contained": "told to be fully contained, and the body is a {body}, which has no "
    "sides; judged as if nobody had told it",
    "note.fit-no-lifting": "tie-down gear is not for lifting",
    "mend.fit-hook": "use other end fittings or other anchor points for {names}",
    "mend.fit-route": "move an end of {names}, or tell where it bears on the article",
    "mend.fit-longer": "use gear at least {at_least} long",
    "mend.fit-edges": "fit a protector at each bend of {names}, or use chain or wire rope there",
    "mend.fit-mixing": "hold {names} by chain throughout or by webbing throughout",
    "mend.fit-chain": "hold {names} by chain or wire rope",
    "mend.fit-stands": "hold {names} by a machine or a frame before the first tie-down is let off",
    "mend.fit-anchor": "give {names} anchor points of their own",
    "mend.fit-tension": "slacken {names} to what the label allows, then look for damage",
    "mend.fit-gear-once": "give each of {names} a piece of gear of its own",
    "mend.fit-contained": "tell of {names} that nothing contains them, or put right what body the "
    "vehicle has",
    "mend.fit-angle": "anchor {names} nearer to the article, or hold it another way: packing that "
    "lifts the line, a tie-down to the article itself",
}
FIELDS = {
    "contained.open-body": "what contains {about}: told to be fully contained, and the body has no "
    "sides",
    "friction.beyond": "the friction of {about}: what is told is more than surfaces ever have",
    "route": "the route of {about}",
    "accepts": "which end fittings go into {about}",
    "fittings": "the end fittings of {about}",
    "fittings.kind": "the kind of end fitting of {about}",
    "stands_unaided": "whether {about} stands without tie-downs",
}

"""The words for 49 CFR 393.124 to 393.136."""

TITLES = {
    # 393.124
    "us-393.124-count": "number of tie-downs on pipe",
    "us-393.124-groups": "pipes of one diameter in a group",
    "us-393.124-aggregate": "aggregate working load limit, pipe",
    # 393.126
    "us-393.126-count": "corners of a container held",
    "us-393.126-play": "movement of a container on its chassis",
    "us-393.126-lift": "lift of a container on its chassis",
    "us-393.126-overhang": "overhang of an empty container",
    "us-393.126-aggregate": "aggregate working load limit, container",
    # 393.128
    "us-393.128-count": "number of tie-downs on a light vehicle",
    # 393.130
    "us-393.130-count": "number of tie-downs on a machine",
    # 393.132
    "us-393.132-count": "number of tie-downs on flattened cars",
    "us-393.132-webbing": "webbing on flattened cars",
    "us-393.132-aggregate": "aggregate working load limit, flattened cars",
    # 393.134
    "us-393.134-count": "rear of a roll-on container held",
    "us-393.134-distance": "rear holding near the rear end",
    "us-393.134-aggregate": "aggregate working load limit, roll-on container",
    # 393.136
    "us-393.136-chain": "chain on a boulder",
    "us-393.136-count": "number of tie-downs on a boulder",
    "us-393.136-support": "what a boulder rests on",
    "us-393.136-timber-size": "size of the timber under a boulder",
    "us-393.136-ring": "chain round a boulder",
    "us-393.136-each": "each chain from the ring",
    "us-393.136-aggregate": "aggregate working load limit, boulder",
}
QUESTIONS = {
    # 393.124
    "us-393.124-count": "Are there the tie-downs that concrete pipe asks for on {about}?",
    "us-393.124-groups": "Are the pipes of {about} all of one diameter?",
    "us-393.124-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
    # 393.126
    "us-393.126-count": "Are all the corners of {about} held?",
    "us-393.126-play": "Can {about} move no more than a little along or across the chassis?",
    "us-393.126-lift": "Can {about} lift no more than a little off the chassis?",
    "us-393.126-overhang": "Does {about}, empty, overhang front and rear by no more than it may?",
    "us-393.126-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
    # 393.128
    "us-393.128-count": "Are there enough tie-downs on {about} for a light vehicle?",
    # 393.130
    "us-393.130-count": "Are there enough tie-downs on {about} for a heavy vehicle or machine?",
    # 393.132
    "us-393.132-count": "Are there enough tie-downs on each stack of {about}?",
    "us-393.132-webbing": "Is {about} held without webbing?",
    "us-393.132-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
    # 393.134
    "us-393.134-count": "Is the rear of {about} held to the vehicle?",
    "us-393.134-distance": "Is what holds the rear of {about} near enough to its rear end?",
    "us-393.134-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
    # 393.136
    "us-393.136-chain": "Is {about} held by chain alone?",
    "us-393.136-count": "Are there the tie-downs that a boulder of this shape asks for on {about}?",
    "us-393.136-support": "Does {about} rest on enough pieces of timber?",
    "us-393.136-timber-size": "Is the timber under {about} thick enough?",
    "us-393.136-ring": "Is the chain round {about} rated for half its weight?",
    "us-393.136-each": "Is each chain from the ring of {about} rated for a quarter of its weight?",
    "us-393.136-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
}
STEPS = {
    # 393.124
    "required.pipe-open": "by the inside diameter of the pipes",
    "required.pipe-each": "{number} through the bores, one for each pipe, among them the front and "
    "the rear one",
    "required.pipe-ends": "{number} through the bores of the bottom tier, one through the front "
    "pipe running rearward and one through the rear pipe running forward",
    "required.pipe-lengthwise": "{number} of chain or wire rope of at least {size} lengthwise over "
    "the group",
    "required.pipe-crosswise": "{number} crosswise, one for every {every} of load",
    "required.pipe-wide": "{number} through the bores, one for each pipe, two where a front or "
    "rear pipe touches nothing at its end",
    "note.pipe-fraction": "the text says every so many and nothing of a part; with a part "
    "counted as well it would be {number} crosswise",
    "mend.pipe-groups": "make a group of each diameter, and tie down each by itself",
    # 393.126
    "required.container-lower": "all lower corners, held by locking or other devices",
    "required.container-either": "all lower corners held by devices, or crossed chains on all "
    "upper corners",
    "required.container-play": "at most, forward, rearward and to either side",
    "required.container-lift": "at most, upward",
    "required.container-overhang": "at most, at the front and at the rear",
    "note.container-empty": "an empty container on a vehicle other than a chassis needs no corner "
    "held, but must not overhang, shift or tip",
    "note.container-at-corners": "held at its corners by devices and by no tie-down, so there is "
    "no rating to add",
    "note.container-handbook": "the Driver's Handbook also asks that what holds a loaded container "
    "add up to half its weight; 49 CFR 393.126 does not",
    "mend.container-corners": "hold the corners that are not held",
    "mend.container-play": "fasten it so that it moves no more than that",
    "mend.container-overhang": "move it so that it overhangs less, or carry it on another vehicle",
    # 393.128
    "required.light-vehicle": "at least, for a car, light truck or van",
    "note.light-vehicle-tyres": "a tie-down that bears on a tyre needs no edge protection there; "
    "half the weight by the combined rating still holds",
    # 393.130
    "required.machine": "at least, for a heavy vehicle or machine on wheels or tracks",
    "note.machine-once": "a chain through the machine to both sides is one tie-down",
    "note.machine-handbook": "the Driver's Handbook asks {rating} of each; 49 CFR does not",
    # 393.132
    "required.flattened-open": "by the walls of the vehicle and the number of stacks",
    "required.flattened-three-sides": "{each} for each stack: walls to the full height on three "
    "sides",
    "required.flattened-front-rear": "{each} for each stack: walls to the full height at "
    "the front and rear",
    "required.flattened-no-walls": "{each} for each stack: no walls",
    "note.flattened-walls": "walls to the full height on all four sides hold the cars: no tie-down "
    "is asked for",
    "note.flattened-webbing": "webbing may not hold flattened cars, whatever it is rated; it may "
    "only link chain or wire rope to an anchor point without touching them",
    "note.barred-counts-nothing": "{names}: webbing on flattened cars counts nothing, 393.132(b)",
    "mend.flattened-webbing": "hold them with chain or wire rope",
    # 393.134
    "required.roll-off-rear": "at the rear, or two hooks there",
    "required.roll-off-distance": "at most, from the rear of the container to what holds it there",
    "note.roll-off-hooks": "held at the rear by two hooks",
    "note.roll-off-share": "the section holds the front by the lifting device and stops and names "
    "no share of the weight for the tie-downs, so this is a yardstick",
    "note.roll-off-no-tie-downs": "held by the lifting device, stops and hooks and by no tie-down, "
    "so there is no rating to add",
    "mend.roll-off-distance": "hold it nearer to the rear of the container",
    # 393.136
    "required.boulder-open": "two or more, by the shape of the boulder",
    "required.boulder-cubic": "cubic: {number} crosswise",
    "required.boulder-stable": "not cubic, but stable: {number} in an X over the top",
    "required.boulder-unstable": "unstable: {number} from the chain round it to the vehicle",
    "required.boulder-timbers": "of hardwood, across its full width",
    "required.boulder-crib": "a rounded side rests in a crib of hardwood with so many contacts, "
    "well apart",
    "required.boulder-timber-size": "at least, on each side of the timber",
    "required.boulder-ring": "at least, half the weight",
    "required.boulder-each": "each rated for at least {quarter}, a quarter of the weight",
    "required.boulder-each-open": "each rated for at least a quarter of the weight",
    "note.boulder-chain": "only chain may hold a boulder, whatever the rating of anything else",
    "note.boulder-advice": "the timber should lie evenly about the middle and support at least "
    "three quarters of the length: advice, not a duty",
    "mend.boulder-chain": "hold it with chain",
    "mend.boulder-support": "put more timber under it",
    "mend.boulder-timber-size": "use thicker timber",
    "mend.boulder-ring": "use a chain with a higher rating round it",
    "mend.boulder-each": "use chains with a higher rating, or more of them",
}
FIELDS = {
    # 393.124
    "at": "the place of {about}",
    "size": "the size of {about}",
    # 393.126
    "facts.loaded": "whether {about} is loaded",
    "facts.lower_corners": "how many lower corners of {about} are held",
    "facts.upper_corners": "how many upper corners of {about} have crossed chains",
    "facts.corner_play": "how far {about} can move along or across",
    "facts.corner_lift": "how far {about} can lift",
    # 393.132
    "facts.wall_sides": "on which sides the vehicle has walls to the full height of {about}",
    # 393.134
    "facts.integral_securement": "whether the vehicle has securement of its own for {about}",
    "facts.rear_hooks": "how many hooks hold the rear of {about}",
    "facts.rear_distance": "how far from the rear of {about} it is held there",
    # 393.136
    "facts.shape": "the shape of {about}: cubic, stable or unstable",
    "facts.rated_sides": "whether the vehicle's sides are rated to contain {about}",
    "facts.rounded": "whether the side {about} lies on is rounded",
    "facts.timbers": "how many pieces of timber {about} rests on",
    "facts.timber_size": "the size of the timber under {about}",
    "facts.crib_contacts": "at how many places the crib touches {about}",
    "facts.ring_rating": "the rating of the chain round {about}",
}
ASKED = {
    # 393.124
    "124-blocking": "Do blocks under the pipes stand evenly on both sides of the middle, and is "
    "every block of timber at least 4 in by 6 in (10 cm by 15 cm)?",
    "124-ends": "Is the bottom tier held at both ends by blocking, the vehicle's end structure, "
    "stakes or a locked pipe unloader?",
    "124-front-rear": "Does the tie-down through the front pipe run rearward and the one through "
    "the rear pipe forward, each at 45 degrees or less where practicable?",
    "124-third-tier": "Are the wells of the tiers below full, so that a third tier may stand on "
    "them?",
    "124-large-ends": "Are the front and the rear pipe held by blocking, wedges, the vehicle's end "
    "structure, stakes or a locked pipe unloader?",
    "124-halves": "Do the tie-downs of the front half and of the middle pipe run rearward and "
    "those of the rear half forward, each at 45 degrees or less where practicable?",
    # 393.126
    "126-independent": "Are the front and the rear of the container held independently of each "
    "other?",
    "126-supported": "Do all lower corners rest on the vehicle, or are they carried by a structure "
    "that can bear the container?",
    "126-balanced": "Does the empty container stand on the vehicle so that it is stable before it "
    "is tied down?",
    "126-interference": "Does the empty container leave the vehicle free to turn and manoeuvre?",
    "126-shifting": "Is the empty container held against shifting along, across and upward?",
    # 393.128
    "128-front-rear": "Is the vehicle held at its front and at its rear against moving sideways, "
    "forward, rearward and upward?",
    "128-mounting": "If the vehicle has mounting points made for it, are the tie-downs fixed to "
    "them?",
    "128-wheels": "If tie-downs go over or around the wheels, do they hold against moving "
    "sideways, along and upward?",
    # 393.130
    "130-accessories": "Are accessories such as hydraulic shovels fully lowered and held to the "
    "vehicle?",
    "130-articulated": "If the machine is articulated, is it held so that it cannot bend on the "
    "road?",
    "130-all-ways": "Is the machine held against moving sideways, forward, rearward and upward?",
    "130-points": "Is each tie-down fixed as near as practicable to the front or the rear, or to a "
    "mounting point made for it?",
    # 393.132
    "132-linking": "If there is webbing, does it only link chain or wire rope to anchor points, "
    "without touching the cars?",
    "132-loose": "Is the vehicle so closed that no liquid leaks from its bottom and no loose part "
    "falls from its bottom or any side, to the full height of the cargo?",
    # 393.134
    "134-forward": "Is the container blocked against moving forward by the lifting device, stops, "
    "or both?",
    "134-front": "Is the front of the container held to the vehicle by the lifting device or "
    "otherwise against moving sideways and upward?",
    "134-rear": "Is the rear held by one tie-down to the chassis of both vehicle and container, or "
    "by one lengthwise on each side, or by two hooks?",
    "134-stops": "If a front stop or the lifting device is missing, damaged or does not fit, do "
    "tie-downs put on by hand hold as much?",
    # 393.136
    "136-side": "Does the boulder lie on its flattest or largest side?",
    "136-width": "Does each piece of timber reach across the full width of the boulder?",
    "136-crib": "Is the crib of hardwood fixed to the deck so that the boulder cannot roll?",
    "136-taper": "If the boulder tapers, does its narrow end point forward?",
    "136-crossing": "Do the two chains cross over the boulder, and are they joined where they "
    "cross?",
    "136-ring": "Does a chain run round the boulder at between half and two thirds of its height?",
    "136-angle": "Does each chain from the ring run at 45 degrees or less where practicable?",
}

"""Each rule of the content is broken by one edit of the small content, and by nothing else there.

The rules themselves are the project's own brief and common practice of the trade (no published source); the
word limits are ASD-STE100's.
"""

import dataclasses
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman.content.catalogue import load
from leadsman.content.rules import RULES, Context, Verdict, check, kept_findings, trade
from leadsman.content.rules.boats import boat_faults
from leadsman.errors import Problem
from leadsman.store import Store

ENTRY = "faults/depth/no-depth.yaml"
OTHER = "faults/power/low-volts.yaml"
#: What stands at the end of the entry, so that a case can move a check or add to the entry.
END = "see_also: [low-volts]\n"

check(small_content.edited())  # the rules register themselves when they first run


@dataclass(frozen=True)
class Case:
    """A rule, the edits that break it, and the words of the problem."""

    rule: str
    says: str
    edits: tuple[tuple[str, str, str], ...]


def case(rule: str, says: str, *edits: tuple[str, str, str]) -> Case:
    return Case(rule, says, edits)


LONG = "Press the key and the key " + "and the key " * 6 + "again."
VOLTS = '  - id: volts\n    use: own-volts\n    outcomes:\n      "yes": {then: software}\n      "no": {then: software, shows: [bad-joint]}\n      cannot: {then: software}\n'
TEMPERATURE = '  - id: temperature\n    use: temperature-shown\n    outcomes:\n      "yes": {then: volts}\n      "no": {then: found-plug, shows: [bad-plug]}\n      cannot: {then: volts}\n'
PLUG_HEAD, LAMP_HEAD = "  - id: plug\n    use", "  - id: lamp\n    use"
RESTORE = '  - id: restore\n    use: restore-defaults\n    outcomes:\n      "yes": {then: hand-over}\n      "no": {then: found-setting, shows: [wrong-setting]}\n      cannot: {then: hand-over}\n'
LAMP = '  - id: lamp\n    use: lamp-at-plug\n    outcomes:\n      "yes": {then: pins}\n      "no": {then: found-joint, shows: [bad-joint]}\n      cannot: {then: hand-over}\n'
PINS = '  - id: pins\n    use: pin-readings\n    outcomes:\n      "yes": {then: swap}\n      "no": {then: found-element, shows: [dead-element]}\n      cannot: {then: swap}\n'
PLUG_CHECK = '  - id: plug\n    use: look-at-plug\n    given: {plug: plug of the transducer}\n    outcomes:\n      "yes": {then: lamp}\n      "no": {then: found-plug, shows: [bad-plug]}\n      cannot: {then: lamp}\n'
#: One hazard, with what makes it bear on entries.
HAZARD = "smell: {{title: It smells, signal: DANGER, words: [It smells], short: 'Smell: all off.', say: Get off., do: [Get off.], comes: Help., until: it is gone., {}}}"  # fmt: skip
#: A dear check that finds little stands before a cheap one that finds much.
SLOW = (
    ("checks/software-list.yaml", "minutes: 2", "minutes: 40"),
    (
        ENTRY,
        "prior: {in_service: 20}, because: Salt raises",
        "prior: {in_service: 200}, because: Salt raises",
    ),
)

#: An answer that leads to the other entry, and one there that leads back.
SENT_ON = '      "no": {then: software, shows: [bad-joint]}'
TO_LOW_VOLTS = '      "no": {shows: [bad-joint], to_entry: low-volts}'
SENT_BACK = "cannot: {then: hand-over}}"

CAUTIONS, VALUES, LEAD = "cautions.yaml", "values.yaml", "tables/lead-drop.yaml"
#: The end of a caution's record, so that a case can say what calls for it.
VAPOUR_END, LIVE_END = "short: Air the space first.}", "short: Deadly in transmit. Unit off first.}"
WAIT = "{meaning: Time to wait, declared: 10 s,"
#: A second table of the lead's formula.
SECOND = LEAD, "id: lead-drop\n", "id: lead-drop\n"
FUSE_JOINT = "remedy: [Renew the joint.]\n    proof: Do the volts hold in transmit?\n"
ELEMENT_END = "    cautions: [live-element]\n    condemns: true\n"
ASSUMED = "assumptions.yaml", "  value: 20 C\n"
#: An American word, and a setting with the words that name it.
TORCH = "us_words.yaml", "{}", "torch: {british: torch, american: flashlight, plural: [torches, flashlights]}"
GATES = (
    ("tasks.yaml", "record-settings:", "live-picture: {name: Return, words: [gates]}\nrecord-settings:"),
    ("families/plain.yaml", "menus:\n", "menus:\n  live-picture: [LIST key, Now]\n"),
)
DEEPER = "families/plain.yaml", "least_depth_m: 0.5", "least_depth_m: 1.5"
#: An oblong face. Between half-power points a line of length L is 2 asin(0.443 wavelength/L) wide (Urick 1983, chapter 3):
#: at 200 kHz 19.1 degrees for 20 mm and 9.5 for 40.
OBLONG = (
    "transducers/round.yaml",
    "aperture: {shape: circular, diameter_mm: 40}, beamwidth_deg: 11.1",
    "aperture: {shape: rectangular, length_mm: 40, width_mm: 20}, beamwidth_deg: 19.1, narrow_beamwidth_deg: 9.5",
)
#: What the rules on one lamp and on joints look at, where the small content has nothing of the kind.
LAMP_VALUES = "test-lamp: {meaning: Lamp, declared: 21 W, source: common-practice}\ntest-lamp-current: {meaning: Its current, declared: 1.75 A, source: common-practice}\nwait-time:"


def called_for(caution: str, what: str) -> tuple[str, str, str]:
    """An edit by which a caution says what calls for it."""
    end = VAPOUR_END if caution == "vapour" else LIVE_END
    return CAUTIONS, end, end.removesuffix("}") + f", called_for: {{{what}}}}}"


def more_assumption(name: str, value: str, band: str) -> tuple[str, str, str]:
    """An edit that adds an assumption with its band."""
    return ("assumptions.yaml", "copper-temperature:\n",
            f"{name}: {{name: More, value: {value}, band: [{band}], reason: It is so., source: common-practice}}\ncopper-temperature:\n")  # fmt: skip


CASES = [
    case("named-setting", "names 'live-picture' and nowhere its menu path", *GATES, ("checks/own-volts.yaml", "Read the volts of the unit.", "Read the volts of the unit with the gates clear.")),
    case("message-words", "'LOW' stands in the message 'SUPPLY LOW' of plain", ("tasks.yaml", "record-settings:", "message-list: {name: Read the messages}\nrecord-settings:"), ("families/plain.yaml", "menus:\n", "menus:\n  message-list: [LIST key, Said]\n"), ("checks/software-list.yaml", "do: Compare the version with the list.", "do: 'Compare the version with the list, and read {menu: message-list}.'"), (ENTRY, '"no": {then: found-software, shows: [old-software]}', '"no": {then: found-software, shows: [old-software], label: LOW}')),
    case("insulation-limit", "the value 'insulation-good' is missing", ("transducers/round.yaml", "pins:", "insulated: each of 1 and 2 with 5\npins:")),
    case("go-on-at", "'lampe' is no check of 'low-volts'", (ENTRY, SENT_ON, TO_LOW_VOLTS.replace("}", ", at: lampe}"))),
    case("asked-again", "asks 'history' of 'low-volts' again", (ENTRY, SENT_ON, TO_LOW_VOLTS)),
    case("book-loop", "leads back to 'low-volts'", (ENTRY, SENT_ON, TO_LOW_VOLTS.replace("}", ", at: volts}")), (OTHER, SENT_BACK, SENT_BACK.replace("then: hand-over", "to_entry: no-depth, at: temperature"))),
    case("sentence-length", "a sentence of 25 words (at most 20): Press the key", ("checks/own-volts.yaml", "Read the volts of the unit.", LONG)),
    case("sentence-length", "(at most 25): A ", (ENTRY, "seen: No depth number stands on the screen.", "seen: A" + " word" * 25 + ".")),
    case("sentence-length", "(at most 18): Volts", ("values.yaml", "meaning: Volts on charge", "meaning: Volts" + " word" * 18)),
    case("loose-number", "the number '10 s' stands loose in the text", ("checks/own-volts.yaml", "Read the volts of the unit.", "Read the volts for 10 s.")),
    case("imperative", "no command: 'The volts are read.'", ("checks/own-volts.yaml", "Read the volts of the unit.", "The volts are read.")),
    case("imperative", "no comma after the condition: 'If it is lit read it.'", ("checks/own-volts.yaml", "do: Read the volts of the unit.", "do: If it is lit read it.")),
    case("vocabulary", "'transponder' is not the handbook's word; write 'transducer'", (ENTRY, "Fit a new transducer.", "Fit a new transponder.")),
    case("wanted-reading", "asks for no reading or sight", ("checks/own-volts.yaml", "see: Do the volts stand above the low limit?", "see: Are the volts OK?")),
    case("wanted-reading", "is no question", ("checks/own-volts.yaml", "see: Do the volts stand above the low limit?", "see: Volts stand above the low limit.")),
    case("links", "'torche' is no tool; did you mean 'torch'?", ("checks/look-at-plug.yaml", "[torch]", "[torche]")),
    case("links", "'lowvolts' is no fault entry; did you mean 'low-volts'?", (ENTRY, END, "see_also: [lowvolts]\n")),
    case("links", "'square' is no transducer", ("families/plain.yaml", 'transducers: {round: "1.0"}', 'transducers: {round: "1.0", square: "1.0"}')),
    case("references", "{value: wait-tim} points to nothing; did you mean 'wait-time'?", ("checks/look-at-plug.yaml", "{value: wait-time}", "{value: wait-tim}")),
    case("references", "{message: plain absent} points to nothing", (ENTRY, "Keep the defaults.", "'See {message: plain absent}.'")),
    case("references", "{given: x} stands outside a shared check", (ENTRY, "Keep the defaults.", "'See {given: x}.'")),
    case("references", "the check has no parameter 'plugg'; parameters: plug", ("checks/look-at-plug.yaml", "{given: plug}", "{given: plugg}")),
    case("references", "holds '<b>'", (ENTRY, "Keep the defaults.", "Keep <b>the defaults.")),
    case("edition-date", "revision 1 is of 2026-11-25, but 'low-volts' was last reviewed on 2026-11-26", (OTHER, 'reviewed: "2026-11-25"', 'reviewed: "2026-11-26"'), (OTHER, "status: draft", "status: reviewed")),
    case("phrases", "no phrases are there in 'nb'", ("editions/deck.yaml", "document: Q-DECK\n", "document: Q-DECK\nlanguage: nb\n")),
    case("parameters", "'plugs' is no parameter of look-at-plug; parameters: plug", (ENTRY, "given: {plug: plug", "given: {plugs: plug")),
    case("aperture", "is no beam of this aperture at 200 kHz", ("transducers/round.yaml", "beamwidth_deg: 11.1", "beamwidth_deg: 40.0")),
    case("retired", "the id 'low-volts' is retired", ("retired.yaml", "{}", 'low-volts: {was: Low volts, on: "2026-01-01", reason: It was merged.}')),
    case("messages-exist", "'absent' is no message of plain; messages: no-depth, low-supply", (ENTRY, "{plain: [no-depth]}", "{plain: [no-depth, absent]}")),
    case("message-coverage", "the message 'low-supply' is covered by no entry", (OTHER, "  messages: {plain: [low-supply]}\n", "")),
    case("message-coverage", "is covered by no-depth, low-volts", (ENTRY, "{plain: [no-depth]}", "{plain: [no-depth, low-supply]}")),
    case("menu-coverage", "no display family has a menu path for 'update-software'", ("families/plain.yaml", "  update-software: [LIST key, Load]\n", "")),
    case("codes", "'D2' does not begin with the letter of its area; write P2", (OTHER, "code: P1", "code: D2")),
    case("codes", "'P1' is also the code of", (ENTRY, "code: D1", "code: P1")),
    case("owner-safe", "'lamp' is marked safe for an owner but needs access to 'dash'", (ENTRY, "use: lamp-at-plug", "use: lamp-at-plug\n    owner_safe: true")),
    case("owner-safe", "but is made in the state 'crank'", (ENTRY, "use: temperature-shown", "use: temperature-shown\n    state: crank")),
    case("owner-safe", "but carries the DANGER 'vapour'", (ENTRY, "use: temperature-shown", "use: temperature-shown\n    cautions: [vapour]")),
    case("owner-safe", "but is wet work", ("checks/restore-defaults.yaml", "tests: [settings]", "tests: [settings]\nowner_safe: true\nwet: true")),
    case("structure", "which does not exist; name a check, finding or hand-over", (ENTRY, '"no": {then: found-software, shows: [old-software]}\n      cannot: {then: hand-over}', '"no": {then: found-software, shows: [old-software]}\n      cannot: {then: absent}')),
    case("structure", "the walk comes back: ", (ENTRY, PLUG_CHECK, PLUG_CHECK.replace("cannot: {then: lamp}", "cannot: {then: software}"))),
    case("structure", "no path leads here; let an answer lead to it", (OTHER, "hand_overs:\n", "  - {id: found-else, causes: [limit], says: Else, remedy: [Look.], proof: Does it hold?}\nhand_overs:\n")),
    case("structure", "was already made at", (OTHER, '"yes": {then: found-limit}', '"yes": {then: again}'), (OTHER, "findings:\n", '  - id: again\n    use: own-volts\n    outcomes: {"yes": {then: found-limit}, "no": {then: found-joint, shows: [joint]}, cannot: {then: hand-over}}\nfindings:\n')),
    case("answers", "'volts' has no answer 'cannot'", (ENTRY, VOLTS, VOLTS.replace("      cannot: {then: software}\n", ""))),
    case("answers", "'volts' has 0 answers without 'shows'", (OTHER, '"yes": {then: found-limit}', '"yes": {then: found-limit, shows: [limit]}')),
    case("answers", "'absent' is no cause here", (OTHER, "shows: [joint]", "shows: [joint, absent]")),
    case("found", "'wrong-setting' is not found by following the card: history (in-service) > ", (ENTRY, "shows: [wrong-setting]", "shows: []")),
    case("history-first", "the first check does not ask the history (new-fitting)", (ENTRY, "      new-fitting: {then: temperature}\n", "")),
    case("free-first", "the free check 'temperature' comes after 'plug', which needs access", (ENTRY, TEMPERATURE, ""), (ENTRY, LAMP_HEAD, TEMPERATURE + LAMP_HEAD)),
    case("supply-early", "the supply is not read at all", (ENTRY, VOLTS, ""), (ENTRY, TEMPERATURE, TEMPERATURE.replace("then: volts", "then: software"))),
    case("supply-before-condemning", "'found-element' condemns a part without a measurement of the supply under load: history > ", (ENTRY, LAMP, LAMP.replace("cannot: {then: hand-over}", "cannot: {then: pins}"))),
    case("software-before-condemning", "'found-element' condemns a part without a check of software", (ENTRY, "shows: [old-software]}\n      cannot: {then: hand-over}", "shows: [old-software]}\n      cannot: {then: plug}")),
    case("cheap-first", "'plug' (looking) tests plug after 'pins' (measure) did; change the order", (ENTRY, PINS, ""), (ENTRY, PLUG_HEAD, PINS + PLUG_HEAD)),
    case("dry-first", "'volts' at the helm comes after the wet or costly 'temperature'", ("checks/temperature-shown.yaml", "owner_safe: true\n", "wet: true\n")),
    case("swap-there-and-back", "a swap does not say what it exchanges", ("checks/borrowed-transducer.yaml", "swap: {part: [element, cable, plug], carries: [mounting]}\n", "")),
    case("swap-there-and-back", "the swap lacks the answers not-back", (ENTRY, "      not-back: {then: found-plug, shows: [bad-plug]}\n", "")),
    case("swap-there-and-back", "'found-element' condemns a part although the fault did not return", (ENTRY, "returns: {then: found-element, shows: [dead-element]}", "returns: {then: hand-over, shows: []}"), (ENTRY, "not-back: {then: found-plug, shows: [bad-plug]}", "not-back: {then: found-element, shows: [dead-element]}")),
    case("swap-there-and-back", "the swap matrix does not support 'found-joint': it blames joints", (ENTRY, "returns: {then: found-element, shows: [dead-element]}", "returns: {then: found-joint, shows: [bad-joint]}")),
    case("swap-there-and-back", "'found-element' leaves out what the swap also changed and nothing has tested: mounting", ("checks/look-at-plug.yaml", "tests: [plug, mounting]", "tests: [plug]")),
    case("intermittent", "clears a component of an intermittent fault", (ENTRY, "needs: [depth]", "needs: [depth]\nkinds: [intermittent]"), (ENTRY, '"yes": {then: swap}', '"yes": {then: swap, clears: [plug]}')),
    case("restore-last", "'restore' does not record the settings first", ("checks/restore-defaults.yaml", "Record the settings by {menu: record-settings}. ", "")),
    case("restore-last", "'swap' comes after 'restore'", (ENTRY, RESTORE, ""), (ENTRY, "  - id: swap\n    use", RESTORE + "  - id: swap\n    use")),
    case("update-caution", "updates software without the caution 'update-battery'", (ENTRY, "    cautions: [update-battery]\n", "")),
    case("update-caution", "updates software without the caution", ("checks/software-list.yaml", "Compare the version with the list.", "\"Update by {menu: update-software}.\"")),
    case("line-caution", "touches the transducer line without a caution", ("checks/pin-readings.yaml", "cautions: [live-element]\n", "")),
    case("order", "% more than the best legal one (", *SLOW),
    case("order", "move 'lamp' before 'software', which saves ", *SLOW),
    case("order", "25% more than the best legal one (", ("checks/software-list.yaml", "minutes: 2", "minutes: 6"), *SLOW[1:]),
    case("family-transducers", "'round' looks side, which plain cannot show", ("transducers/round.yaml", "receiver_recovery_ms: 0.15}", "receiver_recovery_ms: 0.15, looks: side}")),
    case("after", "'absent' is no check of this entry; checks before it: history, temperature, ", (ENTRY, "use: lamp-at-plug", "use: lamp-at-plug\n    after: [absent]")),
    case("after", "'pins' stands after it", (ENTRY, "use: lamp-at-plug", "use: lamp-at-plug\n    after: [plug, pins]")),
    case("applies", "no display family has depth, speed", ("capabilities.yaml", "depth: {name: Depth number}", "depth: {name: Depth number}\nspeed: {name: Speed}"), (ENTRY, "needs: [depth]", "needs: [depth, speed]"), (OTHER, "condition:\n", "needs: [depth]\ncondition:\n")),
    case("applies", "names a message of plain, which lacks what the entry needs (depth, speed)", ("capabilities.yaml", "depth: {name: Depth number}", "depth: {name: Depth number}\nspeed: {name: Speed}"), (ENTRY, "needs: [depth]", "needs: [depth, speed]"), (OTHER, "condition:\n", "needs: [depth]\ncondition:\n")),
    case("capability-coverage", "no entry is about 'depth'", (ENTRY, "needs: [depth]\n", "")),
    case("cause-answers", "no answer clears 'joint'", (OTHER, "{then: found-joint, shows: [joint]}", "{then: found-joint, shows: []}"), (OTHER, "causes: [limit]", "causes: [limit, joint]")),
    case("pulse", "the shortest pulse is longer than the longest", ("transducers/round.yaml", "pulse_short_ms: 0.1", "pulse_short_ms: 0.9"), ("families/plain.yaml", "least_depth_m: 0.5", "least_depth_m: 2.0")),
    case("pulse", "a pulse of 0.4 ms fills 2 kHz at least", ("transducers/round.yaml", "pulse_long_ms: 0.8", "pulse_long_ms: 0.4")),
    case("pulse", "an element of quality factor 70 takes 0.11 ms to ring up at 200 kHz", ("transducers/round.yaml", "quality_factor: 24", "quality_factor: 70"), ("families/plain.yaml", "least_depth_m: 0.5", "least_depth_m: 1.0")),
    case("pulse", "an element of quality factor 24 does not sound 90 kHz wide", ("transducers/round.yaml", "bandwidth_khz: 1.2", "bandwidth_khz: 90"), ("families/plain.yaml", "least_depth_m: 0.5", "least_depth_m: 1.0")),
    case("watts", "4000 W on 12.6 cm2 of face are more than an element bears", ("transducers/round.yaml", "power_w: 500", "power_w: 4000")),
    case("tilt-datum", "a tilted element without a mark", ("transducers/round.yaml", "mark: {mark: Cable exit, points_to: forward}", "mark: {mark: No mark, points_to: none}\nelement_tilts_deg: [0.0, 12.0]")),
    case("depth-window", "0.5 m is not less than the greatest depth, 0.4 m", ("families/plain.yaml", "greatest_depth_m: 200.0", "greatest_depth_m: 0.4")),
    case("depth-window", "every transducer that it accepts hides 0.45 m or more", ("families/plain.yaml", "least_depth_m: 0.5", "least_depth_m: 0.4")),
    case("deadrise-band", "12 degrees is no deadrise of a flat hull", ("boats/punt.yaml", "deadrise_deg: 2.0", "deadrise_deg: 12.0")),
    case("boat-transducer", "'round' is not on the list of plain", ("families/plain.yaml", 'transducers: {round: "1.0"}', "transducers: {}")),
    case("boat-transducer", "round is not made with 12 degrees", ("boats/punt.yaml", "face_immersion_m: 0.2", "face_immersion_m: 0.2\nelement_tilt_deg: 12.0")),
    case("boat-transducer", "an in-hull transducer does not sound through aluminium", ("transducers/round.yaml", "housing: transom", "housing: in-hull")),
    case("boat-transducer", "an in-hull transducer needs the thickness of the hull", ("transducers/round.yaml", "housing: transom", "housing: in-hull"), ("boats/punt.yaml", "material: aluminium", "material: solid-grp")),
    case("boat-supply", "the battery reaches 29.6 V on charge, plain bears 17 V", ("boats/punt.yaml", "nominal_v: 12", "nominal_v: 24")),
    case("boat-supply", "12 V are not above the low limit of plain, 13 V", ("families/plain.yaml", "supply_low_v: 10.0", "supply_low_v: 13.0")),
    case("boat-supply", "a fuse of 5 A does not fit plain", ("boats/punt.yaml", "fuse_a: 2.0", "fuse_a: 5.0")),
    case("boat-supply", "0.03 ohm are less than a fuse of 2 A has by itself, 0.0535 ohm", ("boats/punt.yaml", "contact_ohm: 0.06", "contact_ohm: 0.03")),
    case("declared-unit", "'2' has no unit; write the unit behind it, or add 'unitless: true'", ("values.yaml", "declared: 2 m,", 'declared: "2",')),
    case("declared-unit", "'2 to 3' has no unit", ("values.yaml", "declared: 2 m,", 'declared: "2 to 3",')),
    case("us-limit", "'6 ft' is 1.83 m, on the wrong side of a least, 2 m", ("values.yaml", "declared: 2 m,", "declared: 2 m, us: 6 ft, limit: least,")),
    case("us-limit", "is a limit by its meaning and does not say which", ("values.yaml", "declared: 2 m,", "declared: 2 m, us: 7 ft,")),
    case("us-limit", "'14 AWG' is 2.08 mm2, on the wrong side of a least, 2.5 mm2", ("values.yaml", "declared: 2 m,", "declared: 2.5 mm2, us: 14 AWG, limit: least,")),
    case("us-limit", "'30 ft' is 9.14 m, on the wrong side of a least, 10 m", ("values.yaml", "declared: 2 m,", "declared: 10 m, us: 30 ft, limit: least,")),
    case("us-limit", "'0.15 in' is 3.81 mm, far from 3 mm", ("values.yaml", "Time to wait, declared: 10 s,", "Start height, declared: 3 mm, us: 0.15 in,")),
    case("bring", "'found-plug' asks for 'clean the pins', and the entry brings no 'cloth'; write 'tools: [cloth]' at the finding", ("tools.yaml", "multimeter: {name: Multimeter}", "multimeter: {name: Multimeter}\ncloth: {name: Cloth, named: [clean the pins]}")),
    case("us-words", "'flashlights' is American; write 'torch'", TORCH, (ENTRY, "Clean the pins.", "Clean the pins with flashlights.")),
    case("us-words", "'color' is itself replaced, by 'tint'; name a word that stays", ("us_words.yaml", "{}", "colour: {british: colour, american: color, british_too: true}\ntint: {british: color, american: tint}")),
    case("signs", "'No depth' does not say how the number fails; add 'number: [gone]'", (ENTRY, "  number: [gone]\n", "")),
    case("hazard-coverage", "the DANGER 'vapour' belongs to no hazard; name it under 'cautions' of a hazard", ("hazards.yaml", "{}", HAZARD.format("areas: [power]"))),
    case("hazard-signal", "WARNING is milder than the DANGER 'vapour'; write 'signal: DANGER'", ("hazards.yaml", "{}", HAZARD.format("cautions: [vapour], areas: [power]").replace("DANGER", "WARNING"))),
    case("hazard-bears", "the hazard 'smell' bears on no entry; name its cautions, areas, access, signs or phrases", ("hazards.yaml", "{}", HAZARD.format("cautions: [vapour], access: []"))),
    case("shortened", "names 'plug' and leaves out what the long form forbids: 'Never pull a plug by its cable.'", ("checks/look-at-plug.yaml", "how:\n", "how:\n  - Never pull a plug by its cable.\n")),
    case("letters", "the fonts have no sign '\u2693' (U+2693)", (ENTRY, "remedy: [Renew the joint.]", "remedy: [Renew the \u2693 joint.]")),
    case("long-word", "a word of 90 letters: 'jjjjj", (ENTRY, "remedy: [Renew the joint.]", f"remedy: [Renew the {'j' * 90}.]")),
    case("remedy-steps", "a remedy of 7 steps; a card has room for 6", (ENTRY, "remedy: [Renew the joint.]", f"remedy: [{', '.join(['Renew the joint.'] * 7)}]")),
    case("owner-safe", "'temperature' is marked safe for an owner but needs access to 'helm'", ("access.yaml", "rank: 0, owner_may: true}", "rank: 0}"), ("checks/ask-history.yaml", "owner_safe: true\n", "")),
    case("owner-safe", "but needs the tool 'multimeter'", ("checks/temperature-shown.yaml", "owner_safe: true\n", "owner_safe: true\ntools: [multimeter]\n")),
    case("owner-safe", "'temperature' is marked safe for an owner but is a measure check", ("checks/temperature-shown.yaml", "kind: read", "kind: measure")),
    case("owner-safe", "'restore' is marked safe for an owner but is a restore check", (ENTRY, "use: restore-defaults", "use: restore-defaults\n    owner_safe: true")),
    case("owner-safe", "'swap' is marked safe for an owner but is a swap check", (ENTRY, "use: borrowed-transducer", "use: borrowed-transducer\n    owner_safe: true")),
    case("owner-safe", "but is made in the state 'under-way'", (ENTRY, "use: temperature-shown", "use: temperature-shown\n    state: under-way")),
    case("owner-safe", "but carries the WARNING 'live-element'", (ENTRY, "use: temperature-shown", "use: temperature-shown\n    cautions: [live-element]")),
    case("owner-safe", "but carries the DANGER 'vapour'", (ENTRY, "use: temperature-shown", "use: temperature-shown\n    cautions: [vapour]"), (CAUTIONS, VAPOUR_END, VAPOUR_END.removesuffix("}") + ", owner_may: true}")),
    case("owner-safe", "but names the setting 'record-settings'", ("checks/temperature-shown.yaml", "do: Read the water temperature.", "do: 'Read the water temperature, and {menu: record-settings}.'")),
    case("owner-safe", "'found-software' is marked safe for an owner but names the setting 'update-software'", (ENTRY, "    cautions: [update-battery]\n", "    cautions: [update-battery]\n    owner_safe: true\n"), (CAUTIONS, "short: Charge the battery before an update.}", "short: Charge the battery before an update., owner_may: true}")),
    case("owner-safe", "'found-setting' is marked safe for an owner but names the setting 'restore-defaults'", (ENTRY, "proof: Does the depth stay after a restart?", "proof: 'Does the depth stay, and the choice of {menu: restore-defaults}?'\n    owner_safe: true")),
    case("owner-safe", "'found-element' is marked safe for an owner but condemns a part; drop 'owner_safe'", (ENTRY, ELEMENT_END, "    condemns: true\n    owner_safe: true\n")),
    case("owner-safe", "'found-plug' is marked safe for an owner but needs the tool 'multimeter'", (ENTRY, "    minutes: 4\n", "    minutes: 4\n    tools: [multimeter]\n    owner_safe: true\n")),
    case("owner-safe", "'found-plug' is marked safe for an owner but carries the WARNING 'live-element'", (ENTRY, "    minutes: 4\n", "    minutes: 4\n    cautions: [live-element]\n    owner_safe: true\n")),
    case("owner-safe", "'batteries' is marked safe for an owner but names the setting 'restore-defaults'", ("topics/batteries.yaml", "source: common-practice\n", "owner_safe: true\nsource: common-practice\n"), ("topics/batteries.yaml", "Volts say little.", "'Volts say little, nor does {menu: restore-defaults}.'")),
    case("line-caution", "touches the transducer line without a caution", ("checks/borrowed-transducer.yaml", "cautions: [live-element]\n", "")),
    case("line-caution", "touches the transducer line without a caution", ("components.yaml", "joints: {name: Joints, about: The joints of the lead.}", "joints: {name: Joints, about: The joints of the lead., high_volts: true}")),
    case("line-caution", "touches the transducer line without a caution", ("checks/borrowed-transducer.yaml", "cautions: [live-element]\n", ""), ("checks/borrowed-transducer.yaml", "tests: [element]", "tests: [mounting]")),
    case("caution-called-for", "uses the tool 'multimeter' without the caution 'vapour'; add 'vapour' to 'cautions'", called_for("vapour", "tools: [multimeter]")),
    case("caution-called-for", "changes the setting 'restore-defaults' without the caution 'vapour'", called_for("vapour", "tasks: [restore-defaults]")),
    case("caution-called-for", "says 'plug with the lamp' without the caution 'vapour'", called_for("vapour", "phrases: [plug with the lamp]")),
    case("caution-called-for", "'temperature' is made in the state 'crank' without the caution 'live-element'", called_for("live-element", "states: [crank]"), (ENTRY, "use: temperature-shown", "use: temperature-shown\n    state: crank\n    owner_safe: false")),
    case("caution-called-for", "is made in the state 'power-off' without the caution 'vapour'", called_for("vapour", "states: [power-off]")),
    case("caution-called-for", "'found-joint' says 'renew the joint' without the caution 'vapour'", called_for("vapour", "phrases: [renew the joint]")),
    case("caution-called-for", "'found-element' carries 'live-element' without the caution 'vapour'", called_for("vapour", "cautions: [live-element]")),
    case("bedded-dry", "'found-plug' beds a fitting and does not prove it dry", (CAUTIONS, "update-battery:", "sealant-cure: {signal: WARNING, hazard: Sealant cures., result: It lets go., avoid: Wait., short: Wait for the sealant.}\nupdate-battery:"), (ENTRY, "    minutes: 4\n", "    minutes: 4\n    cautions: [sealant-cure]\n")),
    case("answer-convicts", "shows bad-joint and ends in 'found-plug', which names none of them; findings that do: found-joint", (ENTRY, LAMP, LAMP.replace('"no": {then: found-joint, shows: [bad-joint]}', '"no": {then: found-joint, shows: [bad-joint]}\n      dim: {then: found-plug, shows: [bad-joint]}'))),
    case("not-back-apart", "'not-back' leads to 'hand-over', as 'returns' does", (ENTRY, "returns: {then: found-element, shows: [dead-element]}", "returns: {then: hand-over, shows: []}"), (ENTRY, "not-back: {then: found-plug, shows: [bad-plug]}", "not-back: {then: hand-over, shows: []}")),
    case("trials", "the trial 'absent' is no check of this entry; its checks: history, temperature", (ENTRY, "    minutes: 4\n", "    minutes: 4\n    trials: [absent]\n")),
    case("trials", "'found-plug' is reached without 'volts': history > temperature > found-plug", (ENTRY, "    minutes: 4\n", "    minutes: 4\n    trials: [history, volts]\n")),
    case("trials", "'found-setting' is reached without 'swap': history > ", (ENTRY, "proof: Does the depth stay after a restart?", "proof: Does the depth stay after a restart?\n    trials: [swap]")),
    case("failed-proof", "a failed proof of 'found-plug' leads straight to the finding 'found-setting'", (ENTRY, "    minutes: 4\n", "    minutes: 4\n    unproved: found-setting\n")),
    case("condemned-proved", "'found-element' condemns a part and proves nothing of the new one", (ENTRY, "proof: Does the depth match the lead line?", "proof: Does it work?")),
    case("hand-over-not-done", "'hand-over' does not list what was not done; add 'not-done'", ("evidence.yaml", "history:", "not-done: {ask: What was not done}\nhistory:"), (OTHER, "evidence: [history]", "evidence: [history, not-done]")),
    case("hand-over-readings", "'hand-over' lists no reading of 'borrowed-transducer'; add one of: swapped", ("evidence.yaml", "history:", "swapped: {ask: What the swap showed}\nhistory:"), ("checks/borrowed-transducer.yaml", "state: transmit\n", "state: transmit\nevidence: [swapped]\n")),
    case("decides", "'temperature' decides nothing: every answer leads to 'volts'", (ENTRY, '"no": {then: found-plug, shows: [bad-plug]}\n      cannot: {then: volts}', '"no": {then: volts, shows: [bad-plug]}\n      cannot: {then: volts}')),
    case("likeliest-part", "'dead-element' (element) is the likeliest cause in service", (ENTRY, "component: element, prior: {in_service: 15}", "component: element, prior: {in_service: 50}")),
    case("menu-paths", "the path of 'update-software' is that of 'record-settings'; write the path", ("families/plain.yaml", "update-software: [LIST key, Load]", "update-software: [LIST key, Choices]")),
    case("rounded-side", "is least and the meaning says otherwise", (VALUES, "Drop in the lead of the boat", "Greatest drop")),
    case("rounded-side", "is rounded down, to the unsafe side of what its meaning says; write 'round: up', or 'convicts: true'", (VALUES, "show: {unit: V, step: 0.1, round: up}", "show: {unit: V, step: 0.1, round: down}")),
    case("rounded-side", "is rounded up, to the unsafe side of what its meaning says; write 'round: down'", (VALUES, "limit: least, show", "limit: least, convicts: true, show")),
    case("rounded-side", "is rounded up, and nothing says that it is a limit", (VALUES, "limit: least, show", "show")),
    case("rounded-side", "is rounded down, the metric one up; write 'round: up'", (VALUES, "show: {unit: V, step: 0.1, round: up}", "show: {unit: V, step: 0.1, round: up}, show_us: {unit: V, step: 0.2, round: down}")),
    case("rounded-side", "is rounded down, the metric one up; write 'round: up'", (VALUES, "show: {unit: V, step: 0.1, round: up}", "show: {unit: V, step: 0.1, round: up}, show_fathoms: {unit: V, step: 0.2, round: down}")),
    case("rounded-side", "is rounded down, and the table says up", (LEAD, "step: 0.01, round: up", "step: 0.01, round: down")),
    case("rounded-side", "is rounded up, and the table says nearest", (LEAD, "Rounded up.", "Rounded to the nearest.")),
    case("rounded-side", "is rounded up, and neither head nor convention says so", (LEAD, "Rounded up.", "")),
    case("rounded-side", "is rounded up, and the table says down", (LEAD, "{output: drop, show", "{output: drop, head: never above, show")),
    case("rounded-side", "is rounded down, and the table says up", (LEAD, "{output: drop, show: {unit: V, step: 0.01, round: up}", "{output: drop, head: at least, show: {unit: V, step: 0.01, round: down}")),
    case("rounded-side", "is rounded up, and the table says down", (LEAD, "Rounded up.", "Length rounded up, drop down.")),
    case("rounded-side", "is rounded up, and the table says down", (LEAD, "Rounded up.", "Rounded down and up."), (LEAD, "round: up}", "round: up}, to: {output: drop, show: {unit: V, step: 0.01, round: up}}")),
    case("rounded-side", "is rounded down, and the table says up", (LEAD, "Rounded up.", "Rounded down and up."), (LEAD, "round: up}", "round: down}, to: {output: drop, show: {unit: V, step: 0.01, round: down}}")),
    case("rounded-side", "is rounded down, the metric one up", (LEAD, "round: up}", "round: up}, show_us: {unit: V, step: 0.01, round: down}")),
    case("value-band", "'10 s' lies outside its band, 20 s to 40 s", (VALUES, WAIT, WAIT + " band: [20 s, 40 s],")),
    case("value-band", "'10 s' lies outside its band, 5 V to 20 V", (VALUES, WAIT, WAIT + " band: [5 V, 20 V],")),
    case("value-band", "'10 s' is a limit without a band; add 'band: [least, greatest]'", ("checks/lamp-at-plug.yaml", "see: Does the drop stay below the limit?", "see: 'Does the drop stay for {value: wait-time}?'")),
    case("value-band", "'2 m' is a limit without a band", (LEAD, "given: {conductor", "differs: {length: It is given.}\ngiven: {length: {value: safe-depth}, conductor"), (LEAD, "rows: {input: length, values: [3 m, 6 m], us_values: [10 ft, 20 ft], head: Length}\ncolumns: {input: current, values: [1 A, 2 A], head: Current}", "rows: {input: current, values: [1 A, 2 A], head: Current}")),
    case("limit-order", "'13.6 to 14.6 V' is not below 'low', 12 V", (VALUES, "declared: 13.6 to 14.6 V,", "declared: 13.6 to 14.6 V, below: [low],"), (VALUES, "wait-time:", "low: {meaning: Low, declared: 12 V, source: common-practice}\nwait-time:")),
    case("one-lamp", "a lamp of 30 W draws 2.5 A on 12 V", (VALUES, "wait-time:", LAMP_VALUES.replace("21 W", "30 W"))),
    case("one-lamp", "the lamp draws 1.75 A, outside what the tables count with", (VALUES, "wait-time:", LAMP_VALUES), more_assumption("lamp-current", "1.9 A", "1.8 A, 2 A")),
    case("one-lamp", "the lamp draws 1.75 A, outside what the tables count with", (VALUES, "wait-time:", LAMP_VALUES), more_assumption("lamp-current", "1.7 A", "1.6 A, 2 A")),
    case("one-lamp", "takes a lamp current of its own", (VALUES, "wait-time:", LAMP_VALUES), (LEAD, "given: {conductor", "given: {lamp_current: 1 A, conductor")),
    case("boat-joints", "0.06 ohm lie outside those of a sound lead, 0.1 to 0.2 ohm", more_assumption("sound-contacts", "0.15 ohm", "0.1 ohm, 0.2 ohm")),
    case("boat-joints", "0.06 ohm lie outside those of a sound lead, 0.03 to 0.05 ohm", more_assumption("sound-contacts", "0.04 ohm", "30 mohm, 0.05 ohm")),
    case("assumption-band", "'20 C' lies outside its band, 30 C to 40 C", (*ASSUMED, ASSUMED[1] + "  band: [30 C, 40 C]\n")),
    case("assumption-band", "'20 C' lies outside its band, 0 C to 10 C", (*ASSUMED, ASSUMED[1] + "  band: [0 C, 10 C]\n")),
    case("assumption-taken", "lists 'copper-temperature' and does not take it", (LEAD, ", temperature: {assumption: copper-temperature}", "")),
    case("same-given", "takes another 'temperature' than the others of supply.voltage_drop; take {'assumption': 'copper-temperature'}", (VALUES, "temperature: {assumption: copper-temperature}", "temperature: 50 C")),
    case("convention-value", "takes 1.5 mm2, and the convention names {value: own}, 2.5 mm2; write 'conductor: {value: own}'", (VALUES, "wait-time:", "own: {meaning: Own, declared: 2.5 mm2, source: common-practice}\nwait-time:"), (LEAD, "convention: Length one way.", "convention: 'A lead of {value: own}. Length one way."), (LEAD, "Rounded up.", "Rounded up.'")),
    # A resonator's ringing falls as exp(-pi f t / Q): 80 dB take 27.3 cycles of it a Q, at 150 kHz, the foot of the sweep.
    case("depth-window", "every transducer that it accepts hides 0.22 m or more", ("transducers/round.yaml", "bandwidth_khz: 1.2", "bandwidth_khz: 100"), ("transducers/round.yaml", "quality_factor: 24", "quality_factor: 2"), ("families/plain.yaml", "least_depth_m: 0.5", "least_depth_m: 0.2")),
    case("vocabulary", "'transponder' is not the handbook's word", ("families/plain.yaml", "about: A small unit.", "about: A small transponder.")),
    case("us-words", "'flashlight' is American; write 'torch'", TORCH, ("families/plain.yaml", "about: A small unit.", "about: A small flashlight.")),
    case("answers", "'history' has no answer 'cannot'", (OTHER, "after-impact: {then: volts}, cannot: {then: volts}", "after-impact: {then: volts}")),
    case("long-word", f"a word of 41 letters: '{'j' * 20}...';", (ENTRY, "remedy: [Renew the joint.]", f"remedy: [Renew the {'j' * 41}.]")),
    case("boat-supply", "12 V are not above the low limit of plain, 12 V", ("families/plain.yaml", "supply_low_v: 10.0", "supply_low_v: 12.0")),
    case("depth-window", "0.5 m is not less than the greatest depth, 0.5 m", ("families/plain.yaml", "greatest_depth_m: 200.0", "greatest_depth_m: 0.5")),
    case("watts", "1260 W on 12.6 cm2 of face are more than an element bears", ("transducers/round.yaml", "power_w: 500", "power_w: 1260")),
    case("watts", "900 W on 8.0 cm2 of face are more than an element bears", OBLONG, ("transducers/round.yaml", "power_w: 500", "power_w: 900")),
    case("aperture", "9.5 degrees is no beam of this aperture at 200 kHz; it gives 19.", (*OBLONG[:2], OBLONG[2].replace("19.1", "9.5", 1).replace("narrow_beamwidth_deg: 9.5", "narrow_beamwidth_deg: 19.1"))),
    case("links", "'lowvolts' is no fault entry", (ENTRY, "cannot: {then: hand-over}\nfindings:", "cannot: {to_entry: lowvolts, at: volts}\nfindings:")),
    case("links", "'stern' is no access", ("checks/own-volts.yaml", "access: helm", "access: stern")),
    case("go-on-at", "'volts: perhaps' is no answer of 'low-volts'", (ENTRY, SENT_ON, TO_LOW_VOLTS.replace("}", ", at: volts, known: {volts: perhaps}}"))),
    case("go-on-at", "'absent: yes' is no answer of 'low-volts'", (ENTRY, SENT_ON, TO_LOW_VOLTS.replace("}", ', at: volts, known: {absent: "yes"}}'))),
    # Of a caution that another one calls for it is not enough that an earlier step gave it.
    case("caution-called-for", "'found-element' carries 'live-element' without the caution 'vapour'", called_for("vapour", "cautions: [live-element]"), ("checks/own-volts.yaml", "tests: [joints]", "tests: [joints]\ncautions: [vapour]")),
    case("limit-order", "'13.6 to 14.6 V' is not below 'mid', 14 V", (VALUES, "declared: 13.6 to 14.6 V,", "declared: 13.6 to 14.6 V, below: [mid],"), (VALUES, "wait-time:", "mid: {meaning: Mid, declared: 14 V, source: common-practice}\nwait-time:")),
    case("references", "{message: plane absent} points to nothing; write {message: family message-id}", (ENTRY, "Keep the defaults.", "'See {message: plane absent}.'")),
    case("owner-safe", "'found-element' is marked safe for an owner but condemns a part; drop 'by_telephone'", (ENTRY, ELEMENT_END, "    condemns: true\n    by_telephone: true\n")),
    case("owner-safe", "'found-element' is marked safe for an owner but carries the WARNING 'live-element'; drop 'by_telephone'", (ENTRY, ELEMENT_END, "    cautions: [live-element]\n    by_telephone: true\n")),
    case("aperture", "15 degrees is no beam of this aperture at 200 kHz", ("transducers/round.yaml", "beamwidth_deg: 11.1", "beamwidth_deg: 15.0")),
    # A resonator is 20 dB down where Q (f0/f - f/f0) is the root of 99: at 162.8 of 200 kHz with a Q of 24, 74.5 kHz wide.
    case("pulse", "an element of quality factor 24 does not sound 75 kHz wide", ("transducers/round.yaml", "bandwidth_khz: 1.2", "bandwidth_khz: 75"), DEEPER),
    case("pulse", "does not sound 400 kHz wide", ("transducers/round.yaml", "bandwidth_khz: 1.2", "bandwidth_khz: 400"), DEEPER),
    case("looks-like", "does not say what it looks like on plain", (ENTRY, "  looks_like: {plain: The corner stays empty.}\n", "")),
]  # fmt: skip


SEALANT = "sealant-cure: {signal: WARNING, hazard: Sealant cures., result: It lets go., avoid: Wait., short: Wait for the sealant.}\nupdate-battery:"
NOT_DONE = ("evidence.yaml", "history:", "not-done: {ask: What was not done}\nhistory:")
#: What each rule lets pass, at the edge of what it refuses.
LAWFUL: dict[str, tuple[tuple[str, str, str], ...]] = {
    "an owner's step with all declared": (
        ("tools.yaml", "torch: {name: Torch}", "torch: {name: Torch, owner_may: true}"),
        ("tasks.yaml", "record-settings: {name: Record the settings}", "record-settings: {name: Record the settings, owner_may: true}"),
        (CAUTIONS, LIVE_END, LIVE_END.removesuffix("}") + ", owner_may: true}"),
        ("checks/temperature-shown.yaml", "do: Read the water temperature.", "do: 'Read the water temperature, and {menu: record-settings}.'"),
        (ENTRY, "use: temperature-shown", "use: temperature-shown\n    cautions: [live-element]"),
        (ENTRY, "    minutes: 4\n", "    minutes: 4\n    tools: [torch]\n    cautions: [live-element]\n    owner_safe: true\n"),
        ("topics/batteries.yaml", "source: common-practice\n", "owner_safe: true\nsource: common-practice\n"),
        ("topics/batteries.yaml", "Volts say little.", "'Volts say little, see {menu: record-settings}.'"),
    ),
    "numbers at their limits": (
        (OTHER, "remedy: [Lower the limit.]", "remedy: [" + "Lower the limit., " * 5 + "Look again.]"),
        (OTHER, "because: Somebody set it.", f"because: Somebody set {'i' * 40}."),
        ("boats/punt.yaml", "deadrise_deg: 2.0", "deadrise_deg: 6.0"),
        ("boats/punt.yaml", "contact_ohm: 0.06", "contact_ohm: 0.0535"),
        ("families/plain.yaml", "supply_high_v: 17.0", "supply_high_v: 14.8"),
        ("checks/own-volts.yaml", "Read the volts of the unit.", "Read the volts of the unit" + " and the volts" * 4 + " of it."),
        (ENTRY, "seen: No depth number stands on the screen.", "seen: A" + " word" * 24 + "."),
    ),
    "a topic that is not for owners": (("topics/batteries.yaml", "Volts say little.", "'Volts say little, see {menu: restore-defaults}.'"),),
    "a caution that is there": (called_for("live-element", "tools: [borrowed-transducer], phrases: [fit a new transducer]"),),
    "a caution that another serves": (called_for("vapour", "tools: [borrowed-transducer], served_by: [live-element]"),),
    "a caution that a check of the entry gave": (
        called_for("live-element", "phrases: [clean the pins]"),
        (OTHER, "remedy: [Lower the limit.]", "remedy: [Lower the limit, and leave the pins.]"),
    ),
    "a danger that the words take away": (called_for("vapour", "tools: [multimeter], phrases: [renew the joint], unless: [Measure, renew]"),),
    "a question calls for nothing": (called_for("vapour", "phrases: [Ask what changed]"),),
    "a caution beside its own": (
        called_for("vapour", "cautions: [live-element]"),
        (ENTRY, ELEMENT_END, "    cautions: [live-element, vapour]\n    condemns: true\n"),
    ),
    "a fitting proved dry": (
        (CAUTIONS, "update-battery:", SEALANT), (ENTRY, "    minutes: 4\n", "    minutes: 4\n    cautions: [sealant-cure]\n"),
        (ENTRY, "proof: Does the depth hold while you move the plug?", "proof: Does the depth hold, and is the fitting dry?"),
    ),
    "a call for help lists nothing more": (
        NOT_DONE, (OTHER, "evidence: [history]", "evidence: [history, not-done]"),
        (ENTRY, "evidence: [photo-pins, history]}", "evidence: [photo-pins, history], cautions: [vapour]}"),
        ("checks/borrowed-transducer.yaml", "state: transmit\n", "state: transmit\nevidence: [not-done]\n"),
    ),
    "a hand-over with its readings": (
        NOT_DONE, (OTHER, "evidence: [history]", "evidence: [history, not-done]"),
        (ENTRY, "evidence: [photo-pins, history]}", "evidence: [photo-pins, not-done]}"),
        ("checks/borrowed-transducer.yaml", "state: transmit\n", "state: transmit\nevidence: [photo-pins, history]\n"),
    ),
    "a number at the end of its band": ((VALUES, WAIT, WAIT + " band: [10 s, 20 s],"),),
    "a number at the other end": ((VALUES, WAIT, WAIT + " band: [5 s, 10 s],"),),
    "a band in another unit": ((VALUES, WAIT, WAIT + " band: [0.1 min, 10 s],"),),
    "values in their order": (
        (VALUES, "declared: 13.6 to 14.6 V,", "declared: 13.6 to 14.6 V, below: [high],"),
        (VALUES, "wait-time:", "high: {meaning: High, declared: 14.6 V, source: common-practice}\nwait-time:"),
    ),
    "one lamp everywhere": (
        (VALUES, "wait-time:", LAMP_VALUES), more_assumption("lamp-current", "1.75 A", "1.75 A, 2 A"),
        (LEAD, "given: {conductor", "given: {lamp_current: {assumption: lamp-current}, conductor"),
    ),
    "joints at the end of their band": (more_assumption("sound-contacts", "0.07 ohm", "0.06 ohm, 0.09 ohm"),),
    "joints at the other end": (more_assumption("sound-contacts", "0.05 ohm", "0.03 ohm, 0.06 ohm"),),
    "an assumption at the end of its band": ((*ASSUMED, ASSUMED[1] + "  band: [20 C, 40 C]\n"),),
    "an assumption at the other end": ((*ASSUMED, ASSUMED[1] + "  band: [0 C, 20 C]\n"),),
    "a table that says why it differs": (
        (VALUES, "temperature: {assumption: copper-temperature}", "temperature: 50 C"),
        (LEAD, "given: {conductor", "differs: {temperature: A warm day.}\ngiven: {conductor"),
    ),
    "a convention that names what is taken": (
        (VALUES, "wait-time:", "own: {meaning: Own, declared: 1.5 mm2, source: common-practice}\nwait-time:"),
        (LEAD, "convention: Length one way.", "convention: 'A lead of {value: own}, after {value: wait-time}. Length one way."), (LEAD, "Rounded up.", "Rounded up.'"),
    ),
    "trials on every way": ((ENTRY, "proof: Does the depth match the lead line?", "proof: Does the depth match the lead line?\n    trials: [software, lamp]"),),
    "a limit that convicts": ((VALUES, "limit: least, show", "limit: greatest, convicts: true, show"),),
    "a number to the nearest": ((VALUES, "limit: least, show: {unit: V, step: 0.1, round: up}", "show: {unit: V, step: 0.1, round: nearest}"),),
    "a range rounded apart": (
        (LEAD, "Rounded up.", "Rounded down and up."),
        (LEAD, "round: up}", "round: down}, to: {output: drop, show: {unit: V, step: 0.01, round: up}, show_us: {unit: V, step: 0.01, round: up}}"),
    ),
    "what a display says, in the display's words": (
        TORCH,
        ("families/plain.yaml", "text: SEEKING", "text: TRANSPONDER FLASHLIGHT LOST"),
        ("families/plain.yaml", "[LIST key, Choices]", "[LIST key, Flashlight]"),
    ),
    "a setting that no step names": GATES,
    "a setting that is named with its path": (
        *GATES,
        ("checks/own-volts.yaml", "Read the volts of the unit.", "'Clear the gates by {menu: live-picture}, and read the volts of the unit.'"),
    ),
    "a level element without a mark": (("transducers/round.yaml", "mark: {mark: Cable exit, points_to: forward}", "mark: {mark: No mark, points_to: none}"),),
    "a tilted element with a mark": (("transducers/round.yaml", "mark: {mark: Cable exit, points_to: forward}", "mark: {mark: Cable exit, points_to: forward}\nelement_tilts_deg: [0.0, 12.0]"),),
    "a lamp current without its lamp": ((VALUES, "wait-time:", LAMP_VALUES.partition("\n")[2]),),
    "a word that just fits its line": ((ENTRY, "remedy: [Renew the joint.]", f"remedy: [Renew the {'j' * 40}.]"),),
    "an intermittent fault that nothing clears": ((ENTRY, "needs: [depth]", "needs: [depth]\nkinds: [intermittent]"),),
    "a procedure, whose answers all say what they show": (
        (OTHER, "id: low-volts\n", "id: low-volts\nkind: procedure\n"),
        (OTHER, '"yes": {then: found-limit}', '"yes": {then: found-limit, shows: [limit]}'),
    ),
    "an order that takes a fifth longer": SLOW[1:],
    "an oblong face": (OBLONG,),
    "a count that a step names": (
        ("checks/lamp-at-plug.yaml", "see: Does the drop stay below the limit?", "see: 'Does the drop stay below the limit {value: count} times?'"),
        (VALUES, "wait-time:", 'count: {meaning: Times, declared: "3", unitless: true, source: common-practice}\nwait-time:'),
    ),
    "a sweep that its element just follows": (("transducers/round.yaml", "bandwidth_khz: 1.2", "bandwidth_khz: 74"), DEEPER),
    "a fuse of a size that no table lists": (("boats/punt.yaml", "fuse_a: 2.0", "fuse_a: 1.7"),),
    "as many watts as a face bears": (("transducers/round.yaml", "power_w: 500", "power_w: 1250"),),
    "a pulse that just fills its band": (("transducers/round.yaml", "bandwidth_khz: 1.2", "bandwidth_khz: 1.0"),),
    "a value below one that is computed": ((VALUES, "declared: 13.6 to 14.6 V,", "declared: 13.6 to 14.6 V, below: [lead-drop],"),),
    "a US value near its own": ((VALUES, "Time to wait, declared: 10 s,", "Start height, declared: 30 mm, us: 1.2 in,"),),
    "the insulation that the steps name": (
        ("transducers/round.yaml", "pins:", "insulated: each of 1 and 2 with 5\npins:"),
        (VALUES, "wait-time:", "insulation-good: {meaning: Least insulation, declared: 20 Mohm, source: common-practice}\nwait-time:"),
    ),
    "a message of a display": ((ENTRY, "Keep the defaults.", "'Look for {message: plain no-depth}.'"),),
    "a convention that names a card": (
        (LEAD, "convention: Length one way.", "convention: 'See {card: low-volts}. Length one way."), (LEAD, "Rounded up.", "Rounded up.'"),
    ),
    "a range to the nearest": (
        (LEAD, "Rounded up.", ""),
        (LEAD, "{output: drop, show: {unit: V, step: 0.01, round: up}}", "{output: drop, show: {unit: V, step: 0.01, round: nearest}, to: {output: drop, show: {unit: V, step: 0.01, round: nearest}}}"),
    ),
    "a US value below a greatest": (
        (VALUES, "Least water below the face, declared: 2 m,", "Greatest water below the face, declared: 2 m, us: 6 ft, limit: greatest,"),
    ),
    "a US value on the safe side": ((VALUES, "declared: 2 m,", "declared: 2 m, us: 7 ft, limit: least,"),),
    "a convention that names what is computed": (
        (LEAD, "convention: Length one way.", "convention: 'Not above {value: lead-drop}. Length one way."), (LEAD, "Rounded up.", "Rounded up.'"),
    ),
    "a range whose head speaks of its lower end": (
        (LEAD, "Rounded up.", "Rounded down and up."),
        (LEAD, "{output: drop, show: {unit: V, step: 0.01, round: up}}", "{output: drop, head: never above, show: {unit: V, step: 0.01, round: down}, to: {output: drop, show: {unit: V, step: 0.01, round: up}}}"),
    ),
    "an answer that tells the next entry what is known": ((ENTRY, SENT_ON, TO_LOW_VOLTS.replace("}", ", at: volts, known: {history: in-service}}")),),
    "a column named by its word": ((LEAD, "Rounded up.", "Length rounded down, drop up."),),
}  # fmt: skip


def verdict(to: Path, *edits: tuple[str, str, str]) -> Verdict:
    """What the rules say of the small content with these edits; it must still load."""
    catalogue = small_content.edited(*edits)
    assert catalogue.problems == []
    return check(catalogue)


def test_the_small_content_keeps_every_rule() -> None:
    found = check(small_content.edited())
    assert (found.problems, found.waived) == ([], [])


def test_every_rule_has_a_case_that_breaks_it() -> None:
    assert {case.rule for case in CASES} == set(RULES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.rule)
def test_an_edit_breaks_its_rule_alone(tmp_path: Path, case: Case) -> None:
    found = verdict(tmp_path, *case.edits)
    assert {problem.rule for problem in found.problems} == {case.rule}, found.problems
    assert any(case.says in f"{problem.what}; {problem.hint}" for problem in found.problems), found.problems
    assert found.problems == sorted(found.problems)


@pytest.mark.parametrize("name", LAWFUL)
def test_what_is_lawful_passes(tmp_path: Path, name: str) -> None:
    assert verdict(tmp_path, *LAWFUL[name]).problems == []


WAIVABLE = [case for case in CASES if RULES[case.rule].waivable]


def waive(rule: str, about: str = "") -> tuple[str, str, str]:
    """An edit that waives a rule in the entry about depth."""
    more = f", about: {about}" if about else ""
    return ENTRY, END, f"{END}waivers:\n  - {{rule: {rule}, reason: It is a trial{more}}}\n"


@pytest.mark.parametrize("case", WAIVABLE, ids=lambda case: case.rule)
def test_an_entry_may_waive_a_rule_of_the_trade(tmp_path: Path, case: Case) -> None:
    found = verdict(tmp_path, *case.edits, waive(case.rule))
    assert found.problems == []
    assert {waived.problem.rule for waived in found.waived} == {case.rule}
    assert {(waived.entry, waived.reason) for waived in found.waived} == {("no-depth", "It is a trial")}


def test_every_family_that_an_entry_applies_to_has_the_menu_path(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    text = (folder / "families/plain.yaml").read_text(encoding="utf-8")
    second = text.replace("id: plain", "id: simple").replace("  update-software: [LIST key, Load]\n", "")
    (folder / "families/simple.yaml").write_text(second, encoding="utf-8")
    found = [p for p in check(load(folder)).problems if p.rule == "menu-coverage"]

    assert [(p.what, p.field) for p in found] == [
        ("simple has no menu path for 'update-software'", "findings.found-software.remedy[0]")
    ]


#: Deadrise by kind of hull, at a transducer's station (common practice, no published source).
DEADRISES = {
    "flat": (0, 6),
    "modified-v": (6, 19),
    "deep-v": (18, 30),
    "displacement": (0, 30),
    "pontoon": (0, 8),
    "sailing": (0, 30),
}


@pytest.mark.parametrize(("hull", "band"), DEADRISES.items(), ids=list(DEADRISES))
def test_a_hull_has_a_deadrise_of_its_kind(hull: str, band: tuple[float, float]) -> None:
    punt = small_content.edited().boats["punt"]

    def told(deadrise_deg: float) -> list[str]:
        boat = punt.model_copy(update={"hull": hull, "deadrise_deg": deadrise_deg})
        return [fault.what for fault in boat_faults(boat, None, None)]

    least, greatest = band
    assert [told(least), told(greatest)] == [[], []]
    assert told(greatest + 0.5) == [f"{greatest + 0.5:g} degrees is no deadrise of a {hull} hull"]
    assert not least or told(least - 0.5)


@pytest.mark.parametrize("battery", ["flooded", "agm", "lithium"])
def test_a_battery_of_24_volts_reaches_twice_those_of_12_on_charge(battery: str) -> None:
    """Twice the cells; a 12 V battery is charged at 14 to 15 V (common practice)."""
    catalogue = small_content.edited()
    punt = catalogue.boats["punt"]
    family = catalogue.families["plain"].model_copy(update={"supply_high_v": 13.5})

    def reached_v(nominal_v: int) -> float:
        supply = punt.supply.model_copy(update={"battery": battery, "nominal_v": nominal_v})
        (fault,) = boat_faults(punt.model_copy(update={"supply": supply}), family, None)
        return float(fault.what.removeprefix("the battery reaches ").partition(" V")[0])

    assert 14 <= reached_v(12) <= 15
    assert reached_v(24) == pytest.approx(2 * reached_v(12), rel=0.01)


def test_a_boat_is_held_to_what_is_known_of_its_equipment() -> None:
    """A list of customers may name a display or a transducer that nobody has described yet."""
    catalogue = small_content.edited()
    plain, fitted = catalogue.families["plain"], catalogue.transducers["round"]
    punt = catalogue.boats["punt"]
    supply = punt.supply.model_copy(update={"fuse_a": 5.0})
    boat = punt.model_copy(update={"transducer": "square", "element_tilt_deg": 12.0, "supply": supply})

    def fields(*known: Any) -> list[str]:
        return [fault.field for fault in boat_faults(boat, *known)]

    assert fields(None, None) == []
    assert fields(None, fitted) == ["element_tilt_deg"]
    assert fields(plain, None) == ["fuse_a"]
    assert fields(plain, fitted) == ["transducer", "element_tilt_deg", "fuse_a"]


def test_a_copied_menu_path_names_the_other_family(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    text = (folder / "families/plain.yaml").read_text(encoding="utf-8")
    (folder / "families/simple.yaml").write_text(text.replace("id: plain", "id: simple"), encoding="utf-8")
    found = [p.what for p in check(load(folder)).problems if p.rule == "menu-paths"]
    assert found == [
        f"the path of '{task}' is that of '{task}' of plain"
        for task in ("record-settings", "restore-defaults", "update-software")
    ]


def test_a_code_of_an_unknown_area_is_still_told_apart() -> None:
    catalogue = small_content.edited(
        (ENTRY, "code: D1\n", "code: P1\n"), (ENTRY, "area: depth", "area: dept")
    )
    found = check(catalogue).problems
    assert [(p.what, p.hint) for p in found if p.rule == "codes" and "also" in p.what] == [
        ("'P1' is also the code of low-volts", "take a free one")
    ]


def test_a_given_that_differs_is_told_where_it_stands(tmp_path: Path) -> None:
    """Of three that take the same input the one apart is told, at its own line."""
    in_value = verdict(
        tmp_path / "a", (VALUES, "temperature: {assumption: copper-temperature}", "temperature: 50 C")
    )
    assert [p.field for p in in_value.problems] == ["lead-drop.computed.given.temperature"]
    third = "temperature: {assumption: copper-temperature}}, output: drop}"
    more = (
        third
        + ", limit: least, show: {unit: V, step: 0.1, round: up}}\nsecond-drop: {meaning: Drop in the lead of the boat, computed: {formula: supply.voltage_drop, given: {length: 5 m, current: 2 A, conductor: 1.5 mm2, "
        + third
    )
    in_table = verdict(
        tmp_path / "b",
        (VALUES, third, more),
        (LEAD, "temperature: {assumption: copper-temperature}", "temperature: 50 C"),
        (LEAD, "assumptions: [copper-temperature]", "assumptions: []"),
    )
    assert [p.field for p in in_table.problems] == ["given.temperature"]


@pytest.mark.parametrize(
    ("edit", "field"),
    [
        ((ENTRY, "shows: [old-software]}\n      cannot: {then: hand-over}", "shows: [old-software]}\n      cannot: {then: absent}"), "checks.software.outcomes.cannot.then"),
        ((OTHER, "findings:\n", "findings:\n  - {id: found-else, causes: [limit], says: Else, remedy: [Look.], proof: Does it hold?}\n"), "findings.found-else"),
        ((ENTRY, "    minutes: 4\n", "    minutes: 4\n    unproved: absent\n"), "findings.found-plug.unproved"),
    ],
)  # fmt: skip
def test_a_flaw_of_the_structure_is_told_where_it_is_written(
    tmp_path: Path, edit: tuple[str, str, str], field: str
) -> None:
    assert field in [p.field for p in verdict(tmp_path, edit).problems if p.rule == "structure"]


def test_of_many_forbidden_words_those_that_stand_there_are_told(tmp_path: Path) -> None:
    found = verdict(
        tmp_path,
        ("glossary.yaml", "never: [transponder]", "never: [transponder, pinger]"),
        (ENTRY, "Fit a new transducer.", "Fit a new transponder."),
    )
    assert [p.what for p in found.problems] == ["'transponder' is not the handbook's word"]


def test_a_menu_path_that_nobody_has_is_told_once(tmp_path: Path) -> None:
    found = verdict(tmp_path, ("families/plain.yaml", "  update-software: [LIST key, Load]\n", ""))
    assert [p.what for p in found.problems] == ["no display family has a menu path for 'update-software'"]


def test_a_supply_that_is_read_late_is_told_with_its_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trade, "SUPPLY_EARLY_PLACES", 2)
    found = [p.what for p in verdict(tmp_path).problems if p.rule == "supply-early"]
    assert found == ["'volts' comes as check 3"]


def test_an_order_that_no_single_move_mends_is_told_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The writer gets the best order, at the first check."""
    with_move = verdict(tmp_path / "a", *SLOW).warnings[0]
    monkeypatch.setattr("leadsman.content.ordering.best_move", lambda checks, written: None)
    without = verdict(tmp_path / "b", *SLOW).warnings[0]
    assert with_move.hint.startswith("move 'lamp' before 'software'")
    assert without.hint.startswith("the best order is ")
    assert without.field == "checks.history"


def test_what_is_kept_of_narrow_rules_is_what_they_find(tmp_path: Path) -> None:
    """Each breaking content, asked through a store: whatever was asked of other contents before, it finds the same."""
    narrow = {name: rule for name, rule in RULES.items() if rule.scope != "all"}
    store = Store(tmp_path / "store")
    one_each = {case.rule: case for case in CASES if case.rule in narrow}
    for case in one_each.values():
        context = Context(small_content.edited(*case.edits))
        kept = kept_findings(context, store)
        assert set(kept) == set(narrow)
        for name, rule in narrow.items():
            # A list of words is looked at with each file; what is told twice counts once.
            assert set(kept[name]) == set(rule.find(context)), (name, case)


def test_a_slow_order_is_a_warning_for_each_history(tmp_path: Path) -> None:
    """The mean of five histories would hide the one after which the reader loses most."""
    new_only = (ENTRY, "software, prior: {in_service: 5, new_fitting: 40}", "software, prior: {in_service: 5, new_fitting: 100}")  # fmt: skip
    dear = ("checks/temperature-shown.yaml", "minutes: 1", "minutes: 6")
    alone = verdict(tmp_path / "alone", new_only, dear)
    assert [(w.rule, w.what.split(" the ")[0]) for w in alone.warnings] == [("order", "after 'new-fitting'")]
    assert "let the answer 'new-fitting' lead further on, or waive with the reason and 'about: new-fitting'" in alone.warnings[0].hint  # fmt: skip
    waived = verdict(tmp_path / "waived", new_only, dear, waive("order", "new-fitting"))
    assert (waived.warnings, [w.reason for w in waived.waived]) == ([], ["It is a trial"])
    other = verdict(tmp_path / "other", new_only, dear, waive("order", "after-impact"))
    assert "nothing here breaks" in other.errors[0].what
    assert len(other.warnings) == 1


def test_a_procedure_has_no_best_order(tmp_path: Path) -> None:
    found = verdict(tmp_path / "a", *SLOW)
    assert (found.errors, {problem.rule for problem in found.warnings}) == ([], {"order"})
    # A procedure looks for no cause, so that no order of its checks is better.
    procedure = (OTHER, "id: low-volts\n", "id: low-volts\nkind: procedure\n")
    dear = ("checks/own-volts.yaml", "minutes: 1", "minutes: 90")
    assert "low-volts" not in str(verdict(tmp_path / "b", procedure, dear).problems)


@pytest.mark.parametrize(
    "case",
    [case for case in CASES if case.rule in ("codes", "found", "structure", "intermittent")],
    ids=lambda c: c.rule,
)
def test_a_rule_that_proves_the_entry_cannot_be_waived(tmp_path: Path, case: Case) -> None:
    found = verdict(tmp_path, *case.edits, waive(case.rule))
    assert found.waived == []
    assert case.rule in {problem.rule for problem in found.errors}
    # The waiver is reported as well.
    assert any(f"waives '{case.rule}'" in problem.what for problem in found.errors)


def test_a_waiver_about_one_thing_leaves_the_others(tmp_path: Path) -> None:
    broken = next(case for case in CASES if case.rule == "cheap-first").edits
    assert verdict(tmp_path / "a", *broken, waive("cheap-first", "plug")).problems == []
    left = verdict(tmp_path / "b", *broken, waive("cheap-first", "absent"))
    assert {problem.rule for problem in left.problems} == {"cheap-first", "content"}


def test_an_edition_answers_for_its_own_entries_and_its_last_revision_alone(tmp_path: Path) -> None:
    later = (OTHER, 'status: draft\nreviewed: "2026-11-25"', 'status: reviewed\nreviewed: "2026-11-30"')
    log = "revisions:\n  - {revision: 1,"
    own = ("editions/deck.yaml", log, f"entries: [no-depth]\n{log}")
    earlier = ("editions/deck.yaml", 'date: "2026-11-25", affects: All cards, reason: First edition.',
               'date: "2026-11-25", affects: All, reason: First., approved_by: Lead}\n'
               '  - {revision: 2, date: "2026-11-30", affects: All, reason: Next.')  # fmt: skip
    for folder, edit in (("own", own), ("next", earlier)):
        found = verdict(tmp_path / folder, later, edit).problems
        assert "edition-date" not in {problem.rule for problem in found}


def test_a_draft_is_no_part_of_an_edition_yet() -> None:
    later = (OTHER, 'reviewed: "2026-11-25"', 'reviewed: "2026-11-30"')
    finished = (OTHER, "status: draft", "status: reviewed")
    for edits, told in (((later,), False), ((later, finished), True)):
        found = {problem.rule for problem in check(small_content.edited(*edits)).problems}
        assert ("edition-date" in found) == told


def test_a_waiver_of_another_entry_does_not_count(tmp_path: Path) -> None:
    broken = next(case for case in CASES if case.rule == "supply-early").edits
    _, _, text = waive("supply-early")
    other = (OTHER, "hand_overs:", text.removeprefix(END) + "hand_overs:")
    left = verdict(tmp_path, *broken, other)
    assert {problem.rule for problem in left.problems} == {"supply-early", "content"}


@pytest.mark.parametrize(
    ("rule", "says"),
    [
        ("supply-early", "waives 'supply-early', which nothing here breaks; remove the waiver"),
        ("no-such", "waives 'no-such', no such rule; remove the waiver"),
    ],
)
def test_an_unused_waiver_is_an_error(tmp_path: Path, rule: str, says: str) -> None:
    (problem,) = verdict(tmp_path, waive(rule)).errors
    assert f"{problem.what}; {problem.hint}" == says
    assert problem.field == "waivers[0]"


def test_all_breaches_come_in_one_run_with_the_problems_of_reading() -> None:
    catalogue = small_content.edited(
        ("tools.yaml", "torch: {name: Torch}", "torch: {}"),
        ("checks/own-volts.yaml", "see: Do the volts stand above the low limit?", "see: Are the volts OK."),
        (OTHER, "code: P1", "code: D1"),
    )
    found = check(catalogue)
    # The tool that could not be read is there; no rule calls it missing.
    assert [problem.rule for problem in found.problems] == [
        "wanted-reading", "wanted-reading", "codes", "codes", "content",
    ]  # fmt: skip


def test_an_entry_that_uses_an_absent_check_is_reported_and_no_crash(tmp_path: Path) -> None:
    found = verdict(tmp_path, (OTHER, "use: own-volts", "use: own-vols"))
    assert any(p.rule == "links" and "did you mean 'own-volts'?" in p.hint for p in found.errors)


def test_an_entry_whose_first_check_is_absent_is_reported_and_no_crash(tmp_path: Path) -> None:
    found = verdict(tmp_path, (OTHER, "use: ask-history", "use: ask-histry"))
    assert any(p.rule == "links" and "did you mean 'ask-history'?" in p.hint for p in found.errors)


def test_two_checks_of_one_id_are_reported_and_no_crash(tmp_path: Path) -> None:
    found = verdict(tmp_path, (OTHER, "  - id: volts\n", "  - id: history\n"))
    assert "structure" in {p.rule for p in found.errors}
    assert any(p.what == "two steps are called 'history'" for p in found.errors)


def test_two_causes_of_one_id_are_reported(tmp_path: Path) -> None:
    found = verdict(tmp_path, (OTHER, "  - {id: limit, name", "  - {id: joint, name"))
    assert any(
        p.what == "two causes are called 'joint'" and p.field.startswith("causes") for p in found.errors
    )


def test_a_rule_that_fails_over_sound_content_is_no_secret_and_else_waits(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Where there are other problems the failing rule is told beside them, and every other rule is applied."""

    def fails(context: object) -> list[Problem]:
        raise ZeroDivisionError

    monkeypatch.setitem(RULES, "order", dataclasses.replace(RULES["order"], find=fails))
    with pytest.raises(ZeroDivisionError):
        check(small_content.edited())
    found = check(small_content.edited(("access.yaml", "helm:", "stern:")))
    assert any("'helm'" in p.what for p in found.errors)
    (told,) = (
        p for p in found.errors if "'order' could not be applied while there are other problems" in p.what
    )
    assert (told.line, told.column, told.rule) == (1, 1, "order")

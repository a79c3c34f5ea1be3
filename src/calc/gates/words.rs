//! The words of the observations.

use super::observation::{Observation, Words};
use super::snapshot::GateName;

impl Observation {
    /// The fixed words of this observation.
    pub(super) fn words(self) -> &'static Words {
        &WORDS[self as usize]
    }
}

/// One entry per observation, in the order of [`Observation::ALL`].
const WORDS: [Words; 23] = [
    Words {
        key: "runs_smoothly",
        gate: GateName::Order,
        minutes: 30,
        title: "Runs smoothly before the work",
        question: "Does it run smoothly on direct current, slowly, both ways?",
        act: "Run it on direct current, slowly, both ways.",
        how: "Shell on, smooth supply, ten minutes each way at low speed. Listen for a click \
                once per wheel turn.",
        no_says: "It doesn’t run smoothly on direct current, and a decoder doesn’t cure that: \
                mend the running first.",
    },
    Words {
        key: "paper_tried",
        gate: GateName::Order,
        minutes: 40,
        title: "A layout is found or tried with paper",
        question: "Do all parts go in, tried with paper or card dummies and the shell closed?",
        act: "Try the layout with paper or card dummies.",
        how: "Cut each part from card at its full size with wire allowance, lay them in, \
                close the shell dry.",
        no_says: "The parts don’t go in as tried: choose other parts or other places, then try \
                again.",
    },
    Words {
        key: "datums_recorded",
        gate: GateName::Cut,
        minutes: 15,
        title: "Datums are recorded",
        question: "Are coupler height, tank or skirt height and every screw position written \
                down?",
        act: "Write down coupler height, tank or skirt height and every screw position.",
        how: "Measure from the rail top before any cut, because afterwards there is nothing \
                left to measure from.",
        no_says: "Heights and screw positions aren’t written down: measure them before the first \
                cut.",
    },
    Words {
        key: "layout_chosen",
        gate: GateName::Cut,
        minutes: 10,
        title: "One layout is chosen",
        question: "Is one layout chosen, with a place for every part?",
        act: "Choose one layout, with a place for every part.",
        how: "Compare them by cuts, clearance and what each leaves out.",
        no_says: "No layout is chosen: choose one before cutting for it.",
    },
    Words {
        key: "cut_list_made",
        gate: GateName::Cut,
        minutes: 20,
        title: "The cut list is made",
        question: "Is every cut listed, with its size and where it’s measured from?",
        act: "List every cut.",
        how: "One line a cut: what, how deep, from which datum.",
        no_says: "There is no full list of cuts: make it before cutting.",
    },
    Words {
        key: "nothing_held_is_lost",
        gate: GateName::Cut,
        minutes: 10,
        title: "Nothing the cut holds is lost",
        question: "Does everything the cut metal holds keep its hold: screws, weights, motor, \
                gear plate?",
        act: "See that everything the cut metal holds keeps its hold.",
        how: "Go along the cut list and touch what each piece carries.",
        no_says: "Something that the cut metal holds would be lost: find it another hold or \
                leave that metal.",
    },
    Words {
        key: "cautions_read",
        gate: GateName::Cut,
        minutes: 3,
        title: "Cautions on cutting are read",
        question: "Have you read the cautions on cutting cast metal?",
        act: "Read the cautions on cutting cast metal.",
        how: "Eyes covered, work clamped, motor out, dust away from magnets.",
        no_says: "The cautions on cutting aren’t read: read them first.",
    },
    Words {
        key: "probe_sheet_done",
        gate: GateName::FirstPower,
        minutes: 25,
        title: "The probe sheet is done",
        question: "Is every meter check of the probe sheet done, each with the reading expected?",
        act: "Do every meter check of the probe sheet.",
        how: "Decoder unplugged. Each pair of points once, the reading beside the expected one.",
        no_says: "Not every check of the probe sheet agrees: find out why before power.",
    },
    Words {
        key: "insulation_on_metal",
        gate: GateName::FirstPower,
        minutes: 10,
        title: "Metal near decoder and leads is insulated",
        question: "Is all metal near the decoder, the joints and the leads covered, and every \
                joint sleeved?",
        act: "Cover metal near decoder and leads, sleeve every joint.",
        how: "Look along every lead with a loupe. Tape on edges, sleeve on joints, nothing \
                sharp against a lead.",
        no_says: "Bare metal or a bare joint lies near the decoder or a lead: cover it before \
                power.",
    },
    Words {
        key: "supply_limited",
        gate: GateName::FirstPower,
        minutes: 3,
        title: "The supply’s limit is set",
        question: "Is the current limit of the supply set for first power, and at how many amps?",
        act: "Set the supply’s current limit and write down its amps.",
        how: "Short the supply’s own leads and turn the limit down until it reads what you want.",
        no_says: "The supply isn’t limited: set its limit before first power.",
    },
    Words {
        key: "heat_settled",
        gate: GateName::Close,
        minutes: 40,
        title: "Heat settles",
        question: "Does the decoder’s temperature settle on a long run?",
        act: "Run it long and log the decoder’s temperature.",
        how: "Half an hour each way, temperature every five minutes, never left alone.",
        no_says: "The temperature doesn’t settle: stop, let it cool, find the cause.",
    },
    Words {
        key: "snags_looked_over",
        gate: GateName::Close,
        minutes: 5,
        title: "No open snag blocks",
        question: "Have you gone through the open snags with the model in your hand?",
        act: "Go through the open snags with the model in your hand.",
        how: "Read each open snag, look at the model, close it or say which gate it blocks.",
        no_says: "The open snags aren’t gone through: do it before closing.",
    },
    Words {
        key: "lights_proved",
        gate: GateName::Close,
        minutes: 10,
        title: "Lights are proved",
        question: "Does each light go on and off by its own function, both ways, without warmth?",
        act: "Try each light by its own function, both ways.",
        how: "Each function alone, forward and reverse, a finger near each resistor.",
        no_says: "A light doesn’t work as wanted.",
    },
    Words {
        key: "sound_proved",
        gate: GateName::Close,
        minutes: 10,
        title: "Sound is proved",
        question: "Does the sound play clean at the volume you want?",
        act: "Play the sound at the volume you want.",
        how: "Shell laid on, full volume you mean to use, listen for a buzz.",
        no_says: "The sound doesn’t play as wanted.",
    },
    Words {
        key: "store_proved",
        gate: GateName::Close,
        minutes: 10,
        title: "The hold-up store is proved",
        question: "Does the store carry the model over dead track, and stop it when it should?",
        act: "Try the store over dead track.",
        how: "Charge for a minute, lift one side or cut the track, measure how far it runs on.",
        no_says: "The store doesn’t carry as wanted.",
    },
    Words {
        key: "tightest_curve",
        gate: GateName::Close,
        minutes: 15,
        title: "It goes round the tightest curve",
        question: "Does it go round your tightest curve both ways, shell off, no lead pulled?",
        act: "Run it round your tightest curve both ways, shell off.",
        how: "Slowly, both ways, with a wagon. Watch each lead at full swing.",
        no_says: "It doesn’t go round the tightest curve freely: reroute what pulls or touches.",
    },
    Words {
        key: "coupler_height_checked",
        gate: GateName::Close,
        minutes: 5,
        title: "Coupler height is right",
        question: "Do both couplers meet the height gauge?",
        act: "Check both couplers against the height gauge.",
        how: "Against the gauge at both ends, and against the datum written down before.",
        no_says: "A coupler doesn’t meet the gauge.",
    },
    Words {
        key: "gauge_checked",
        gate: GateName::Close,
        minutes: 5,
        title: "Wheel gauge is right",
        question: "Is every wheelset in gauge and the right way round?",
        act: "Gauge every wheelset.",
        how: "Back-to-back of each wheelset at three places of the turn.",
        no_says: "A wheelset is out of gauge or the wrong way round: put it right, it may short \
                the rails.",
    },
    Words {
        key: "nothing_pinched",
        gate: GateName::Close,
        minutes: 10,
        title: "Nothing is pinched",
        question: "Does the shell go on without pushing on any lead?",
        act: "Lower the shell and look for pinched leads.",
        how: "Lower it slowly with a light, stop at any resistance, lift it again and look \
                for marks.",
        no_says: "A lead is pinched: reroute it before closing.",
    },
    Words {
        key: "sheet_read_back",
        gate: GateName::Service,
        minutes: 10,
        title: "The configuration sheet reads back equal",
        question: "Was every configuration variable read back, equal to the sheet?",
        act: "Read every configuration variable back and compare.",
        how: "Store disconnected or off, read each value, compare.",
        no_says: "Some values differ from the sheet: find out which is right.",
    },
    Words {
        key: "run_in_done",
        gate: GateName::Service,
        minutes: 60,
        title: "Run-in is done",
        question: "Is the model run in, both ways, with its decoder?",
        act: "Run it in, both ways, with its decoder.",
        how: "Half an hour each way at medium speed, then the load test again.",
        no_says: "It isn’t run in.",
    },
    Words {
        key: "weight_and_balance",
        gate: GateName::Service,
        minutes: 10,
        title: "Weight and balance are right",
        question: "Are weight and balance worked out and as wanted?",
        act: "Weigh it and find where it balances.",
        how: "Weigh it ready to run, find where it balances, compare with the driven wheels.",
        no_says: "Weight or balance isn’t as wanted.",
    },
    Words {
        key: "review_written",
        gate: GateName::Service,
        minutes: 20,
        title: "The review is written",
        question: "Is the review written: what went wrong or right, what it cost, what it taught?",
        act: "Write the review.",
        how: "One lesson is enough.",
        no_says: "The review isn’t written.",
    },
];

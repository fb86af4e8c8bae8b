//! Forms of slips: dumps, weigh tickets, other movements.

use super::super::slips::{BASIS_WORDS, KNOWN_WORDS, SCALE_WORDS, TERMS_WORDS};
use super::form;

form! {
    DUMP = "dump", "The machine's tank emptied into a place";
    "machine" Must Of("machine") "Combine": "Which combine";
    "field" Must Of("field") "Field": "Which field it was cut in";
    "crop" May Crop "Crop": "Which crop; left out, the one planted in the field";
    "season" May Season "Year of harvest": "The year, if not the one it happened in";
    "to" Must Of("place") "Dumped into": "Into which place";
    "now-full" May Full "How full it is now":
        "How full the receiving place is now, e.g. 3/4, full or heap (110 %)";
    "full" May Full "How full the tank was": "How full the tank was, e.g. 2/3 or 80%";
    "monitor" May Mass "Monitor":
        "What the monitor showed for this tank, e.g. \"13,610 lb\" or \"240 bu\" of the legal weight";
    "monitor-basis" May OneOf(BASIS_WORDS) "Monitor shows":
        "wet or dry; what the combine's monitor shows, if left out";
    "moisture" May Moisture "Moisture": "Moisture, e.g. 17.4%";
    "meter" May Of("meter") "Meter": "Which meter";
    "number" May Name "Load card number": "Load card number";
    "covered" May YesNo "Covered": "Whether the receiving place was covered afterwards: yes or no";
    "mixed" Flag YesNo "Mixed, knowingly":
        "It was put, knowingly, on another crop's, unit's or owner's grain";
    "remark" May LongText "Remark": "Anything else";
    "paper" May Sha "Photograph of the card": "SHA-256 of an attached photograph of the card";
}

form! {
    WEIGHED = "weighed", "A weigh ticket";
    "from" MustMany Of("place") "Out of": "What was emptied over the scale; again for more wagons";
    "to" Must Of("place") "Weighed into": "Where the grain went";
    "crop" Must Crop "Crop": "Which crop";
    "season" May Season "Year of harvest": "The year, if not the one it happened in";
    "gross" May Mass "Gross weight": "Loaded weight, e.g. \"78,460 lb\"";
    "tare" May Mass "Tare weight": "Empty weight, e.g. \"26,240 lb\"";
    "net" May Mass "Net weight": "Net weight as printed; worked out from gross and tare if left out";
    "step" May Mass "Scale step": "The step that the scale prints; 20 lb if left out";
    "scale" May OneOf(SCALE_WORDS) "Scale": "certified, cart or farm; certified if left out";
    "shared-tare" May Name "Shared tare": "Name of a tare weighed once and used for many tickets";
    "moisture" May Moisture "Moisture": "Moisture, e.g. 17.4%";
    "meter" May Of("meter") "Meter": "Which meter";
    "test-weight" May TestWeight "Test weight": "Test weight, e.g. \"54.0 lb/bu\"";
    "factor" Many Text "Other factors": "Other factors as printed, e.g. dockage=0.8";
    "number" May Name "Ticket number": "Ticket number";
    "buyer" May Of("buyer") "Buyer": "Which buyer settles it";
    "field" May Of("field") "Field": "The field written on the ticket";
    "terms" May OneOf(TERMS_WORDS) "Terms": "sell, store or price-later; leave it out to ask";
    "contract" May Name "Contract number": "The contract's number, when sold";
    "price" May Price "Price": "Price, when sold, e.g. \"$4.15/bu\"";
    "split" Many Share "Split": "How the ticket splits the grain, e.g. owner=2/3";
    "not-emptied" Flag YesNo "Not emptied": "The wagon was not emptied";
    "paper" May Sha "Photograph of the ticket": "SHA-256 of an attached photograph of the ticket";
}

form! {
    MOVE = "move", "Any other movement: bin to truck, feed, seed, spill, dryer";
    "from" MustMany Of("place") "Out of": "From which place";
    "to" Must Of("place") "Into": "To which place";
    "crop" Must Crop "Crop": "Which crop";
    "season" May Season "Year of harvest": "The year, if not the one it happened in";
    "weight" May Mass "Wet weight": "Wet weight, e.g. \"9,200 lb\"";
    "gross" May Mass "Gross weight": "Loaded weight, if weighed";
    "tare" May Mass "Tare weight": "Empty weight, if weighed";
    "known-by" May OneOf(KNOWN_WORDS) "Known by": "scale, fill, dumps or full; fill if left out";
    "scale" May OneOf(SCALE_WORDS) "Scale":
        "Which scale, if weighed: certified, cart or farm; farm if left out";
    "step" May Mass "Scale step": "The step that the scale prints; 20 lb if left out";
    "shared-tare" May Name "Shared tare": "Name of a tare weighed once and used for many slips";
    "moisture" May Moisture "Moisture": "Moisture";
    "meter" May Of("meter") "Meter": "Which meter";
    "number" May Name "Load card number": "Load card number";
    "empties" Flag YesNo "Empty afterwards": "The place it came from is empty afterwards";
    "remark" May LongText "Remark": "Why, or how it came about";
    "paper" May Sha "Photograph of the card": "SHA-256 of an attached photograph of the card";
}

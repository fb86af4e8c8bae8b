//! Forms of what was agreed with others: contracts, arranged deliveries, call-at yields.

use super::super::slips::TERMS_WORDS;
use super::form;

form! {
    CALL_AT = "call_at", "The yield of an insured unit below which the agent wants a call";
    "unit" Must Name "Insured unit": "The unit, as the fields name it";
    "crop" Must Crop "Crop": "Which crop";
    "season" May Season "Year of harvest": "The year, if not the one it is written in";
    "yield" Must Number "Call at": "The agent's yield, insurance bushels an acre, e.g. 131.5";
    "notice-by" May Date "Notice by": "Last day to give notice, e.g. 2026-12-10";
    "agent" May Name "Agent": "What people call the agent";
    "telephone" May Name "Telephone": "The agent's telephone number, as written";
    "remark" May LongText "Remark": "What else the agent said";
}

form! {
    CONTRACT = "contract", "Grain promised to a buyer";
    "number" May Name "Contract number": "The contract's number";
    "buyer" Must Of("buyer") "Buyer": "Which buyer";
    "crop" Must Crop "Crop": "Which crop";
    "season" May Season "Year of harvest": "The year, if not the one it is written in";
    "bushels" Must Number "Buyer's bushels": "How much was promised, in the buyer's bushels, e.g. 5,000";
    "price" May Price "Price": "Price, where it is set, e.g. \"$4.15/bu\"";
    "deliver-by" May Date "Deliver by": "Last day of delivery, e.g. 2026-11-30";
    "remark" May LongText "Remark": "Anything else that was agreed";
}

form! {
    ARRANGED = "arranged", "How deliveries to a buyer were arranged: what the driver says at the scale";
    "buyer" Must Of("buyer") "Buyer": "Which buyer";
    "crop" Must Crop "Crop": "Which crop";
    "season" May Season "Year of harvest": "The year, if not the one it is written in";
    "field" May Of("field") "Field": "For grain of this field only";
    "terms" May OneOf(TERMS_WORDS) "Terms": "sell, store or price-later; left out, the driver asks";
    "contract" May Name "Contract number": "The contract's number, when sold";
    "price" May Price "Price": "Price, when sold, e.g. \"$4.15/bu\"";
    "split" Many Share "Split": "How the ticket is to be split, e.g. owner=2/3";
    "account" Many Text "Account name": "A person's account as the buyer writes it, e.g. \"owner=HOME FARM\"";
    "remark" May LongText "Remark": "What else to say at the scale";
}

//! Forms of machines, meters, places, buyers and people.

use super::super::people::{LANGUAGE_WORDS, METER_WORDS, MONITOR_WORDS, PLACE_WORDS, ROLE_WORDS};
use super::form;

form! {
    MACHINE = "machine", "A combine";
    "name" Must Name "Combine": "What people call it";
    "tank" May Mass "Tank, level full": "What its tank holds level full, e.g. \"11,000 lb\"";
    "monitor" May OneOf(MONITOR_WORDS) "Its monitor shows":
        "What its monitor shows: wet or dry; left out if it has none";
}

form! {
    METER = "meter", "A moisture meter";
    "name" Must Name "Meter": "What people call it";
    "kind" Must OneOf(METER_WORDS) "Kind of meter": "buyer, hand or machine";
    "of" May Name "Whose it is": "Whose, where it is a buyer's or a machine's";
}

form! {
    PLACE = "place", "Anything that holds grain: cart, wagon, truck, bin, pile, dryer, pit, feed, seed, spill";
    "name" Must Name "Place": "What people call it";
    "kind" Must OneOf(PLACE_WORDS) "Kind of place":
        "cart, wagon, truck, bin, pile, dryer, pit, feed, seed or spill";
    "capacity" May Mass "Holds, level full": "What it holds level full, wet, e.g. \"22,400 lb\"";
    "tare" May Mass "Empty weight": "Its weight empty, if it was weighed once";
    "across" May Length "Diameter inside": "Inside diameter of a round bin, e.g. 18ft";
    "wall" May Length "Height of the wall": "Height of a bin's wall, e.g. 16ft";
    "location" May Name "Where it stands": "Where it stands, or whose it is";
}

form! {
    BUYER = "buyer", "A buyer, with schedules and hours";
    "season" May Season "Year of the schedules": "The schedules' year, if not the one it is written in";
    "name" Must Name "Buyer": "What people call it";
    "schedule" Files LongText "Schedule":
        "A schedule, TOML or JSON, a file or the text; one a crop and contract";
    "hours" Many Text "Hours": "When it takes a crop, e.g. \"corn=Mon-Sat 7:00-19:00\"";
    "top-moisture" Many Text "Wettest grain taken": "Wettest grain taken, e.g. \"corn=25%\"";
    "takes" Many Text "Vehicles taken": "Vehicles taken, e.g. \"corn=gravity wagon\"";
    "location" May Name "Where it is": "Where it is";
}

form! {
    PERSON = "person", "Somebody with a share or a part in the work";
    "name" Must Name "Person": "What people call them; a role will do";
    "role" MustMany OneOf(ROLE_WORDS) "Part in the work":
        "grower, landlord, operator, driver, help or custom";
    "usual-share" May Percent "Usual share": "Usual share of a crop, e.g. 40%";
    "language" May OneOf(LANGUAGE_WORDS) "Language": "The language they read: english or spanish";
    "telephone" May Name "Telephone": "Telephone number, as written";
}

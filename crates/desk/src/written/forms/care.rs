//! Forms of daily care: ready lists, tarps, copies of the book.

use super::super::care::OFTEN_WORDS;
use super::form;

form! {
    READY = "ready", "A line of a ready list";
    "text" Must LongText "What to look at, do or bring": "What to look at, do or bring";
    "list" Must Name "List": "Which list, e.g. walk-round, head-change, bring";
    "often" May OneOf(OFTEN_WORDS) "How often": "daily or once; daily if left out";
    "reading" May Name "Reading": "What is read when it is done, e.g. torque, pressure, points greased, clearance";
    "unit" May Name "Unit of the reading": "e.g. \"lb ft\", psi, points, mm";
    "least" May Number "Least": "The least that will do, as the maker's manual says";
    "most" May Number "Most": "The most that will do, as the maker's manual says";
    "every" May Number "Every so many engine hours": "Due again after so many engine hours, e.g. 50";
}

form! {
    TICKED = "ticked", "A line of a ready list was done";
    "item" Must Entry "Line": "The line's id, or its text";
    "day" Must Date "Harvest day": "For which harvest day, e.g. 2026-10-06";
    "value" May Number "Reading": "What was read, in the unit that the line asks for";
    "engine-hours" May Number "Engine hours": "What the engine's hour meter showed";
}

form! {
    COVER = "cover", "A tarp put on or taken off";
    "place" Must Of("place") "Which wagon or pile": "Of which place";
    "covered" Must YesNo "Covered": "yes or no";
}

form! {
    COPIED = "copied", "A copy of the book kept off this machine";
    "to" Must Name "Kept at": "Where it is kept, e.g. \"stick in the truck\"";
    "entries" Must Number "Entries in it": "How many entries it holds";
}

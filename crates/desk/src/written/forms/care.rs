//! Forms of daily care: ready lists, tarps, copies of the book.

use super::super::care::OFTEN_WORDS;
use super::form;

form! {
    READY = "ready", "A line of a ready list";
    "text" Must LongText "What to look at, do or bring": "What to look at, do or bring";
    "list" Must Name "List": "Which list, e.g. walk-round, head-change, bring";
    "often" May OneOf(OFTEN_WORDS) "How often": "daily or once; daily if left out";
}

form! {
    TICKED = "ticked", "A line of a ready list was done";
    "item" Must Entry "Line": "The line's id, or its text";
    "day" Must Date "Harvest day": "For which harvest day, e.g. 2026-10-06";
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

//! Forms of stocks, samples, notes and files.

use super::super::stock::{HOW_WORDS, PURPOSE_WORDS};
use super::form;

form! {
    OPENING = "opening", "Grain already in a place when the season or the book began";
    "place" Must Of("place") "Where": "Where";
    "crop" Must Crop "Crop": "Which crop";
    "season" May Season "Year of harvest": "Of which year's harvest";
    "empty" Flag YesNo "It is empty": "It was empty";
    "weight" May Mass "Wet weight": "Wet weight, e.g. \"12,000 lb\"";
    "depth" Many Length "Depth at the wall": "Depth of grain at the wall, e.g. 12ft; again for more points";
    "peak" May Length "Height of the peak": "Height of the peak above the grain at the wall";
    "hollow" May Length "Depth of the hollow": "Depth of the hollow below the grain at the wall";
    "across" May Length "Diameter inside": "Inside diameter, where it is not the place's own";
    "test-weight" May TestWeight "Test weight": "Test weight, e.g. \"58 lb/bu\"";
    "packing" May Number "Packing": "Packed over loose volume, e.g. 1.04";
    "moisture" May Moisture "Moisture": "Moisture";
    "meter" May Of("meter") "Meter": "Which meter";
}

form! {
    MEASURE = "measure", "A bin measured, or a wagon known empty (from the hatch: never step in)";
    "place" Must Of("place") "Where": "Where";
    "crop" Must Crop "Crop": "Which crop";
    "season" May Season "Year of harvest": "Of which year's harvest";
    "empty" Flag YesNo "It is empty": "It is empty";
    "weight" May Mass "Wet weight": "Wet weight found";
    "depth" Many Length "Depth at the wall": "Depth of grain at the wall, e.g. 12ft; again for more points";
    "peak" May Length "Height of the peak": "Height of the peak above the grain at the wall";
    "hollow" May Length "Depth of the hollow": "Depth of the hollow below the grain at the wall";
    "across" May Length "Diameter inside": "Inside diameter, where it is not the place's own";
    "test-weight" May TestWeight "Test weight": "Test weight, e.g. \"58 lb/bu\"";
    "packing" May Number "Packing": "Packed over loose volume, e.g. 1.04";
    "moisture" May Moisture "Moisture": "Moisture";
    "meter" May Of("meter") "Meter": "Which meter";
    "doubt" May Number "Standard error, %": "Standard error in per cent, where it is not the usual 3 %";
}

form! {
    SAMPLE = "sample", "Grain sampled and read";
    "of" Must Of("field,place") "Sample of": "Which place or field";
    "crop" May Crop "Crop": "Which crop; left out, the one planted in the field";
    "season" May Season "Year of harvest": "Of which year's harvest";
    "how" Must OneOf(HOW_WORDS) "How it was taken":
        "hand-shelled, tank, stream, probe, grab, wagon, bin or dryer-hot";
    "moisture" Many Moisture "Moisture":
        "Readings, e.g. 17.1% and again 17.4%; by two meters, e.g. \"17.1% by hand meter\"";
    "meter" May Of("meter") "Meter": "Which meter";
    "test-weight" May TestWeight "Test weight": "Test weight, e.g. \"58 lb/bu\"";
    "factor" Many Text "Other factors": "Other factors, e.g. \"foreign material=1.2\"";
    "count" May Number "How many": "How many handfuls, ears or probes were mixed into it";
    "temperature" May Temperature "Grain temperature": "How warm the grain was, e.g. \"72 F\" or \"22 C\"";
}

form! {
    NOTE = "note", "Anything worth remembering";
    "text" Must LongText "Note": "In your words";
    "of" Many Of("field,machine,place,buyer") "About": "Which field, machine, place or buyer it is of";
    "about" Many Entry "About this entry": "The id of an entry that it is about";
    "question" Flag YesNo "A question": "It asks for an answer";
}

form! {
    FILE = "file", "A file or photograph that was attached";
    "sha256" Must Sha "The attachment": "SHA-256 of its bytes, 64 hexadecimal digits";
    "name" Must Name "File name": "The file's name where it came from";
    "bytes" Must Number "Size in bytes": "Its size in bytes";
    "purpose" May OneOf(PURPOSE_WORDS) "What it is":
        "ticket, photograph, boundary, combine-points or other; photograph if left out";
    "of" Many Of("field,machine,place,buyer") "Of": "Which field, machine, place or buyer it is of";
}

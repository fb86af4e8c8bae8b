//! Forms of the land: fields, plantings, a season's settings.

use super::form;

form! {
    FIELD = "field", "A field: numbers, boundary and acres by source";
    "name" Must Name "Field": "What people call it";
    "boundary" File LongText "Outline": "Its outline: GeoJSON polygon, a file or the text";
    "farm-number" May Name "Farm number": "Agency farm number";
    "tract" May Name "Tract number": "Agency tract number";
    "field-number" May Name "Field number": "Agency field number";
    "unit" May Name "Insured unit": "Insured unit; records of two units are kept apart";
    "reported" May Area "Acres reported": "Acres as reported, e.g. \"40 ac\"";
    "planted" May Area "Acres planted": "Acres planted";
    "measured" May Area "Acres measured": "Acres measured from the outline";
    "cut" May Area "Acres cut": "Acres cut";
}

form! {
    PLANTING = "planting", "What is planted in a field, and who shares it";
    "field" Must Of("field") "Field": "Which field";
    "crop" Must Crop "Crop": "Which crop, e.g. corn, soybean, wheat-srw";
    "season" May Season "Year of harvest": "The year it is harvested in";
    "share" Many Share "Shares": "Shares that sum to the whole, e.g. \"owner=2/3\" and \"landowner=1/3\"";
    "practice" May Name "Practice": "Practice, e.g. dryland, double crop";
    "reported" May Area "Acres reported": "Acres reported, where they differ from the field's";
    "planted" May Area "Acres planted": "Acres planted, where they differ from the field's";
    "measured" May Area "Acres measured": "Acres measured, where they differ from the field's";
    "cut" May Area "Acres cut": "Acres cut, where they differ from the field's";
}

form! {
    SEASON = "season", "Settings of one season";
    "season" Must Season "Year": "The year";
    "day-begins" May Number "The day begins at this hour":
        "Hour before which work belongs to the day before, e.g. 4";
    "hour" May Money "An hour of standing costs": "Combine and crew, e.g. \"$180\": Night and the stops then say money too";
    "remark" May LongText "Remark": "Anything to remember with it";
}

//! Forms of the work in the field: counts and stops.

use super::super::counts::TAIL_WORDS;
use super::super::settings::SEEN_WORDS;
use super::super::stops::WHY_WORDS;
use super::form;

form! {
    COUNT = "count", "Seeds counted on the ground in frames (head on its safety stop, engine off, key out)";
    "field" Must Of("field") "Field": "In which field";
    "crop" May Crop "Crop": "Which crop; left out, the one planted in the field";
    "season" May Season "Year of harvest": "The year, if not the one it happened in";
    "machine" May Of("machine") "Combine": "Behind which combine";
    "frame" Must Text "Size of a frame":
        "\"1 ft2\", \"2 ft x 5 ft\" (along the rows x across them) or \"hoop 34 in\"";
    "cut-width" May Length "Width of cut": "How wide the machine cuts, e.g. 20ft";
    "speed" May Speed "Speed": "How fast it went, e.g. \"3.2 mph\"";
    "standing" Many Number "Standing crop":
        "Seeds in one frame ahead of the machine, 0 too; again for each frame; e.g. 3, \"1 ear\", \"3 + 1 ear\"";
    "behind-head" Many Number "Behind the head": "Seeds in one frame between head and tail; again for each frame";
    "behind-machine" Many Number "Behind the machine": "Seeds in one frame behind the tail; again for each frame";
    "tail" May OneOf(TAIL_WORDS) "The tail lays it": "spread, windrow or unknown; unknown if left out";
    "tail-width" May Length "Width of windrow or spread":
        "How wide the windrow is; for a spread only where it does not reach the whole cut";
    "seed-weight" May Text "Weight of 1,000 seeds":
        "Weighed from the ground, e.g. \"180 g\", or seeds a pound, \"2,900/lb\"";
    "remark" May LongText "Remark": "Settings, weather, anything that explains it";
}

form! {
    SETTING = "setting", "What was changed on the combine, and what the tank's grain looked like (guards shut while anything turns)";
    "machine" May Of("machine") "Combine": "Which combine; left out, the only one in the book";
    "field" May Of("field") "Field": "In which field";
    "crop" May Crop "Crop": "Which crop; left out, the one planted in the field";
    "season" May Season "Year of harvest": "The year, if not the one it happened in";
    "change" MustMany Text "What was changed":
        "What, from what and to what, e.g. \"fan 900 to 850 rpm\" or \"concave to 12 mm\"; one at a time can be judged; fan, chaffer, sieve, rotor, concave, head-height, reel, stripper, ground-speed, deck-plates or other";
    "cracked" May Percent "Splits or cracked": "Splits or cracked kernels in the tank before the change, e.g. 2.5%";
    "foreign" May Percent "Foreign matter": "Foreign matter in the tank before the change, e.g. 1.2%";
    "unthreshed" May OneOf(SEEN_WORDS) "Unthreshed": "Grain still in its pod, hull or on its cob before the change: none, some or much";
    "dirt" May OneOf(SEEN_WORDS) "Dirt": "Chaff and dirt in the tank before the change: none, some or much";
    "cracked-after" May Percent "Splits or cracked, after": "The same after the change";
    "foreign-after" May Percent "Foreign matter, after": "The same after the change";
    "unthreshed-after" May OneOf(SEEN_WORDS) "Unthreshed, after": "The same after the change: none, some or much";
    "dirt-after" May OneOf(SEEN_WORDS) "Dirt, after": "The same after the change: none, some or much";
    "remark" May LongText "Remark": "Why, and anything that explains it";
}

form! {
    STOP = "stop", "The combine stands (engine off, key out before anybody reaches in)";
    "machine" May Of("machine") "Combine": "Which combine";
    "field" May Of("field") "Field": "In which field";
    "why" Must OneOf(WHY_WORDS) "Why":
        "wagon, plug, breakdown, moving, fuel-grease, weather, setting, rest or other";
    "part" May Name "Part": "Which part broke or plugged";
    "cost" May Money "Cost": "What parts and labor cost, e.g. \"$420\"";
    "minutes" May Number "Minutes": "How long it stood, where it is written afterwards, e.g. 25 or \"1:10\"";
    "remark" May LongText "Remark": "Anything else";
}

form! {
    GO = "go", "The combine goes on: ends a stop";
    "stop" May Entry "Which stop": "The stop's id; left out, the one that runs";
    "why" May OneOf(WHY_WORDS) "Why it stood": "As it turned out: wagon, plug, breakdown, moving, fuel-grease, weather, setting, rest or other";
    "part" May Name "Part": "Which part broke or plugged";
    "cost" May Money "Cost": "What parts and labor cost, e.g. \"$420\"";
    "remark" May LongText "Remark": "What was done";
}

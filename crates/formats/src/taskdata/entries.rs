//! The data dictionary entries that mean something here (ISO 11783-11, as two open libraries list
//! them; all have a resolution of 1 in the unit named).

/// Actual working width, mm.
pub(super) const WIDTH: u16 = 67;
/// Maximum working width, mm.
pub(super) const WIDEST: u16 = 70;
/// Volume an area, ml/m2.
pub(super) const VOLUME_PER_AREA: u16 = 83;
/// Mass an area, mg/m2.
pub(super) const MASS_PER_AREA: u16 = 84;
/// Volume a time, ml/s.
pub(super) const VOLUME_PER_TIME: u16 = 86;
/// Mass a time, mg/s.
pub(super) const MASS_PER_TIME: u16 = 87;
/// Counter of volume, L.
pub(super) const TOTAL_VOLUME: u16 = 89;
/// Counter of mass, kg.
pub(super) const TOTAL_MASS: u16 = 90;
/// Moisture of the crop, ppm wet basis.
pub(super) const MOISTURE: u16 = 99;
/// Counters of distance in work and out of work, mm.
pub(super) const DISTANCE_IN_WORK: u16 = 117;
/// See [`DISTANCE_IN_WORK`].
pub(super) const DISTANCE_OUT_OF_WORK: u16 = 118;
/// Offset of an element forward of the machine's reference, mm.
pub(super) const OFFSET_X: u16 = 134;
/// Offset of an element to the right of the machine's reference, mm.
pub(super) const OFFSET_Y: u16 = 135;
/// Work state: 0 off, 1 on, 2 error, 3 not there.
pub(super) const WORK_STATE: u16 = 141;
/// Age of a measured value when it is logged, ms.
pub(super) const LATENCY: u16 = 143;
/// Work states of sections 1 to 16, two bits each from the lowest; the next fifteen entries go on.
pub(super) const SECTION_STATES: u16 = 161;
/// How many such entries there are.
pub(super) const SECTION_STATE_ENTRIES: u16 = 16;
/// Whether the header is at working height: 0 no, 1 yes, 2 error, 3 not there.
pub(super) const HEADER_STATUS: u16 = 237;
/// Whether the yield shown is held from before: 0 no, 1 yes.
pub(super) const YIELD_HOLD: u16 = 239;
/// Time that yield is left out after the start of a pass, ms.
pub(super) const LAG_IGNORE: u16 = 259;
/// Time that yield is left out after the end of a pass, ms.
pub(super) const LEAD_IGNORE: u16 = 260;
/// Number of the load.
pub(super) const LOAD: u16 = 322;
/// Speed over ground, mm/s.
pub(super) const SPEED: u16 = 397;
/// Part of a message of the bus; not a quantity.
pub(super) const PARAMETER_GROUP: u16 = 0xDFFE;

/// What an entry measures, for a message; `None` when it means nothing here.
pub(super) fn name(ddi: u16) -> Option<&'static str> {
    Some(match ddi {
        WIDTH => "working width",
        VOLUME_PER_AREA => "volume an area",
        MASS_PER_AREA => "mass an area",
        VOLUME_PER_TIME => "volume flow",
        MASS_PER_TIME => "mass flow",
        TOTAL_VOLUME => "volume counter",
        TOTAL_MASS => "mass counter",
        MOISTURE => "moisture",
        DISTANCE_IN_WORK => "distance in work",
        DISTANCE_OUT_OF_WORK => "distance out of work",
        WORK_STATE => "work state",
        LATENCY => "latency",
        HEADER_STATUS => "header at working height",
        YIELD_HOLD => "yield held",
        LOAD => "load number",
        SPEED => "speed",
        PARAMETER_GROUP => "bus message",
        entry if (SECTION_STATES..SECTION_STATES + SECTION_STATE_ENTRIES).contains(&entry) => {
            "section states"
        }
        _ => return None,
    })
}

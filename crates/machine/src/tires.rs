//! Tire pressures, held under what the tire and the rim are marked for.

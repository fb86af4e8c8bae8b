//! Dry matter, shrink, grades, buyers' schedules, settlements, bins and piles.

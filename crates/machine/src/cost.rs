//! What an hour and an acre of the machine cost: repair, fuel, depreciation.

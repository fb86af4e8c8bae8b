//! The speed of least cost per acre on fixed acres.

//! Published constants and tables, each with its unit, range and source.

//! Charts and sheets from results, as deterministic SVG and print-ready HTML.

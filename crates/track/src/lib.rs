//! Raw combine points to passes, areas, masses and per-tank totals.

//! Rates of rare events: gamma posterior of a Poisson rate, and the counts still to come.

//! Negative binomial regression: counts that scatter more than chance alone would have it.

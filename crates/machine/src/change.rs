//! Whether a change was real: counts before and after, with thresholds that tighten by look.

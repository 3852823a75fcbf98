//! What the desk checks and sums.

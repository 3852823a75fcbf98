//! The rules of buying honey at the farm gate.

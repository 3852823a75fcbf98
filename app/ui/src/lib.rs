//! Views and words shared by the phone and the desk.

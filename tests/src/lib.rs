//! Checks against sources outside the project.

//! The command.

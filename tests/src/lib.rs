//! The harness: what the suites under tests/ share.

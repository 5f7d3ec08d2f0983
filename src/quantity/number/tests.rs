//! Exact numbers against a second arbitrary-precision library, and the boundary cases a verdict hangs on.

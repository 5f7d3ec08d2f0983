//! Every test that looks at the program from outside, in reading order.

mod outside;

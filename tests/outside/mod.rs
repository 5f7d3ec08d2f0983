//! Checks against values others published, one file a source.

mod yaml_scalars;

//! Every integration test, in one program.

mod photos;

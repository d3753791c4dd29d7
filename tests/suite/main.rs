//! Tests of the whole program: the border between the halves, the command line, the service.

mod compose;
mod layers;
mod nights;
mod science;
mod routines;
mod support;

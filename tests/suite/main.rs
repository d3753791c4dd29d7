//! Tests of the whole program: the border between the halves, the command line, the service.

mod compose;
mod layers;
mod nights;
mod routines;
mod science;
mod soccermon;
mod support;

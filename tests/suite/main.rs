//! Tests of the whole program: the border between the halves, the command line, the service.

mod layers;
mod nights;
mod science;
mod support;
